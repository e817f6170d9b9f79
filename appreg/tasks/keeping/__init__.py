"""Keeping a register safe: making, checking, copying, restoring, closing."""
