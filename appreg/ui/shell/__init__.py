"""What every screen stands on: commands, keys, the terminal, colours."""
