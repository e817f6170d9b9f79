"""What a check of the whole register found."""
