"""Taking in another copy of the register, and settling what two places left different."""
