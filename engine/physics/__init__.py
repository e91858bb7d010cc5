"""Formulas: flat functions in canonical units, each with its source."""
