"""The cautions shown on first start."""
