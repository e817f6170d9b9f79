"""The Label tray screen."""
