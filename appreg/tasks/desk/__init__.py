"""What belongs to this desk: settings, registers, names, the rules at hand."""
