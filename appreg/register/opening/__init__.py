"""Opening, making and migrating a register."""
