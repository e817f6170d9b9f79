"""The Plan screen: which days to go."""
