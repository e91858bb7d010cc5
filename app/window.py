"""The one window: the line on top, a pane in the middle, findings at the right, conditions at the bottom.

It arranges and routes; it holds no state of the design and computes no number.
"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app import actions
from app.look import LOOKS, palette, style_sheet
from app.pane import Pane, sheet
from app.panes.site import SitePane
from app.panes.sources import SourcesPane
from app.panes.wiring import WiringPane
from app.panes.worksheets import WorksheetsPane
from app.session import Session
from app.views.conditions import ConditionsStrip
from app.views.findings import FindingsView
from app.views.line import LineView
from app.views.needs import NeedsView
from engine import module_table
from engine.design import Array, Design
from engine.edit import add as add_record
from engine.edit import set_fields
from engine.needs import needs
from engine.problems import Problems
from engine.sections import live

PLACES = (("site", "Site"), ("sources", "Sources"), ("wiring", "Wiring"), ("worksheets", "Worksheets"))
WITHOUT_STRIP = ("wiring", "worksheets")  # nothing there answers to the conditions of looking
FINDINGS_WIDTH = 332
NOTES = 4  # findings told in a piece's tooltip


class Window(QMainWindow):
    """The window over one session."""

    def __init__(self, session: Session, look: str = "light") -> None:
        super().__init__()
        self.session = session
        self.look = LOOKS[look]
        self._shown = "sources"
        self.panes: dict[str, QWidget] = {
            "site": SitePane(session),
            "sources": SourcesPane(session),
            "wiring": WiringPane(session),
            "worksheets": WorksheetsPane(),
        }
        self._build()
        self.actions_made = actions.make(self)
        self._connect()
        self.set_look(look)
        self._session_changed()

    def _build(self) -> None:
        paper = QWidget()
        paper.setObjectName("paper")
        column = QVBoxLayout(paper)
        column.setContentsMargins(12, 8, 12, 8)
        column.setSpacing(8)
        self._name, self._state, self._notice = QLabel(), QLabel(), QLabel()
        self._name.setObjectName("title")
        self._state.setObjectName("soft")
        self._notice.setObjectName("error")
        head = QHBoxLayout()
        for label in (self._name, self._state):
            head.addWidget(label)
        head.addStretch(1)
        head.addWidget(self._notice)
        column.addLayout(head)
        self.line = LineView()
        self.line.set_places(PLACES)
        self.line.set_notes(self._notes)
        frame, inside = sheet()
        inside.setContentsMargins(4, 4, 4, 4)
        inside.addWidget(self.line)
        column.addWidget(frame)
        self._stack = QStackedWidget()
        for pane in self.panes.values():
            self._stack.addWidget(pane)
        self._needs = NeedsView()
        self.findings = FindingsView()
        self._findings_sheet, inside = sheet()
        inside.setContentsMargins(12, 8, 4, 8)
        inside.addWidget(self._needs)
        inside.addWidget(self.findings, 1)
        self._middle = QSplitter(Qt.Orientation.Horizontal)
        self._middle.setChildrenCollapsible(False)
        self._middle.addWidget(self._stack)
        self._middle.addWidget(self._findings_sheet)
        self._middle.setStretchFactor(0, 1)
        self._findings_sheet.setMinimumWidth(FINDINGS_WIDTH)
        column.addWidget(self._middle, 1)
        self.strip = ConditionsStrip(names=("cell", "irradiance", "battery"))
        self._strip_sheet, inside = sheet()
        inside.setContentsMargins(12, 4, 12, 4)
        inside.addWidget(self.strip)
        column.addWidget(self._strip_sheet)
        self.setCentralWidget(paper)

    def _connect(self) -> None:
        session, sources, worksheets = self.session, self.panes["sources"], self.panes["worksheets"]
        session.changed.connect(self._session_changed)
        session.evaluated.connect(self.refresh)
        session.looked.connect(self._looked)
        self.line.piece_chosen.connect(self.choose)
        self.line.place_chosen.connect(self.show_place)
        self.line.add_asked.connect(self.add)
        self.findings.field_asked.connect(self.go_to)
        self._needs.field_asked.connect(self.go_to)
        self._needs.add_asked.connect(self.add)
        self.strip.moved.connect(self._moved)
        self.strip.hold_toggled.connect(session.hold)
        assert isinstance(sources, SourcesPane) and isinstance(worksheets, WorksheetsPane)
        sources.piece_chosen.connect(self.choose)
        sources.add_asked.connect(self.add)
        sources.module_asked.connect(self.find_module)
        wiring = self.panes["wiring"]
        assert isinstance(wiring, WiringPane)
        wiring.piece_chosen.connect(self.choose)
        wiring.said.connect(self.say)
        self.findings.worksheet_asked.connect(self._open_worksheet)

    def set_look(self, name: str) -> None:
        """Wear a look: light, dark or projector."""
        self.look = LOOKS[name]
        self.setPalette(palette(self.look))
        self.setStyleSheet(style_sheet(self.look))
        for part in (self.line, self.findings, self.strip, self._needs, *self.panes.values()):
            part.set_look(self.look)
        self._findings_sheet.setMinimumWidth(FINDINGS_WIDTH + (80 if self.look.text >= 16 else 0))
        self.refresh()

    def show_place(self, name: str) -> None:
        """Show a pane by name."""
        self._shown = name
        self._stack.setCurrentWidget(self.panes[name])
        self._strip_sheet.setVisible(name not in WITHOUT_STRIP)
        self.line.set_place(name)
        self.refresh()

    def choose(self, path: str) -> None:
        """Open the pane of a piece and select it."""
        self.session.select(path)
        table = path.partition(".")[0]
        if table in ("site", ""):
            self.show_place("site")
        elif table == "circuits":
            self.show_place("wiring")
        elif table in ("arrays", "controllers", "modules", "wind", "hydro", "bank"):
            self.show_place("sources")
        else:
            self.refresh()

    def go_to(self, path: str) -> None:
        """Jump to the field at a path, in the pane that has it."""
        if not path:
            return
        table, _, _ = path.partition(".")
        if table in ("site", "name", "story", "rules", "units", "invented"):
            self.show_place("site")
        else:
            owner = path.rpartition(".")[0] or path
            self.choose(owner if path.count(".") > 1 else path)
        pane = self.panes[self._shown]
        if isinstance(pane, Pane):
            pane.go_to(path)

    def add(self, table: str) -> None:
        """Add a record to a table, bound to what stands beside it, and open it."""
        session = self.session
        if table == "arrays":
            session.replace(*_whole_array(session))
            self.choose(f"arrays.{session.design.arrays[-1].id}")
            return
        self.choose(session.add(table))

    def find_module(self, source: str) -> None:
        """Ask for a module of the open table and put its data into the array's module."""
        from app.dialogs.module_finder import ModuleFinder

        dialog = ModuleFinder(self)
        if dialog.exec() and dialog.chosen is not None:
            self.take_module(source, dialog.chosen)

    def take_module(self, source: str, row: module_table.Row) -> None:
        """Put a row of the open table into the module of an array, as one undoable step."""
        design = self.session.design
        array = design.find("arrays", source.partition(".")[2])
        if not isinstance(array, Array):
            return
        id = array.module
        if id is None:
            design, id = add_record(design, "modules")
            design = set_fields(design, {f"{source}.module": id})
        texts = {f"modules.{id}.{name}": text for name, text in module_table.texts(row).items()}
        texts |= {f"modules.{id}.series_fuse": "", f"modules.{id}.system_voltage": ""}
        try:
            self.session.replace(set_fields(design, texts), "take a module")
        except Problems as error:
            self.say(str(error))

    def refresh(self) -> None:
        """Redraw what is visible from the session."""
        session = self.session
        design, evaluation, habit = session.design, session.evaluation, session.habit
        pane = self.panes[self._shown]
        if isinstance(pane, Pane):
            pane.refresh()
        else:
            self.worksheets.set_habit(habit)
        self._draw_line()
        piece = self._piece()
        self.findings.show_findings(evaluation.findings, habit, piece, evaluation.at(piece or ""))
        asked = needs(design)
        self._needs.show_needs(asked)
        self._needs.setVisible(bool(asked))
        bank = design.bank
        low, high = bank.lowest_voltage, bank.highest_voltage
        nominal = bank.voltage or 48.0
        self.strip.set_sources({"sun"} if design.arrays else set())
        self.strip.set_ranges(
            {"battery": (float(low or nominal * 0.85), float(high or nominal * 1.3))},
            session.conditions,
            habit,
        )

    @property
    def worksheets(self) -> WorksheetsPane:
        """The Worksheets pane."""
        pane = self.panes["worksheets"]
        assert isinstance(pane, WorksheetsPane)
        return pane

    def _piece(self) -> str | None:
        return self.session.selected or None

    def _notes(self, path: str) -> tuple[str, ...]:
        """What the tooltip of a piece adds: the worst of its findings."""
        return tuple(finding.title for finding in self.session.evaluation.at(path)[:NOTES])

    def _draw_line(self) -> None:
        session = self.session
        design, evaluation = session.design, session.evaluation
        looks = live.look_all(design, evaluation.arrays, evaluation.controllers, session.conditions)
        badges = live.badges(looks, session.conditions, design)
        statuses = {
            f"{table}.{item.id}": evaluation.worst(f"{table}.{item.id}")
            for table in ("arrays", "controllers")
            for item in getattr(design, table)
        }
        self.line.show_system(design, statuses, badges, session.habit, session.selected)

    def _looked(self) -> None:
        pane = self.panes[self._shown]
        if isinstance(pane, SourcesPane):
            pane.refresh_look()
        self._draw_line()
        self.strip.show_conditions(self.session.conditions, self.session.habit)
        self.strip.show_held(self.session.held is not None)

    def _moved(self, name: str, value: float) -> None:
        self.session.look(**{name: value})

    def _session_changed(self) -> None:
        session = self.session
        name = session.design.about.name or "New site"
        mark = "*" if session.dirty else ""
        self.setWindowTitle(f"{name}{mark} — Farstead")
        invented = " (invented)" if session.design.about.invented and "invented" not in name else ""
        self._name.setText(f"{name}{invented}{mark}")
        where = session.path.name if session.path else "not saved yet"
        self._state.setText(f"{session.design.rules} · {session.habit} units · {where}")

    def _open_worksheet(self, id: str, inputs: object) -> None:
        self.show_place("worksheets")
        self.worksheets.open_with(id, inputs)

    def say(self, text: str) -> None:
        """Show one notice in the head of the window."""
        self._notice.setText(text)
        self._notice.setToolTip(text)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask before unsaved work is left."""
        if actions.may_leave(self):
            event.accept()
        else:
            event.ignore()


def _whole_array(session: Session) -> tuple[Design, str]:
    """A new array with a module and a controller of its own, so that its form has every field."""
    design, array = add_record(session.design, "arrays", "Array")
    design, module = add_record(design, "modules", "Module")
    design, controller = add_record(design, "controllers", "Controller")
    texts = {f"arrays.{array}.module": module, f"arrays.{array}.controller": controller}
    return set_fields(design, texts), "add an array"
