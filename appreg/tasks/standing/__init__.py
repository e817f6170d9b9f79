"""Where an item stands: its outcome, its due dates and its label."""
