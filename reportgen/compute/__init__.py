"""Numbers in, numbers out: pure functions on arrays."""
