"""Lists of any length, and the screens made of one."""
