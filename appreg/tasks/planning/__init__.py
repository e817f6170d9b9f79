"""What falls due, which visits to make, which intervals to keep."""
