"""The page of one item, and what can be done with items from any list."""
