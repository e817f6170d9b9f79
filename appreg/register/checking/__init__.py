"""Whether a register is whole and says what its journal says."""
