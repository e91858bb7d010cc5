"""What a penstock of another diameter would give and cost: a plot, and the sentence under it."""

from __future__ import annotations

import numpy as np

from app.views.money import amount
from app.views.turbine import Curve, Dot, Plot, Upright
from engine import units
from engine.money.pipe import LIFE, Choice, PipeTrade

HOURS = 8766.0  # of a mean year


def over_diameter(trade: PipeTrade, currency: str, habit: str) -> Plot:
    """Power at full flow and the mean of a year over the diameter; at the right what a kWh of it costs."""
    title = "Penstock"
    if not trade.diameters.size:
        names = ", ".join(dict.fromkeys(item.title for item in trade.missing))
        return Plot(title, empty=f"Enter: {names}." if names else trade.why, habit=habit)
    mean = trade.years / HOURS
    curves = [
        Curve("at full flow", trade.diameters, trade.powers, "water", 2.0, filled=True, named_at=0.4),
        Curve("mean of the year", trade.diameters, mean, "battery", 1.6, named_at=0.75),
    ]
    costs = [choice for choice in trade.choices if choice.per_kwh is not None]
    if len(costs) > 1:
        x, y = (np.array([getattr(choice, name) for choice in costs]) for name in ("diameter", "per_kwh"))
        curves.append(Curve("pipe a kWh", x, y, "ink", 1.2, dashed=True, right=True, named_at=0.5))
    dots = [
        Dot(choice.diameter, choice.per_kwh or 0.0, hollow=True, small=True, right=True) for choice in costs
    ]
    uprights = []
    if trade.now is not None:
        diameter, power, year = trade.now
        said = f"{units.show(power, 'W', habit, 3)} · {units.show(year, 'Wh', habit, 3)} a year"
        dots.append(Dot(diameter, power, said))
        uprights.append(Upright(diameter, f"now {units.show(diameter, 'mm', habit, 3)}"))
    if trade.best is not None:
        uprights.append(
            Upright(trade.best.diameter, f"best {units.show(trade.best.diameter, 'mm', habit, 3)}", "meets")
        )
    dearest = max((choice.per_kwh or 0.0 for choice in costs), default=0.0)
    caption = "power over inside diameter"
    return Plot(
        title,
        f"{caption}; at the right {currency or 'money'} a kWh" if costs else caption,
        ("mm", "W", "money" if costs else ""),
        (float(trade.diameters[-1]), max(float(trade.powers.max()), 1.0), dearest or 1.0),
        curves,
        dots,
        sorted(uprights, key=lambda each: each.x),
        told=pipe_told(trade, currency, habit),
        habit=habit,
    )


def pipe_told(trade: PipeTrade, currency: str, habit: str) -> str:
    """The best pipe against the present one, and what to enter for more."""
    parts = []
    if trade.best is not None:
        of = (
            f"least with what it gives less than the widest made good by the generator over {LIFE:.0f} years"
            if trade.by_total
            else f"least for a kWh over {LIFE:.0f} years"
        )
        parts.append(f"{_choice(trade.best, currency, habit)}: {of}.")
    if trade.now is not None:
        near = next((each for each in trade.choices if abs(each.diameter - trade.now[0]) < 0.05), None)
        if near is not None and near is not trade.best:
            parts.append(f"Now {_choice(near, currency, habit)}.")
    if trade.missing:
        parts.append(f"Enter: {', '.join(item.title for item in trade.missing)}.")
    parts.append("The pipe alone; its pressure and all else about it are judged when it is entered.")
    return " ".join(parts)


def _choice(choice: Choice, currency: str, habit: str) -> str:
    a_kwh = "" if choice.per_kwh is None else f", {amount(choice.per_kwh, currency)} a kWh"
    return (
        f"{units.show(choice.diameter, 'mm', habit, 3)} inside for {amount(choice.price, currency)} brings "
        f"{units.show(choice.year, 'Wh', habit, 3)} a year{a_kwh}"
    )
