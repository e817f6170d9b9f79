"""The screen that runs long work in a thread."""
