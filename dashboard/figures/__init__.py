"""Pictures: a DataFrame in, a `Sketch` for plotly out; nothing here reads data or knows a page."""
