"""What must be done before use: blocked items and user checks."""
