"""What the adviser sees: the `tupping` command, the Dash views and the printed visit brief."""
