"""Lists and readings from other programs: planned row by row, then taken in as one change."""
