"""What each page shows: its state and its data in, components out; importable without an app."""
