"""Sections compute results from the design and earlier results, by calling formulas on table rows."""
