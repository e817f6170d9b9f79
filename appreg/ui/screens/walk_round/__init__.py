"""The walk-round."""
