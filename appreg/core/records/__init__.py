"""What is written down: appliances, checks, findings and everything that the register keeps."""
