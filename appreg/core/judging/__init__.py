"""From readings and answers to findings and outcomes."""
