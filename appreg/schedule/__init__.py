"""When inspections fall due, which days to go, and what the evidence says; pure, today always a parameter."""
