"""Finding an item, showing it, moving it."""
