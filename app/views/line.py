"""The line: the system as a live one-line from its sources to its loads, and the way to every pane."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QPoint, QSize, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QMenu, QPushButton, QSizePolicy, QToolButton, QWidget

from app.look import LIGHT, Look
from app.views.line_canvas import Badge, LineCanvas
from engine.design import Design
from engine.finding import Status

ADDABLE = (
    ("arrays", "Array"),
    ("wind", "Wind turbine"),
    ("hydro", "Hydro turbine"),
    ("controllers", "Controller"),
    ("loads", "Load"),
    ("inverters", "Inverter"),
    ("generators", "Generator"),
    ("diversions", "Diversion load"),
    ("relays", "Relay"),
    ("devices", "Device"),
)
PLACE_ROWS = 3


class LineView(QWidget):
    """Places at the left end, the one-line, and what can be added at the right end.

    ``piece_chosen(path)`` by click, Enter or arrow; ``place_chosen(name)``; ``add_asked(table)``.
    """

    piece_chosen = Signal(str)
    place_chosen = Signal(str)
    add_asked = Signal(str)

    def __init__(self, addable: Sequence[tuple[str, str]] = ADDABLE) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._places: dict[str, QPushButton] = {}
        ends = QWidget()
        self._place_grid = QGridLayout(ends)
        self._place_grid.setContentsMargins(0, 0, 0, 0)
        self._place_grid.setSpacing(4)
        self._menu = QMenu(self)
        for table, title in addable:
            action = self._menu.addAction(title)
            action.triggered.connect(lambda _checked=False, table=table: self.add_asked.emit(table))
        self._add = QToolButton()
        self._add.setText("+ Add")
        self._add.setStyleSheet("QToolButton::menu-indicator { image: none; width: 0; }")
        self._add.setMenu(self._menu)
        self._add.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self._add.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._add.setAccessibleName("Add a piece to the system")
        self._canvas = LineCanvas()
        self._canvas.piece_chosen.connect(self.piece_chosen)
        self._canvas.add_asked.connect(self.add_asked)
        self._canvas.menu_asked.connect(self._show_menu)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 4)
        row.setSpacing(12)
        row.addWidget(ends, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(self._canvas, 1)
        row.addWidget(self._add, 0, Qt.AlignmentFlag.AlignVCenter)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        places = self._place_grid.sizeHint().height()
        return QSize(1200, max(self._canvas.wanted_height(), places) + 8)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._canvas.set_look(look)
        self.updateGeometry()

    def set_places(self, places: Sequence[tuple[str, str]]) -> None:
        """Offer places ``(name, title)`` at the left end, in columns of three."""
        for button in self._places.values():
            button.deleteLater()
        self._places = {}
        for number, (name, title) in enumerate(places):
            button = QPushButton(title)
            button.setCheckable(True)
            button.setAutoExclusive(True)
            button.clicked.connect(lambda _checked=False, name=name: self.place_chosen.emit(name))
            self._place_grid.addWidget(button, number % PLACE_ROWS, number // PLACE_ROWS)
            self._places[name] = button

    def set_place(self, name: str) -> None:
        """Show which place is open."""
        if name in self._places:
            self._places[name].setChecked(True)

    def set_notes(self, ask: Callable[[str], Sequence[str]]) -> None:
        """Ask this for the findings of a piece when its tooltip is wanted."""
        self._canvas.set_notes(ask)

    def show_system(
        self,
        design: Design,
        statuses: Mapping[str, Status | None],
        badges: Mapping[str, Badge],
        habit: str,
        selected: str,
    ) -> None:
        """Show the design with the worst status and the live (volts, amps) of each piece, by path."""
        before = self._canvas.wanted_height()
        self._canvas.show_system(design, statuses, badges, habit, selected)
        if self._canvas.wanted_height() != before:
            self.updateGeometry()

    def _show_menu(self, at: QPoint) -> None:
        self._menu.popup(at)
