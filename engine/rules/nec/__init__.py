"""NFPA 70, National Electrical Code: the questions that this family asks, in order."""

from engine.rules.judging import Rule
from engine.rules.shared.questions import QUESTIONS

RULES: tuple[Rule, ...] = QUESTIONS
