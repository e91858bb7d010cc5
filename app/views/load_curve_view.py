"""The plot over voltage whose load curve is dragged by its points, and what can be done with that curve."""

from __future__ import annotations

from itertools import count

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from app.look import Look
from app.views.axis import Axis
from app.views.turbine import TurbineView
from engine import units

REACH = 9.0  # pixels at a type size of 12: how near the pointer must be to a point


class LoadCurveView(TurbineView):
    """A plot whose ``handles`` are dragged: ``point_moved(point, x, y, drag)`` in canonical units.

    ``drag`` is the same text from press to release, another one for each drag; the axes stand still in it.
    """

    point_moved = Signal(int, float, float, str)

    def __init__(self) -> None:
        super().__init__()
        self._drags = count(1)
        self._point, self._drag = -1, ""
        self._still: tuple[Axis, Axis, Axis] | None = None

    def axes(self) -> tuple[Axis, Axis, Axis]:
        return self._still if self._still is not None else super().axes()

    def nearest(self, place: QPointF) -> int:
        """The handle within reach of a pixel, -1 where there is none."""
        reach = REACH * self._look.text / 12
        far = [
            (at.x() - place.x()) ** 2 + (at.y() - place.y()) ** 2
            for at in (self.at(x, y) for x, y in self._plot.handles)
        ]
        least = min(far, default=reach * reach + 1)
        return far.index(least) if least <= reach * reach else -1

    def mousePressEvent(self, event: QMouseEvent) -> None:
        point = self.nearest(event.position()) if event.button() is Qt.MouseButton.LeftButton else -1
        if point < 0:
            return
        self._still = self.axes()
        self._point, self._drag = point, f"drag {next(self._drags)}"
        self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._point < 0:
            near = self.nearest(event.position()) >= 0
            self.setCursor(Qt.CursorShape.OpenHandCursor if near else Qt.CursorShape.ArrowCursor)
        else:
            across, up, _ = self.axes()
            unit, habit = self._plot.units, self._plot.habit
            x = float(units.unconvert(across.value(event.position().x()), unit[0], habit))
            y = float(units.unconvert(up.value(event.position().y()), unit[1], habit))
            self.point_moved.emit(self._point, x, y, self._drag)
        super().mouseMoveEvent(event)

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        self._point, self._drag, self._still = -1, "", None
        self.setCursor(Qt.CursorShape.ArrowCursor)
        self.update()


class LoadCurveBar(QWidget):
    """What can be done with the load curve: enter it, go back to the computed one, refine it from a log."""

    entered = Signal()
    computed = Signal()
    refined = Signal()

    def __init__(self) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 0, 8, 0)
        row.setSpacing(8)
        self.enter = QPushButton("Enter this load curve")
        self.enter.setToolTip(
            "Put its points into the design; drag them in the plot, or type them under More."
        )
        self.enter.clicked.connect(self.entered)
        self.compute = QPushButton("Take the computed curve")
        self.compute.setToolTip("Empty the points entered.")
        self.compute.clicked.connect(self.computed)
        self.refine = QPushButton("Refine from a log…")
        self.refine.setToolTip(
            "Compare the curve with logged volts, amps and wind, and propose better points."
        )
        self.refine.clicked.connect(self.refined)
        for button in (self.enter, self.compute, self.refine):
            row.addWidget(button)
        row.addStretch(1)
        self.compute.hide()  # beside the first it would widen the window for good

    def show_curve(self, *, entered: bool, known: bool) -> None:
        """Show what fits a curve that was entered, or computed; nothing where none is known."""
        self.enter.setVisible(not entered)
        self.compute.setVisible(entered)
        self.refine.setVisible(known)
        self.setVisible(known or entered)

    def set_look(self, look: Look) -> None:
        """Wear a look: in a large one the buttons stand closer."""
        self.layout().setSpacing(8 if look.text < 16 else 4)  # type: ignore[union-attr]
