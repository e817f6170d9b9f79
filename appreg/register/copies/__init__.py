"""Copies of a register: checked, carried to another database, put in its place."""
