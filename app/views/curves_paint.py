"""The drawing of a source's curves: zones, grid, curves, limits, the operating point and the held one."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.look import Look
from app.views.axis import figure
from app.views.curves_layout import Line, Scales, free_box, line, reading
from app.views.label_room import Spot, Want, place_labels
from app.views.lettering import Letters, blend, letters, line_colour
from engine import units
from engine.sections.results import ArrayLook

OVER = 1.25  # times the size of type: how high the limits' names stand over the plot


@dataclass(frozen=True, slots=True)
class Shown:
    """What is drawn: a source's look, the held one, and the controller's limits [V]."""

    look: ArrayLook | None = None
    held: ArrayLook | None = None
    operating: float | None = None
    start: float | None = None
    habit: str = "metric"
    caption: str = ""
    colour: str = "sun"


def point_text(look: ArrayLook, habit: str) -> str:
    """The operating point in words: volts, amps and watts."""
    return " · ".join(units.show(value, unit, habit, 3) for value, unit in parts_of(look))


def parts_of(look: ArrayLook) -> tuple[tuple[float, str], ...]:
    """The operating point's volts, amps and watts, with their units."""
    return ((look.voltage, "V"), (look.current, "A"), (look.power, "W"))


def paint_plot(painter: QPainter, shown: Shown, to: Scales, box: QRectF, look: Look) -> None:
    """Draw the plot of a look that has a curve."""
    source = shown.look
    assert source is not None
    power = line(source.volts, source.watts, to.volts, to.watts)
    current = line(source.volts, source.amps, to.volts, to.amps)
    colour = QColor(look.source(shown.colour))
    painter.save()
    painter.setClipRect(box.adjusted(-1, -1, 1, 1))
    _zones(painter, shown, to, box, look)
    _power_area(painter, power.polygon, box, colour, look)
    painter.restore()
    _grid(painter, to, box, look)
    painter.save()
    painter.setClipRect(box.adjusted(-1, -6, 1, 6))
    ghosts = _ghost(painter, shown, to, look)
    stroke = line_colour(look, shown.colour)
    _stroke(painter, power, stroke, 1.0 * look.stroke)
    _stroke(painter, current, stroke, 2.0 * look.stroke)
    _limits(painter, shown, to, box, look)
    _points(painter, shown, to, look)
    painter.restore()
    _limit_labels(painter, shown, to, box, look)
    lines = [(current, 2.0), (power, 2.0), *((ghost, 1.0) for ghost in ghosts)]
    _labels(painter, shown, to, box, look, lines)


def paint_reading(painter: QPainter, shown: Shown, to: Scales, box: QRectF, look: Look, x: float) -> None:
    """The curves' values under the pointer, on the voltage axis."""
    source = shown.look
    if source is None or not box.left() <= x <= box.right():
        return
    voltage = to.volts.value(x)
    amps = reading(source.volts, source.amps, voltage)
    watts = reading(source.volts, source.watts, voltage)
    at = round(x) + 0.5
    painter.setPen(QPen(QColor(look.soft), 1))
    painter.drawLine(QPointF(at, box.top()), QPointF(at, box.bottom()))
    values = ((voltage, "V"), (amps, "A"), (watts, "W"))
    text = " · ".join(units.show(value, unit, shown.habit, 3) for value, unit in values)
    small = letters(look, look.small)
    wide, high = small.width(text) + 12, 1.7 * look.text
    left = min(max(at - wide / 2, box.left()), box.right() - wide)
    back = QRectF(left, box.bottom() + 3, wide, high)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(look.ink))
    painter.drawRoundedRect(back, 3, 3)
    small.draw(painter, left + 6, back.center().y(), text, look.sheet)


def _zones(painter: QPainter, shown: Shown, to: Scales, box: QRectF, look: Look) -> None:
    """Where the controller does not work: above its operating limit, below its start."""
    if shown.operating is not None:
        x = max(to.volts.at(shown.operating), box.left())
        painter.fillRect(
            QRectF(x, box.top(), box.right() - x, box.height()), blend(look.fails, look.sheet, 0.09)
        )
    if shown.start is not None:
        x = min(to.volts.at(shown.start), box.right())
        painter.fillRect(
            QRectF(box.left(), box.top(), x - box.left(), box.height()), blend(look.soft, look.sheet, 0.1)
        )


def _power_area(painter: QPainter, power: QPolygonF, box: QRectF, colour: QColor, look: Look) -> None:
    area = QPolygonF(power)
    area.append(QPointF(power.last().x(), box.bottom()))
    area.append(QPointF(power.first().x(), box.bottom()))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(blend(colour.name(), look.sheet, 0.16))
    painter.drawPolygon(area)


def _grid(painter: QPainter, to: Scales, box: QRectF, look: Look) -> None:
    small = letters(look, look.small)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(QPen(QColor(look.hairline), 1))
    for volts in to.volts.ticks():
        x = round(to.volts.at(volts))
        painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
    for amps in to.amps.ticks():
        y = round(to.amps.at(amps))
        painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for volts in to.volts.ticks():
        text = "0" if volts == 0 else f"{figure(volts, to.volts.step)} V"
        small.draw(
            painter, to.volts.at(volts) - small.width(text) / 2, box.bottom() + look.text, text, look.soft
        )
    for amps in to.amps.ticks()[1:]:
        text = f"{figure(amps, to.amps.step)} A"
        small.draw(painter, box.left() - 6 - small.width(text), to.amps.at(amps), text, look.soft)
    kilo = to.watts.high >= 1000
    for watts in to.watts.ticks()[1:]:
        text = (
            f"{figure(watts / 1000, to.watts.step / 1000)} kW"
            if kilo
            else f"{figure(watts, to.watts.step)} W"
        )
        small.draw(painter, box.right() + 6, to.watts.at(watts), text, look.soft)


def _ghost(painter: QPainter, shown: Shown, to: Scales, look: Look) -> list[Line]:
    held = shown.held
    if held is None or not held.volts.size:
        return []
    current = line(held.volts, held.amps, to.volts, to.amps)
    power = line(held.volts, held.watts, to.volts, to.watts)
    _stroke(painter, power, QColor(look.faint), 1.0 * look.stroke, dashed=True)
    _stroke(painter, current, QColor(look.soft), 1.4 * look.stroke, dashed=True)
    return [current, power]


def _stroke(painter: QPainter, curve: Line, colour: QColor, wide: float, dashed: bool = False) -> None:
    pen = QPen(colour, wide)
    if dashed:
        pen.setDashPattern([4.0, 3.0])
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(curve.polygon)


def _limits(painter: QPainter, shown: Shown, to: Scales, box: QRectF, look: Look) -> None:
    for limit, colour in ((shown.start, look.soft), (shown.operating, look.fails)):
        if limit is not None:
            painter.setPen(QPen(QColor(colour), 1.2 * look.stroke, Qt.PenStyle.DashLine))
            x = to.volts.at(limit)
            painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
    source = shown.look
    if source is not None and source.state == "current limit" and source.power > 0:
        painter.setPen(QPen(QColor(look.ink), 1.2 * look.stroke, Qt.PenStyle.DashLine))
        y = to.watts.at(source.power)
        painter.drawLine(QPointF(to.volts.at(source.voltage), y), QPointF(box.right(), y))


def _points(painter: QPainter, shown: Shown, to: Scales, look: Look) -> None:
    for source, fill in ((shown.held, look.sheet), (shown.look, look.ink)):
        if source is None or not source.volts.size:
            continue
        ink = look.ink if source is shown.look else look.soft
        painter.setPen(QPen(QColor(ink), 1.5))
        painter.setBrush(QColor(fill))
        radius = 4.0 * look.text / 12
        painter.drawEllipse(to.current_at(source.voltage, source.current), radius, radius)
        if source.power > 0:
            small = radius * 0.7
            painter.drawEllipse(to.power_at(source.voltage, source.power), small, small)


def _dot(to: Scales, source: ArrayLook) -> QRectF:
    at = to.current_at(source.voltage, source.current)
    return QRectF(at.x() - 4, at.y() - 4, 8, 8)


def _limit_labels(painter: QPainter, shown: Shown, to: Scales, box: QRectF, look: Look) -> None:
    """The limits' names on one line above the plot, where no curve and no number of an axis touches them; the
    numbers alone where there is no room for words."""
    small = letters(look, look.small)
    said = [
        (to.volts.at(limit), (f"{word} {volts}", f"{short} {volts}"), colour)
        for limit, word, short, colour in (
            (shown.operating, "operates to", "to", look.fails),
            (shown.start, "starts at", "from", look.soft),
        )
        if limit is not None and to.volts.low <= limit <= to.volts.high
        for volts in (units.show(limit, "V", shown.habit),)
    ]
    room = (box.left(), box.right() + 4 * look.text)
    for texts in product(*(texts for _, texts, _ in said)):
        wants = [
            Want(small.width(text), small.width(text), (Spot(x - 2, False, room), Spot(x + 2, True, room)))
            for text, (x, _, _) in zip(texts, said, strict=True)
        ]
        places = place_labels(wants, [], [])
        if None not in places:
            break
    for text, (_, _, colour), place in zip(texts, said, places, strict=True):
        if place is not None:
            small.draw(painter, place.low, box.top() - OVER * look.text, text, colour)


def _labels(
    painter: QPainter, shown: Shown, to: Scales, box: QRectF, look: Look, curves: list[tuple[Line, float]]
) -> None:
    """The points' values and the curves' names, where nothing else is; a long text gives way to a short."""
    source, held = shown.look, shown.held
    assert source is not None
    bold, small = letters(look, bold=True), letters(look, look.small)
    taken = [_dot(to, item) for item in (source, held) if item is not None and item.volts.size]
    at = to.current_at(source.voltage, source.current)
    wanted: list[tuple[QPointF, tuple[str, ...], Letters, str]] = []
    volts, watts = (units.show(value, unit, shown.habit, 3) for value, unit in parts_of(source)[::2])
    told = (point_text(source, shown.habit), f"{volts} · {watts}", watts)
    wanted.append((at, told, bold, look.ink))
    if held is not None and held.volts.size:
        ghost = to.current_at(held.voltage, held.current)
        watts = units.show(held.power, "W", shown.habit, 3)
        said = (f"held {point_text(held, shown.habit)}", f"held {watts}")
        wanted.append((ghost, said, small, look.soft))
    if source.state == "current limit" and source.power > 0:
        amps = units.show(source.output_current, "A", shown.habit, 3)
        end = to.power_at(source.voltage, source.power)
        wanted.append((end, (f"{amps} limit",), small, look.ink))
    if source.best_power > 0:
        first = to.volts.low + 0.02 * (to.volts.high - to.volts.low)
        start = to.current_at(first, reading(source.volts, source.amps, first))
        wanted.append((start, ("current",), small, look.soft))
        half = to.volts.low + 0.5 * (source.best_voltage - to.volts.low)
        ramp = to.power_at(half, reading(source.volts, source.watts, half))
        wanted.append((ramp, ("power",), small, look.soft))
    uprights = [to.volts.at(limit) for limit in (shown.start, shown.operating) if limit is not None]
    for point, texts, type, colour in wanted:
        within = box if box.adjusted(-9, -9, 9, 9).contains(point) else QRectF()
        best: tuple[float, QRectF, str] | None = None
        for text in texts:
            found = free_box(point, (type.width(text), type.height), within, taken, curves, uprights)
            if found is not None and (best is None or found[0] < best[0] - 0.5):
                best = (*found, text)
        if best is not None:
            _, spot, text = best
            taken.append(spot)
            type.draw(painter, spot.left(), spot.center().y(), text, colour)
