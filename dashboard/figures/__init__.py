"""Pictures: a DataFrame in, a plotly Figure out; nothing here reads data or knows a page."""
