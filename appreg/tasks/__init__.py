"""What a person does, one verb phrase a file: where register, paper, exchange and schedule meet."""
