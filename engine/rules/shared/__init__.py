"""Comparisons that rule families share; each family lists the ones that it asks, with its own clauses."""
