"""What the journal tells: the past of a record, undoing, benches left half-filled."""
