"""A visit, its Bench and what is recorded there."""
