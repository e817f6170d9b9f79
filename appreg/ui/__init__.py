"""The terminal interface: it asks, calls a task, and shows what came back."""
