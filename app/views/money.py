"""Money and metal: the sizes of one run as bars of price and of watts lost, with the numbers under them."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLabel, QSizePolicy, QToolTip, QVBoxLayout, QWidget

from app.look import LIGHT, Look
from app.views.lettering import blend, letters
from engine import units
from engine.money.sizes import Money, Option

SIDE = 16
ROWS = ("drop", "lost", "price", "a watt saved")
LEAST_BARS = 28.0  # pixels


def amount(value: float | None, currency: str = "") -> str:
    """A sum in the designer's money, to three figures or whole."""
    if value is None:
        return "–"
    text = units.show(value, "money", "metric", 3)
    return f"{text} {currency}".strip()


class MoneyView(QWidget):
    """``field_asked(path)`` for a price of the design, ``price_asked(size)`` for that of a size."""

    field_asked = Signal(str)
    price_asked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._told = QLabel()
        self._told.setWordWrap(True)
        self._told.setTextFormat(Qt.TextFormat.RichText)
        self._told.setContentsMargins(SIDE, 0, SIDE, 0)
        self._told.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        self._told.setAccessibleName("What the money says")
        self._told.linkActivated.connect(self._follow)
        self._bars = _Bars()
        self._given: tuple[Money | None, str, str] = (None, "", "")
        self._look = LIGHT
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self._told)
        column.addWidget(self._bars, 1)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._bars.set_look(look)
        self._tell()

    def show_money(self, money: Money | None, habit: str, currency: str) -> None:
        """Show the sizes of a circuit in a habit of units."""
        if (money, habit, currency) != self._given:
            self._given = (money, habit, currency)
            self._bars.show_money(money, habit, currency)
            self._tell()

    def _tell(self) -> None:
        money, habit, currency = self._given
        self._told.setText("" if money is None else as_html(money, habit, currency, self._look))

    def _follow(self, link: str) -> None:
        kind, _, name = link.partition(":")
        (self.price_asked if kind == "price" else self.field_asked).emit(name)


def as_html(money: Money, habit: str, currency: str, look: Look) -> str:
    """What the money says in two lines: the verdict, and what is lost or what to enter."""
    lines = [f"<b>{escape(verdict(money, currency))}</b>"]
    lost = yearly(money, habit)
    wanted = [_wanted(item.path, item.title, look) for item in money.missing]
    if wanted:
        lines.append(f"Enter: {', '.join(wanted)}.")
    elif lost:
        lines.append(f"<span style='color: {look.soft};'>{escape(lost)}</span>")
    return "<br>".join(lines)


def _wanted(path: str, title: str, look: Look) -> str:
    size = title.rpartition(" of ")[2] if path == "wires" and " of " in title else ""
    target = f"price:{size}" if size[:1].isdigit() else f"field:{path}"
    return f"<a href='{escape(target)}' style='color: {look.water};'>{escape(title)}</a>"


def verdict(money: Money, currency: str) -> str:
    """Where it pays to stop, in one sentence."""
    best = _option(money, money.best)
    if best is None:
        return money.why
    after = next((o for o in money.options if o.size > best.size and o.step is not None), None)
    stop = f"{best.size.text} costs least with its loss made good by array"
    if after is not None and after.step is not None and after.step > 0:
        watt = amount(money.watt, currency)
        stop += f": a watt saved by {after.size.text} costs {amount(after.step)}, a watt of array {watt}"
    chosen = _option(money, money.chosen)
    if chosen is None or money.chosen == money.best:
        return f"{stop}."
    more = " The drop, not money, asks for" if chosen.size > best.size else " The design has"
    return f"{stop}.{more} {chosen.size.text}."


def yearly(money: Money, habit: str) -> str:
    """What the chosen size loses, over a year where the hours of sun are known."""
    chosen = _option(money, money.chosen)
    if chosen is None:
        return ""
    told = f"{chosen.size.text} loses {units.show(chosen.loss, 'W', habit, 3)} at running current"
    if money.hours is None or chosen.yearly is None:
        return f"{told}. Prices are those of the conductors only."
    most = units.show(chosen.yearly, "Wh", habit, 3)
    hours = units.show(money.hours, "h", habit, 3)
    return f"{told}, at most {most} in a year of {hours} full sun. Prices are those of the conductors only."


def _option(money: Money, size: object) -> Option | None:
    return next((option for option in money.options if option.size == size), None)


class _Bars(QWidget):
    """A bar a size: its price, and on it what its loss costs; without prices, the watts lost."""

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._money: Money | None = None
        self._habit, self._currency = "metric", ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def minimumSizeHint(self) -> QSize:
        """Room for the numbers and a little bar."""
        return QSize(320, round(self._table() + LEAST_BARS + 2.2 * self._look.text))

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_money(self, money: Money | None, habit: str, currency: str) -> None:
        """Show the options."""
        self._money, self._habit, self._currency = money, habit, currency
        options = money.options if money is not None else ()
        self.setAccessibleName("Sizes side by side")
        self.setAccessibleDescription(". ".join(self._said(option) for option in options))
        self.update()

    def _cells(self, option: Option) -> tuple[str, ...]:
        return (
            units.show(option.fraction, "%", self._habit, 2),
            units.show(option.loss, "W", self._habit, 3),
            amount(option.price),
            amount(option.step),
        )

    def _said(self, option: Option) -> str:
        """An option in words: size, weight and the numbers of its column."""
        numbers = (
            f"{head} {cell}" for head, cell in zip(ROWS, self._cells(option), strict=True) if cell != "–"
        )
        weight = units.show(option.mass, "kg", self._habit, 3)
        few = "" if option.carries else ", less than the rules allow"
        total = "" if option.total is None else f", in all {amount(option.total, self._currency)}"
        return f"{option.size.text}{few}: {', '.join(numbers)}, {weight} of metal{total}"

    def _row(self) -> float:
        return 1.5 * self._look.text

    def _table(self) -> float:
        return (len(ROWS) + 1) * self._row() + 4

    def _columns(self) -> tuple[float, float]:
        """Where the first bar's column begins, and how wide each is."""
        count = max(len(self._money.options) if self._money else 0, 1)
        left = SIDE + letters(self._look, self._look.small).width("a watt saved") + 20
        return left, (self.width() - left - SIDE) / count

    def event(self, event: QEvent) -> bool:
        """An option's numbers in words, over its column."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and self._money is not None:
            left, wide = self._columns()
            at = int((event.pos().x() - left) // wide)
            known = self._money.options
            QToolTip.showText(event.globalPos(), self._said(known[at]) if 0 <= at < len(known) else "", self)
            return True
        return super().event(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        money = self._money
        if money is None or not money.options:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        left, wide = self._columns()
        floor = self.height() - self._table()
        valued = any(option.total is not None for option in money.options)
        self._paint_heads(painter, floor, valued)
        tops = [o.total if o.total is not None else (0.0 if valued else o.loss) for o in money.options]
        tall = (floor - 2.2 * self._look.text) / max([*tops, 1e-9])
        for at, option in enumerate(money.options):
            middle = left + (at + 0.5) * wide
            top = self._paint_bar(painter, option, middle, min(wide * 0.56, 56), floor, tall, valued)
            self._paint_tag(painter, option, middle, top, wide)
            self._paint_cells(painter, option, middle, floor, wide)
        painter.end()

    def _paint_heads(self, painter: QPainter, floor: float, valued: bool) -> None:
        look = self._look
        small = letters(look, look.small)
        painter.setPen(QPen(QColor(look.hairline), 1))
        painter.drawLine(SIDE, round(floor), self.width() - SIDE, round(floor))
        swatches = {"lost": look.sun, "price": self._metal()} if valued else {"lost": look.sun}
        for at, head in enumerate(ROWS):
            middle = floor + 4 + (at + 1.5) * self._row()
            if head in swatches:
                painter.fillRect(QRectF(SIDE, middle - 4, 8, 8), QColor(swatches[head]))
            name = f"{head}, {self._currency}" if head == "price" and self._currency else head
            small.draw(painter, SIDE + 13, middle, small.fit(name, self._columns()[0] - SIDE - 17), look.soft)

    def _metal(self) -> QColor:
        return blend(self._look.ink, self._look.sheet, 0.42)

    def _paint_bar(
        self,
        painter: QPainter,
        option: Option,
        middle: float,
        wide: float,
        floor: float,
        tall: float,
        valued: bool,
    ) -> float:
        """The bar of an option; where its top stands."""
        parts = [(option.loss, QColor(self._look.sun))]
        if valued:
            if option.total is None or option.price is None:
                return floor
            parts = [(option.price, self._metal()), (option.total - option.price, QColor(self._look.sun))]
        top = floor
        for value, colour in parts:
            high = value * tall
            painter.fillRect(QRectF(middle - wide / 2, top - high, wide, high), colour)
            top -= high
        return top

    def _paint_tag(self, painter: QPainter, option: Option, middle: float, top: float, wide: float) -> None:
        """What an option is: chosen, least in all, without a price, less than the rules allow."""
        look, money = self._look, self._money
        assert money is not None
        told = [
            word
            for word, on in (
                ("too thin", not option.carries),
                ("chosen", option.size == money.chosen),
                ("least in all", option.size == money.best),
            )
            if on
        ]
        type = letters(look, look.small, bold=True)
        joined = " · ".join(told)
        lines = [joined] if joined and type.width(joined) <= wide - 4 else []
        lines = lines or [words for line in told for words in type.wrap(line, wide - 2)]
        colour = look.ink if option.carries else look.fails
        for at, text in enumerate(reversed(lines)):
            type.draw(
                painter, middle - type.width(text) / 2, top - (0.9 + 1.2 * at) * look.small, text, colour
            )

    def _paint_cells(
        self, painter: QPainter, option: Option, middle: float, floor: float, wide: float
    ) -> None:
        look, money = self._look, self._money
        assert money is not None
        marked = option.size in (money.chosen, money.best)
        head, small = letters(look, bold=marked), letters(look, look.small)
        head = head if head.width(option.size.text) <= wide - 2 else small
        text = head.fit(option.size.text, wide - 2)
        head.draw(painter, middle - head.width(text) / 2, floor + 4 + self._row() / 2, text, look.ink)
        for at, cell in enumerate(self._cells(option)):
            text = small.fit(cell, wide - 2)
            dear = at == 3 and money.watt is not None and option.step is not None and option.step > money.watt
            colour = look.soft if dear or cell == "–" else look.ink
            small.draw(
                painter, middle - small.width(text) / 2, floor + 4 + (at + 1.5) * self._row(), text, colour
            )
