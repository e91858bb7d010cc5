"""Which circuits a design has: one file for each side of the system, each yielding plans."""
