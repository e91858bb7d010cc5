"""The breaker in hand: what is printed on a device, and where in a design it may go."""

from engine.in_hand.order import OrderLine, OrderList, read_list
from engine.in_hand.printed import KEYS, describe, facts, read
from engine.in_hand.sayings import number, saying
from engine.in_hand.typed import Typed, typed_circuit
from engine.in_hand.verdict import (
    Fit,
    Verdict,
    as_finding,
    judge,
    judge_all,
    lower,
    somewhere,
    tally,
    worst,
)
from engine.in_hand.wanted import HEADS, RIGHT, Wanted, device_findings, wanted

__all__ = [
    "HEADS",
    "KEYS",
    "RIGHT",
    "Fit",
    "OrderLine",
    "OrderList",
    "Typed",
    "Verdict",
    "Wanted",
    "as_finding",
    "describe",
    "device_findings",
    "facts",
    "judge",
    "judge_all",
    "lower",
    "number",
    "read",
    "read_list",
    "saying",
    "somewhere",
    "tally",
    "typed_circuit",
    "wanted",
    "worst",
]
