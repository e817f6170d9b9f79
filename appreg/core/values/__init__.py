"""Plain values of the trade as they are typed, kept and shown."""
