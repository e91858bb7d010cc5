"""What the panes of sources share: one source at a time, its forms at the left, its ladder at the right."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QLabel, QPushButton, QSplitter, QVBoxLayout, QWidget

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.selection import source_of
from app.session import Session
from app.views.caution import CautionPanel
from app.views.ladder import LadderView
from engine.design import Circuit, Controller, Design, HydroTurbine, WindTurbine, label

BATTERY_FIELDS = ("voltage", "lowest_voltage", "highest_voltage")
ENDS = ("alternator", "brake", "run", "limiter")
WORDS = {"arrays": "Array", "wind": "Wind turbine", "hydro": "Hydro turbine"}
BLOWS = {"wind": "wind", "hydro": "water"}


class SourcePane(Pane):
    """A source at a time, chosen in the list or on the line."""

    piece_chosen = Signal(str)
    add_asked = Signal(str)

    def __init__(self, session: Session, table: str) -> None:
        super().__init__()
        self._session, self._table = session, table
        self._title, self._about = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._about.setObjectName("soft")
        self._title.setWordWrap(True)
        self._about.setWordWrap(True)
        self._list = QComboBox()
        self._list.setAccessibleName(WORDS[table])
        self._list.activated.connect(lambda at: self.piece_chosen.emit(str(self._list.itemData(at))))
        for at, widget in enumerate((self._title, self._about, self._list)):
            self.form_column.insertWidget(at, widget)
        self._ladder = LadderView()
        self._ladder.piece_chosen.connect(self.piece_chosen)
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.setChildrenCollapsible(False)
        self.sheet_of(self._ladder)
        self.picture.addWidget(self._split)

    def sheet_of(self, widget: QWidget, margins: tuple[int, int, int, int] = (0, 0, 0, 0)) -> QVBoxLayout:
        """Put a sheet with a widget under the others; its column."""
        frame, column = sheet()
        column.setContentsMargins(*margins)
        column.addWidget(widget, 1)
        self._split.addWidget(frame)
        return column

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._ladder.set_look(look)

    def show_list(self, design: Design, id: str) -> None:
        """Offer every source of the kind, this one in hand; nothing where there is no other."""
        offered = [(label(item), f"{self._table}.{item.id}") for item in getattr(design, self._table)]
        held = [(self._list.itemText(at), str(self._list.itemData(at))) for at in range(self._list.count())]
        if held != offered:
            self._list.clear()
            for name, path in offered:
                self._list.addItem(name, path)
        self._list.setCurrentIndex(self._list.findData(f"{self._table}.{id}"))
        self._list.setVisible(len(offered) > 1)


class TurbinePane(SourcePane):
    """A turbine with its controller, the battery's voltages and its circuits; ``more`` forms follow them.

    A pane of turbines draws its pictures in ``draw(turbine)``.
    """

    def __init__(self, session: Session, table: str, *more: Form) -> None:
        super().__init__(session, table)
        self._turbine = ""
        self._first, self._controller, self._battery = (Form(session) for _ in range(3))
        self._circuits = tuple(Form(session) for _ in ENDS)
        self._more = more
        self._caution = CautionPanel(table)
        add = QPushButton(f"Add another {WORDS[table].lower()}")
        add.clicked.connect(lambda: self.add_asked.emit(table))
        for part in (self._first, self._caution, *self.forms()[1:], add):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self.note = QLabel()
        self.note.setObjectName("note")
        self.note.setWordWrap(True)
        self.note.setContentsMargins(12, 0, 8, 0)

    def build_below(self, *views: QWidget) -> None:
        """Put views under the ladder, and the note under them."""
        first, *others = views
        column = self.sheet_of(first, (0, 4, 0, 8))
        for view in (*others, self.note):
            column.addWidget(view)
        self._split.setSizes([250, 290])

    def forms(self) -> tuple[Form, ...]:
        return (self._first, self._controller, self._battery, *self._circuits, *self._more)

    @property
    def live(self) -> bool:
        return True

    @property
    def source(self) -> str:
        return f"{self._table}.{self._turbine}"

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._caution.set_look(look)

    def refresh(self) -> None:
        """Show the selected turbine with the session's evaluation and conditions."""
        design = self._session.design
        self._turbine = source_of(design, self._table, self._session.selected)
        turbine = design.find(self._table, self._turbine)
        self.show_list(design, self._turbine)
        if not isinstance(turbine, WindTurbine | HydroTurbine):
            return
        self._title.setText(label(turbine))
        controller = design.find("controllers", turbine.controller)
        named = f"on {label(controller)}" if controller is not None else "no controller"
        self._about.setText(f"{BLOWS[self._table]} · {named}")
        self._first.set_paths(f"{self._table}.{turbine.id}", turbine.specs())
        self._controller.setVisible(isinstance(controller, Controller))
        if isinstance(controller, Controller):
            heading = f"Controller: {label(controller)}"
            self._controller.set_paths(f"controllers.{controller.id}", Controller.specs(), heading)
        self._battery.set_paths("bank", BATTERY_FIELDS, "Battery voltages")
        for form, end in zip(self._circuits, ENDS, strict=True):
            circuit = self._session.evaluation.circuits.get(f"{turbine.id}-{end}")
            form.setVisible(circuit is not None)
            if circuit is not None:
                form.set_paths(f"circuits.{circuit.id}", Circuit.specs(), circuit.title)
        self.draw(turbine)

    def refresh_look(self) -> None:
        """Only the conditions moved: redraw the pictures, leave the forms."""
        turbine = self._session.design.find(self._table, self._turbine)
        if isinstance(turbine, WindTurbine | HydroTurbine):
            self.draw(turbine)

    def draw(self, turbine: Any) -> None:
        """Draw the pictures of a turbine at the session's conditions."""
        raise NotImplementedError


def side_by_side(left: QWidget, right: QWidget) -> QSplitter:
    """Two views beside each other, with a border that can be dragged."""
    both = QSplitter(Qt.Orientation.Horizontal)
    both.setChildrenCollapsible(False)
    both.addWidget(left)
    both.addWidget(right)
    return both
