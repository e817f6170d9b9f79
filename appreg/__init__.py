"""appreg: a register of portable appliances, their inspections, labels and due dates."""

__version__ = "0.1.0"
