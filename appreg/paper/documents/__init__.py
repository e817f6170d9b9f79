"""Registers and reports as documents."""
