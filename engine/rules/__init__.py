"""Rules compare results with limits and word what they find; one folder a rule family."""

from engine.rules import iec, nec
from engine.rules.judging import Rule

RULES: dict[str, tuple[Rule, ...]] = {"nec": nec.RULES, "iec": iec.RULES}
"""By the group of a family; a new group is a folder here and a data file in tables/families."""
