"""The Bench: one item, looked at, measured, judged and kept."""
