"""A refined load curve in words and rows, which the terminal and the window share."""

from __future__ import annotations

from engine import units
from engine.sections.refine import WORDS, Proposal

HEADS = ("Point", "V", "Before W", "After W", "Best by the log W", "Rows near", "")


def rows(proposal: Proposal) -> list[tuple[str, ...]]:
    """A row for each point: volts, watts before and after, the best with its standard error, the evidence."""
    found = proposal.refined
    return [
        (
            str(at + 1),
            f"{found.volts[at]:.2f}",
            f"{found.before[at]:.1f}",
            f"{found.after[at]:.1f}",
            f"{found.target[at]:.0f} ± {found.error[at]:.0f}",
            f"{found.rows[at]:.0f}",
            WORDS[word],
        )
        for at, word in enumerate(found.why)
    ]


def summary(proposal: Proposal, entered: tuple[float, float], habit: str) -> str:
    """What the log shows of the rotor, and what the pass is worth; ``entered``: its best ratio and cp."""
    ratio, cp = proposal.refined.rotor.best
    text = (
        f"By the log the rotor is best at a tip speed ratio of {ratio:.2f} with a power coefficient of "
        f"{cp:.3f}; entered are {entered[0]:.2f} and {entered[1]:.3f}. An anemometer that is off by a share "
        "changes both, but not the best load at a speed."
    )
    if proposal.before is not None and proposal.after is not None:
        before, after = (units.show(value, "Wh", habit, 4) for value in (proposal.before, proposal.after))
        text += f" On that rotor a year brings {before} on the curve as it is, {after} after this pass."
    if not proposal.helps:
        return f"{text} This log gives no reason to move the curve."
    return f"{text} Log again on the new curve, then refine again: a pass moves a point by 10 % at most."
