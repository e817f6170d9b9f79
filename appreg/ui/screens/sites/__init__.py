"""All sites."""
