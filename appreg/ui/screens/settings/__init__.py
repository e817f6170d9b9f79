"""The settings: colours, what lists and labels start with, who is working, and every key."""
