"""Writing registers, reports and labels."""
