"""The voltage of a long run: what costs least, where a higher voltage wins, and the plot of it."""

from __future__ import annotations

from PySide6.QtCore import Signal

from app.look import Look
from app.views.money import amount
from app.views.told import ToldView, link, soft_line, verdict_line
from app.views.voltage_plot import VoltagePlot, called, lacks, short, way
from engine import units
from engine.money.voltage import Carried, Trade


class VoltageTradeView(ToldView):
    """``field_asked(path)`` for what to enter."""

    field_asked = Signal(str)

    def __init__(self) -> None:
        self.plot = VoltagePlot()
        super().__init__("What another voltage would change", self.plot, lines)

    def follow(self, link: str) -> None:
        """Go to what is to be entered."""
        self.field_asked.emit(link)


def lines(trade: Trade, habit: str, currency: str, look: Look) -> list[str]:
    """The verdict in bold, what to enter, and else where curves cross and what dc and ac would carry."""
    wanted = ", ".join(link(item.path, item.title, look) for item in trade.missing)
    told = [] if trade.missing else [*_crossed(trade, currency), *_beyond(trade, habit)]
    told += _carried(trade, habit)
    enter = [f"Enter: {wanted}."] if wanted else []
    return [*verdict_line(verdict(trade, habit)), *enter, *soft_line(" ".join(told), look)]


def verdict(trade: Trade, habit: str) -> str:
    """Which voltage and size cost least of what the controller allows."""
    best = next((level for level in trade.levels if trade.best and level.count == trade.best[0]), None)
    if best is None or trade.best is None:
        return trade.why
    said = f"{short(best, habit)}, on {trade.best[1].text}"
    if not trade.carried:
        return f"{said} costs least of what the controller allows, losses made good by array."
    said, less = said[:1].upper() + said[1:], "costs" if trade.priced else "weighs"
    if trade.best == trade.now:
        return f"{said}: of what the controller allows nothing {less} less and loses no more."
    return f"{said} {less} least of what the controller allows and loses no more than now."


def _crossed(trade: Trade, currency: str) -> list[str]:
    """Up to which money, or metal, a higher voltage wins."""
    unit = currency if trade.priced else "kg"
    return [
        f"Up to {amount(each.cost, unit)} of conductor {called(trade, each.higher)} loses less, beyond it "
        f"{called(trade, each.lower)} does."
        for each in trade.crossings
    ]


def _beyond(trade: Trade, habit: str) -> list[str]:
    """What the dashed curves would need."""
    needs = [f"{way(level)} one that {need}" for level in trade.levels if (need := lacks(level, habit))]
    return [f"Dashed: needs another controller ({', '.join(needs)})."] if needs else []


def _carried(trade: Trade, habit: str) -> list[str]:
    """The chosen size as dc and as ac: what flows, drops, is lost, and weighs."""
    if not trade.carried or trade.now is None:
        return []
    told = "; ".join(_one_way(each, habit) for each in trade.carried)
    return [f"The length in {trade.now[1].text}: {told}."]


def _one_way(way: Carried, habit: str) -> str:
    amps, watts, mass = (
        units.show(value, unit, habit, 3)
        for value, unit in ((way.current, "A"), (way.loss, "W"), (way.mass, "kg"))
    )
    drop = units.show(way.fraction, "%", habit, 2)
    name = "dc, two conductors" if way.system == "dc" else "ac before the rectifier, three"
    return f"{name} of {amps}, {drop} drop, {watts}, {mass} of metal"
