"""The one window: the line on top, a pane in the middle, findings at the right, conditions at the bottom.

It arranges and routes; it holds no state of the design and computes no number.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app import actions, files, pieces
from app.alone import Alone
from app.look import LOOKS, palette, style_sheet
from app.looking import Looking
from app.pane import Pane, sheet
from app.panes import FIELD_HOMES, PLACES, make
from app.selection import array_of, hydro_of, wind_of
from app.session import Session
from app.stage import Stage
from app.state import settings
from app.views.conditions import ConditionsStrip
from app.views.findings import FindingsView
from app.views.label_tips import LabelTips
from app.views.line import LineView
from app.views.needs import NeedsView
from app.views.notice import NoticeBar, Offer
from engine.design import KEYED, SINGLE, About
from engine.needs import needs
from engine.sections import badges, hydro_live, wind_live

FINDINGS_WIDTH = 332
LARGE = 16  # pixels of text from which on panes are short of room
JUDGED = ("arrays", "wind", "hydro", "controllers", "inverters", "generators", "diversions", "relays")
NOTES = 4  # findings told in a piece's tooltip
HOMES = {
    "site": "site",
    "loads": "loads",
    "bank": "storage",
    "relays": "setup",
    "diversions": "setup",
    "circuits": "wiring",
}
"""The place of what is not at home in Sources."""
HABITS = {"us": "US units", "metric": "metric units"}


class Window(QMainWindow):
    """The window over one session; ``closed`` once it was closed knowingly."""

    closed = Signal()

    def __init__(self, session: Session, look: str = "light") -> None:
        super().__init__()
        self.session = session
        self.look = LOOKS[look]
        self.place = "sources"
        self._saved = ""
        self.left = False  # closed knowingly: what is unsaved was thrown away
        self._panes: dict[str, Any] = {}
        self.setAcceptDrops(True)
        self._build()
        self.actions_made = actions.make(self, PLACES)
        LabelTips(self)
        self._connect()
        self._session_changed()
        self.line.set_place(self.place)
        self.set_look(look)

    def _build(self) -> None:
        paper = QWidget()
        paper.setObjectName("paper")
        column = QVBoxLayout(paper)
        column.setContentsMargins(12, 8, 12, 8)
        column.setSpacing(8)
        self._name, self._state = QLabel(), QLabel()
        self._name.setObjectName("title")
        self._state.setObjectName("soft")
        head = QHBoxLayout()
        head.addWidget(self._name)
        head.addWidget(self._state, 1)
        column.addLayout(head)
        self.notice = NoticeBar()
        self._notices = QVBoxLayout()
        self._notices.addWidget(self.notice)
        column.addLayout(self._notices)
        self.line = LineView()
        self.line.set_places(PLACES)
        self.line.set_notes(self._notes)
        line_sheet, inside = sheet()
        inside.setContentsMargins(4, 4, 4, 4)
        inside.addWidget(self.line)
        column.addWidget(line_sheet)
        self._stage = Stage()
        self._needs, self.findings = NeedsView(), FindingsView()
        self._findings_sheet, inside = sheet()
        inside.setContentsMargins(12, 8, 4, 8)
        inside.addWidget(self._needs)
        inside.addWidget(self.findings, 1)
        self._middle = QSplitter(Qt.Orientation.Horizontal)
        self._middle.setChildrenCollapsible(False)
        self._middle.addWidget(self._stage)
        self._middle.addWidget(self._findings_sheet)
        self._middle.setStretchFactor(0, 1)
        column.addWidget(self._middle, 1)
        self.alone = Alone((self._name, self._state, line_sheet, self._middle))
        column.addWidget(self.alone, 1)
        self.strip = ConditionsStrip(names=("cell", "irradiance", "wind", "flow", "battery"))
        self.alone.stands.connect(self.strip.speak_up)
        self.looking = Looking(self.session, self.strip)
        self._strip_sheet, inside = sheet()
        inside.setContentsMargins(12, 4, 12, 4)
        inside.addWidget(self.strip)
        column.addWidget(self._strip_sheet)
        self.setCentralWidget(paper)

    def _connect(self) -> None:
        session = self.session
        session.changed.connect(self._session_changed)
        session.evaluated.connect(self.refresh)
        session.looked.connect(self._looked)
        self.line.piece_chosen.connect(self.choose)
        self.line.place_chosen.connect(self.show_place)
        self.findings.field_asked.connect(self.go_to)
        self.findings.worksheet_asked.connect(self._open_worksheet)
        self._needs.asked.connect(self.meet_need)
        self.line.add_asked.connect(lambda table: pieces.add(self, table))

    def pane(self, name: str) -> Any:
        """A pane by name, made when it is first looked at; its signals are connected by their names."""
        if name not in self._panes:
            made = self._panes[name] = make(name, self.session)
            slots = {
                "piece_chosen": self.choose,
                "add_asked": lambda table: pieces.add(self, table),
                "module_asked": lambda array: pieces.find_module(self, array),
                "need_asked": self.meet_need,
                "place_chosen": self.show_place,
                "said": self.say,
                "field_asked": self.go_to,
                "worksheet_asked": self._open_worksheet,
            }
            for signal in slots.keys() & set(dir(made)):
                getattr(made, signal).connect(slots[signal])
            made.set_look(self.look)
            self._stage.take(made)
        return self._panes[name]

    @property
    def shown(self) -> Any:
        """The pane that is shown: Sources shows a piece by itself where no array has it."""
        design, selected = self.session.design, self.session.selected
        table, _, id = selected.partition(".")
        if self.place in ("sources", "setup") and table in ("relays", "diversions"):
            return self.pane("relays")
        if self.place != "sources":
            return self.pane(self.place)
        alone = table in SINGLE or (table in KEYED and (not id or design.find(table, id) is not None))
        if wind_of(design, selected):
            return self.pane("wind")
        if hydro_of(design, selected):
            return self.pane("hydro")
        return self.pane("piece" if alone and not array_of(design, selected) else "sources")

    def set_look(self, name: str) -> None:
        """Wear a look: light, dark or projector."""
        self.look = LOOKS[name]
        self.setPalette(palette(self.look))
        self.setStyleSheet(style_sheet(self.look))
        for part in (self.line, self.findings, self.strip, *self._panes.values()):
            part.set_look(self.look)
        self.alone.wear(self.look)
        self._findings_sheet.setMinimumWidth(FINDINGS_WIDTH + (32 if self.look.text >= LARGE else 0))
        self.refresh()

    def wear(self, name: str) -> None:
        """Wear a look, and again at the next start."""
        self.set_look(name)
        settings().setValue("look", name)

    def show_place(self, name: str) -> None:
        """Show a place by name."""
        self.alone.leave()
        self.place = name
        self.line.set_place(name)
        self.refresh()

    def choose(self, path: str) -> None:
        """Select a piece and open its pane."""
        self.session.select(path)
        self.show_place(HOMES.get(path.partition(".")[0], "sources"))

    def go_to(self, path: str) -> bool:
        """Jump to the field at a path, in the pane that is shown if it has it; whether there is one."""
        owner, _, name = path.rpartition(".")
        shown = self.shown
        if isinstance(shown, Pane) and shown.go_to(path):
            return True
        whole = path in SINGLE or owner in KEYED
        home = FIELD_HOMES.get(f"{owner.partition('.')[0]}.{name}")
        if home is not None:
            self.session.select(owner)
            self.show_place(home)
            if self.shown.go_to(path):
                return True
        if name in About.specs() and not owner:
            self.show_place("site")
        elif owner or whole:
            self.choose(path if whole else owner)
        shown = self.shown
        if isinstance(shown, Pane) and whole:
            return shown.go_to_record(path)
        return isinstance(shown, Pane) and shown.go_to(path)

    def meet_need(self, path: str) -> None:
        """Go to a field that is needed, or add the first record of a table that is."""
        if path in KEYED:
            pieces.add(self, path)
        else:
            self.go_to(path)

    def refresh(self) -> None:
        """Redraw what is visible from the session."""
        session = self.session
        design, evaluation, habit = session.design, session.evaluation, session.habit
        shown = self.shown
        self.alone.follow(shown)
        self._stage.show_pane(shown)
        if isinstance(shown, Pane):
            shown.refresh()
        else:
            shown.set_habit(habit)
        self._draw_line()
        piece = session.selected
        self.findings.show_findings(evaluation.findings, habit, piece or None, evaluation.at(piece))
        aside = self.place == "worksheets" and self.look.text >= LARGE  # they tell nothing of a worksheet
        self._findings_sheet.setVisible(not aside)
        asked = needs(design)
        self._needs.show_needs(asked)
        self._needs.setVisible(bool(asked) and not getattr(shown, "tells_needs", False))
        self._strip_sheet.setVisible(bool(getattr(shown, "live", False)))
        self.looking.show(shown)

    def _draw_line(self) -> None:
        session = self.session
        design, evaluation = session.design, session.evaluation
        worn = badges.of_sun(session.looks(), session.conditions, design)
        at, habit = session.conditions, session.habit
        around = (design.bank, *design.controllers)
        turbines = session.kept(
            "wind",
            (*around, *design.wind, *evaluation.wind.values()),
            (at.wind, at.battery, habit),
            lambda: {
                id: wind_live.look(design, result, evaluation.controllers, at, habit)
                for id, result in evaluation.wind.items()
            },
        )
        worn |= badges.of_turbines("wind", turbines, at, design)
        waters = session.kept(
            "hydro",
            (*around, *design.hydro, *evaluation.hydro.values()),
            (at.flow, at.battery, habit),
            lambda: {
                id: hydro_live.look(design, result, evaluation.controllers, at, habit)
                for id, result in evaluation.hydro.items()
            },
        )
        worn |= badges.of_turbines("hydro", waters, at, design)
        judged = ["bank", *(f"{table}.{item.id}" for table in JUDGED for item in getattr(design, table))]
        statuses = session.kept(
            "statuses", (evaluation,), (), lambda: {path: evaluation.worst(path) for path in judged}
        )
        self.line.show_system(design, statuses, worn, session.habit, session.selected)

    def _notes(self, path: str) -> tuple[str, ...]:
        """What the tooltip of a piece adds: the worst of its findings."""
        return tuple(finding.title for finding in self.session.evaluation.at(path)[:NOTES])

    def _looked(self) -> None:
        shown = self.shown
        if isinstance(shown, Pane):
            shown.refresh_look()
        self._draw_line()
        self.looking.show_conditions(shown)

    def _session_changed(self) -> None:
        session = self.session
        about = session.design.about
        name, mark = about.name or "New site", "*" if session.dirty else ""
        self.setWindowTitle(f"{name}{mark} — Farstead")
        self._name.setText(f"{name} (invented)" if about.invented and "invented" not in name else name)
        saved = "unsaved changes" if session.dirty else self._saved
        file = session.path.name if session.path else "no file yet"
        self._state.setText(
            " · ".join(filter(None, (session.design.rules, HABITS[session.habit], file, saved)))
        )

    def saved(self) -> None:
        """Say that the work was saved just now."""
        self._saved = f"saved {datetime.now():%H:%M}"
        self._session_changed()

    def say(self, text: str) -> None:
        """Say something in the window; nothing more where the text is empty."""
        self.notice.say(text)

    def offer(self, text: str, *offers: Offer) -> NoticeBar:
        """Say something that waits for a decision, without standing in the way."""
        bar = NoticeBar()
        self._notices.addWidget(bar)
        bar.say(text, offers)
        return bar

    def unread(self) -> tuple[str, ...]:
        """The titles of visible fields whose text the design does not have, because it can't be read."""
        shown = self.shown
        return shown.unread() if isinstance(shown, Pane) else ()

    def _open_worksheet(self, id: str, inputs: object) -> None:
        self.show_place("worksheets")
        self.pane("worksheets").open_with(id, inputs)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """A file may be dropped anywhere."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Take a file that was dropped once the hand that dropped it is let go."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        event.acceptProposedAction()
        QTimer.singleShot(0, self, lambda: files.take_dropped(self, paths))

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask before unsaved work is left; a fault on the way leaves the window open."""
        event.ignore()
        if files.may_leave(self):
            event.accept()
            if not self.left:
                self.left = True
                self.closed.emit()
