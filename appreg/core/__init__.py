"""The trade as pure values and functions: appliances, readings, rule books, limits, verdicts."""
