"""The voltage of a long run: what costs least, where a higher voltage wins, and the plot of it."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.look import LIGHT, Look
from app.views.money import amount
from app.views.voltage_plot import SIDE, VoltagePlot
from engine import units
from engine.money.voltage import Trade


class VoltageTradeView(QWidget):
    """``field_asked(path)`` for what to enter."""

    field_asked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._told = QLabel()
        self._told.setWordWrap(True)
        self._told.setTextFormat(Qt.TextFormat.RichText)
        self._told.setContentsMargins(SIDE, 0, SIDE, 0)
        self._told.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        self._told.setAccessibleName("What another voltage would change")
        self._told.linkActivated.connect(self.field_asked)
        self.plot = VoltagePlot()
        self._given: tuple[Trade | None, str, str] = (None, "", "")
        self._look = LIGHT
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self._told)
        column.addWidget(self.plot, 1)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.plot.set_look(look)
        self._tell()

    def show_trade(self, trade: Trade | None, habit: str, currency: str) -> None:
        """Show the voltages of a run in a habit of units."""
        if (trade, habit, currency) != self._given:
            self._given = (trade, habit, currency)
            self.plot.show_trade(trade, habit, currency)
            self._tell()

    def _tell(self) -> None:
        trade, habit, currency = self._given
        self._told.setText("" if trade is None else as_html(trade, habit, currency, self._look))


def as_html(trade: Trade, habit: str, currency: str, look: Look) -> str:
    """The verdict in bold, and under it where curves cross or what to enter."""
    lines = [f"<b>{escape(verdict(trade, habit))}</b>"] if verdict(trade, habit) else []
    wanted = ", ".join(
        f"<a href='{escape(item.path)}' style='color: {look.water};'>{escape(item.title)}</a>"
        for item in trade.missing
    )
    if wanted:
        lines.append(f"Enter: {wanted}.")
    if not trade.missing:
        told = " ".join([*_crossed(trade, currency), *_beyond(trade, habit)])
        lines.append(f"<span style='color: {look.soft};'>{escape(told)}</span>")
    return "<br>".join(lines)


def verdict(trade: Trade, habit: str) -> str:
    """Which voltage and size cost least of what the controller allows."""
    best = next((level for level in trade.levels if trade.best and level.modules == trade.best[0]), None)
    if best is None or trade.best is None:
        return trade.why
    wired = f"{best.modules} in series, {units.show(best.voltage, 'V', habit, 3)}, on {trade.best[1].text}"
    return f"{wired} costs least of what the controller allows, losses made good by array."


def _crossed(trade: Trade, currency: str) -> list[str]:
    """Up to which money, or metal, a higher voltage wins."""
    unit = currency if trade.priced else "kg"
    return [
        f"Up to {amount(each.cost, unit)} of conductor {each.higher} in series lose less, beyond it "
        f"{each.lower} do."
        for each in trade.crossings
    ]


def _beyond(trade: Trade, habit: str) -> list[str]:
    """What the dashed curves would need."""
    needs = [
        f"{level.modules} in series {units.show(level.survives, 'V', habit, 3)}"
        for level in trade.levels
        if not level.allowed and level.survives is not None
    ]
    return [f"Dashed: needs a controller that survives more ({', '.join(needs)})."] if needs else []
