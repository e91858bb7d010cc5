"""The breaker in hand: what is printed on a device, and where in a design it may go."""

from engine.in_hand.order import OrderLine, OrderList, read_list
from engine.in_hand.printed import KEYS, describe, read
from engine.in_hand.verdict import Fit, Verdict, judge, judge_all, somewhere, worst

__all__ = [
    "KEYS",
    "Fit",
    "OrderLine",
    "OrderList",
    "Verdict",
    "describe",
    "judge",
    "judge_all",
    "read",
    "read_list",
    "somewhere",
    "worst",
]
