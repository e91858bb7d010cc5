"""Money and metal: the sizes of one run as bars of price and of watts lost, with the numbers under them."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, QSize, Signal
from PySide6.QtGui import QColor, QHelpEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.look import LIGHT, Look
from app.views.lettering import blend, letters
from app.views.told import SIDE, ToldView, link, soft_line, verdict_line
from engine import units
from engine.money.sizes import Money, Option

ROWS = ("drop", "lost", "price", "a watt saved")
LEAST_BARS = 28.0  # pixels


def amount(value: float | None, currency: str = "") -> str:
    """A sum in the designer's money, to three figures or whole."""
    if value is None:
        return "–"
    text = units.show(value, "money", "metric", 3)
    return f"{text} {currency}".strip()


class MoneyView(ToldView):
    """``field_asked(path)`` for a price of the design, ``price_asked(size)`` for that of a size,
    ``worksheet_asked(id, inputs)`` to open the numbers in their worksheet."""

    field_asked = Signal(str)
    price_asked = Signal(str)
    worksheet_asked = Signal(str, object)

    def __init__(self) -> None:
        self._bars = _Bars()
        super().__init__("What the money says", self._bars, lines)

    def follow(self, link: str) -> None:
        """Go to a price, or to the worksheet of the numbers."""
        kind, _, name = link.partition(":")
        if kind == "worksheet":
            for step in self._given[0].steps:
                self.worksheet_asked.emit(step.sheet.id, dict(step.inputs))
            return
        (self.price_asked if kind == "price" else self.field_asked).emit(name)


def lines(money: Money, habit: str, currency: str, look: Look) -> list[str]:
    """What the money says in two lines: the verdict, and what is lost or what to enter."""
    wanted = [_wanted(item.path, item.title, look) for item in money.missing]
    second = [f"Enter: {', '.join(wanted)}."] if wanted else soft_line(yearly(money, habit), look)
    formula = link("worksheet:", "Its formula", look) if money.steps else ""
    return [*(f"{line} {formula}".strip() for line in verdict_line(verdict(money, currency))), *second]


def _wanted(path: str, title: str, look: Look) -> str:
    size = title.rpartition(" of ")[2] if path == "wires" and " of " in title else ""
    target = f"price:{size}" if size[:1].isdigit() else f"field:{path}"
    return link(target, title, look)


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
    if money.abreast > 1:
        told += f", all {money.abreast} strings together"
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

    def show_given(self, money: Money | None, habit: str, currency: str) -> None:
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
        left = SIDE + letters(self._look, self._look.small).width("a watt saved") + 20
        return left, (self.width() - left - SIDE) / max(len(self._options()), 1)

    def _options(self) -> tuple[Option, ...]:
        """The options that have room: those about the chosen and the best, the widest numbers unbroken."""
        options = self._money.options if self._money is not None else ()
        small = letters(self._look, self._look.small)
        texts = [text for option in options for text in (option.size.text, *self._cells(option))]
        room = self.width() - 2 * SIDE - small.width("a watt saved") - 20
        count = max(int(room / (max(map(small.width, texts), default=0.0) + 4)), 1)
        marked = [at for at, option in enumerate(options) if self._is_marked(option)]
        first = max(min((marked or [0])[0] - 1, len(options) - count), 0)
        return options[first : first + count]

    def _is_marked(self, option: Option) -> bool:
        return self._money is not None and option.size in (self._money.chosen, self._money.best)

    def event(self, event: QEvent) -> bool:
        """An option's numbers in words, over its column."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and self._money is not None:
            left, wide = self._columns()
            at = int((event.pos().x() - left) // wide)
            known = self._options()
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
        options = self._options()
        tops = [o.total if o.total is not None else (0.0 if valued else o.loss) for o in options]
        tall = max(floor - 2.2 * self._look.text, 0.0) / max([*tops, 1e-9])
        for at, option in enumerate(options):
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
        marked = self._is_marked(option)
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
