"""What printers took."""
