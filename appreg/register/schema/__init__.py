"""Which tables there are, and how a record becomes a row."""
