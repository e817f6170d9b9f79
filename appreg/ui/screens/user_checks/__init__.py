"""What the users of items check, room by room."""
