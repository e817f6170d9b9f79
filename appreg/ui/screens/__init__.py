"""One folder a screen: the screen, its commands and its style sheet side by side."""
