"""The calendar of equalization: a day is planned, a few days of grace follow, then nothing until the next."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

YEAR = 365
EVEN = 1e-6  # a spread below this is none
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True, slots=True)
class Turn:
    """One planned equalization: days of the year from 0; ``done`` is ``None`` where it was missed.

    ``tried`` are the days on which it was wanted, the last of them the day it was done, if it was.
    """

    planned: int
    tried: tuple[int, ...]
    done: int | None

    @property
    def late(self) -> bool:
        """Whether it needed a day of grace."""
        return self.done is not None and self.done != self.planned


def equalize_calendar(enough: Sequence[bool], every: int, grace: int) -> tuple[Turn, ...]:
    """Every planned equalization of a run of days, and whether it was done.

    A day is planned each ``every`` days, the first one ``every`` days in. Where the sources do not suffice on
    it, the next ``grace`` days are tried; after them nothing is, until the next planned day. Grace never
    reaches the next planned day, and a late one does not move it: no two in one period, ever.

    Args: enough[day], whether that day's sources suffice; every [days, >= 1]; grace [days, >= 0].
    Returns: the turns in order; the last may be cut short by the end of the run.

    >>> days = [False] * 30
    >>> days[29] = True
    >>> equalize_calendar(days, every=28, grace=3)
    (Turn(planned=27, tried=(27, 28, 29), done=29),)

    Source: own reckoning of the rule as stated.
    """
    if every < 1 or grace < 0:
        raise ValueError(f"every {every} days with {grace} of grace is no calendar")
    turns = []
    for planned in range(every - 1, len(enough), every):
        last = min(planned + grace, planned + every - 1, len(enough) - 1)
        tried: list[int] = []
        done = None
        for day in range(planned, last + 1):
            tried.append(day)
            if enough[day]:
                done = day
                break
        turns.append(Turn(planned, tuple(tried), done))
    return tuple(turns)


def daily_energies(months: Sequence[float], spread: float, seed: int) -> tuple[float, ...]:
    """Twelve monthly means spread over the days of a year, the same on each run.

    Each day's share is drawn from a gamma distribution whose coefficient of variation is ``spread``, and
    every month is scaled back to its mean, so that no energy is made or lost. A spread of 0 gives even days.

    Args: months[month], mean energy a day [Wh]; spread [-, >= 0]; seed, which year it is.
    Returns: energies[day of the year, 365] [Wh].

    Source: own choice of a simple spread; days are drawn independently of one another.
    """
    shares = iter(_shares(spread, seed))
    return tuple(
        mean * next(shares) for mean, length in zip(months, MONTH_DAYS, strict=True) for _ in range(length)
    )


@lru_cache(maxsize=16)
def _shares(spread: float, seed: int) -> tuple[float, ...]:
    """Each day's share of its month's mean, for a year."""
    if spread < EVEN:
        return (1.0,) * YEAR
    draw, shape, days = random.Random(seed), 1 / spread**2, list[float]()
    for length in MONTH_DAYS:
        drawn = [draw.gammavariate(shape, 1 / shape) for _ in range(length)]
        whole = sum(drawn) / length
        days += [share / whole for share in drawn]
    return tuple(days)


def month_of(day: int) -> int:
    """The month, 0 to 11, of a day of the year from 0."""
    left = day
    for month, length in enumerate(MONTH_DAYS):
        if left < length:
            return month
        left -= length
    raise ValueError(f"day {day} is not in a year of {YEAR} days")
