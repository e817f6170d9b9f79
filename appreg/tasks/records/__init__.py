"""Adding and changing what the register keeps."""
