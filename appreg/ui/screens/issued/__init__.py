"""Documents that were issued."""
