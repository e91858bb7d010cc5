"""The Wiring pane: all circuits as a table, and the one in hand with its fields and its voltage ladder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QFileDialog, QLabel, QSplitter, QWidget

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.print_circuits import write_pdf
from app.session import Session
from app.views.caution import CautionPanel
from app.views.circuit_rows import rows
from app.views.circuit_table import CircuitTable
from app.views.ladder import LadderView
from engine.design import Circuit
from engine.evaluation import Evaluation
from engine.sections import live
from engine.sections.circuit_ladder import circuit_lanes

FIELDS = tuple(name for name in Circuit.specs())


class WiringPane(Pane):
    """``piece_chosen(path)`` for a circuit or a piece taken by hand, ``said(text)`` for a notice."""

    piece_chosen = Signal(str)
    said = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._circuit = ""
        self._title = QLabel()
        self._title.setObjectName("title")
        self._title.setWordWrap(True)
        self._about = QLabel()
        self._about.setObjectName("soft")
        self._about.setWordWrap(True)
        for at, widget in enumerate((self._title, self._about)):
            self.form_column.insertWidget(at, widget)
        self._form = Form(session)
        self._caution = CautionPanel("array")
        for part in (self._form, self._caution):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self.table = CircuitTable()
        self.table.circuit_chosen.connect(lambda id: self.piece_chosen.emit(f"circuits.{id}"))
        self.table.csv_asked.connect(self.save_csv)
        self.table.print_asked.connect(self.print_pdf)
        self.table.entered.connect(self._to_form)
        self._ladder = LadderView()
        self._ladder.piece_chosen.connect(self.piece_chosen)
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.setChildrenCollapsible(False)
        self._split.addWidget(_framed(self.table))
        self._split.addWidget(_framed(self._ladder))
        self._split.setSizes([260, 280])
        self.picture.addWidget(self._split)
        find = QShortcut(QKeySequence.StandardKey.Find, self)
        find.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        find.activated.connect(lambda: self.table.filter.setFocus(Qt.FocusReason.ShortcutFocusReason))

    def forms(self) -> tuple[Form, ...]:
        return (self._form,)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        for part in (self.table, self._ladder, self._caution):
            part.set_look(look)

    def refresh(self) -> None:
        """Show every circuit, and the one that is selected or belongs to the selected piece."""
        session = self._session
        evaluation, habit = session.evaluation, session.habit
        self._circuit = circuit_of(evaluation, session.selected, self._circuit)
        self.table.show_rows(rows(evaluation), habit, self._circuit)
        circuit = evaluation.circuits.get(self._circuit)
        self._form.setVisible(circuit is not None)
        if circuit is None:
            self._title.setText("Wiring")
            self._about.setText("Every conductor of the design, its size and the reason for it.")
            self._caution.show_place("array")
        else:
            self._title.setText(circuit.title)
            self._about.setText("What is not entered is taken as said in the field.")
            self._form.set_paths(f"circuits.{circuit.id}", FIELDS)
            self._caution.show_place("array" if circuit.array else "battery")
        self._draw()

    def refresh_look(self) -> None:
        self._draw()

    def _draw(self) -> None:
        session = self._session
        evaluation = session.evaluation
        arrays, controllers = evaluation.arrays, evaluation.controllers
        looks = live.look_all(session.design, arrays, controllers, session.conditions)
        lanes = circuit_lanes(
            session.design, arrays, controllers, evaluation.circuits, self._circuit, looks, session.habit
        )
        self._ladder.show_lanes(lanes, session.habit)

    def save_csv(self) -> None:
        """Ask for a file and save the circuits shown as comma-separated values."""
        text = self.table.csv()
        self._save(
            "Save the circuits",
            ".csv",
            "Comma-separated values (*.csv)",
            lambda path: path.write_text(text, "utf-8", newline=""),
        )

    def print_pdf(self) -> None:
        """Ask for a file and print the circuits shown."""
        session, words = self._session, self.table.filter.text().strip()
        note = f"those with the words “{words}”" if words else ""
        self._save(
            "Print the circuits",
            ".pdf",
            "PDF (*.pdf)",
            lambda path: write_pdf(path, session.evaluation, self.table.shown(), session.habit, note),
        )

    def _save(self, title: str, ending: str, kinds: str, write: Callable[[Path], object]) -> None:
        """Ask for a file beside the site's and write it; what can't be written is said."""
        site = self._session.path
        first = f"{site.stem if site else 'site'}_circuits{ending}"
        name, _ = QFileDialog.getSaveFileName(
            self, title, str(site.with_name(first)) if site else first, kinds
        )
        if not name:
            return
        path = Path(name if Path(name).suffix else name + ending)
        try:
            write(path)
        except OSError as error:
            self.said.emit(f"Not saved: {path.name}: {error.strerror}. Choose another place.")
        else:
            self.said.emit("")

    def _to_form(self) -> None:
        self._form.go_to(f"circuits.{self._circuit}.length")


def circuit_of(evaluation: Evaluation, selected: str, before: str) -> str:
    """The circuit to look at: the one selected, else the one before if it is the selected piece's, else the
    piece's first, else the one before, else the first of all; empty where there is none."""
    circuits = evaluation.circuits
    table, _, id = selected.partition(".")
    if table == "circuits" and id in circuits:
        return id
    own = [
        item.id
        for item in circuits.values()
        if selected
        and selected in (item.piece, *item.ends, f"arrays.{item.array}", f"controllers.{item.controller}")
    ]
    if before in circuits and (not own or before in own):
        return before
    return own[0] if own else next(iter(circuits), "")


def _framed(widget: QWidget) -> QWidget:
    frame, column = sheet()
    column.setContentsMargins(*((16, 8, 8, 8) if isinstance(widget, CircuitTable) else (0, 0, 0, 0)))
    column.addWidget(widget)
    return frame
