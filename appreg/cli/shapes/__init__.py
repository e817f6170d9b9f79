"""What every command writes as JSON, declared once: type checkers hold the commands to it, and the schemas come of it."""
