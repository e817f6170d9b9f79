"""What screens and commands read, in the order they show it."""
