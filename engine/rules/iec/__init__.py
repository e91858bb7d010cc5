"""IEC 62548-1, 60364-7-712 and the standards they lean on: the questions that this family asks, in order."""

from engine.rules.judging import Rule
from engine.rules.shared.questions import QUESTIONS

RULES: tuple[Rule, ...] = QUESTIONS
