"""The design in hand against another: a file, the saved version, or the design before a step of undo."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.compare_words import groups, lines, summary
from app.look import Look
from app.session import Session
from app.views.compare import CompareView
from engine import evaluate, load
from engine.compare import Comparison, compare
from engine.design import Design
from engine.evaluation import Evaluation
from engine.problems import Problems

FILES = "Site files (*.toml)"
MOST_STEPS = 25
MOST_TOLD = 4
NOTHING = "Choose what to compare this design with."
Source = Callable[[], Design | None]


class CompareDialog(QDialog):
    """Stays open beside the window and follows each edit; ``asked(path)`` to go to a field."""

    asked = Signal(str)

    def __init__(self, session: Session, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Compare with another design")
        self._session = session
        self._other: Evaluation | None = None
        self._design: Design | None = None
        self._name = ""
        self._found = Comparison()
        self._sources: list[tuple[str, Source]] = []
        self.choice = QComboBox()
        self.choice.setAccessibleName("Compare with")
        self.choice.setPlaceholderText("Choose a design…")
        self.choice.activated.connect(self._chosen)
        self.hold = QPushButton("Hold its curves")
        self.hold.setToolTip("Show the other design as the ghost in the pictures, at the same conditions.")
        self.hold.clicked.connect(self._hold)
        self.copy = QPushButton("Copy")
        self.copy.setToolTip("Every difference as text, a line each.")
        self.copy.clicked.connect(self._copy)
        label = QLabel("Compare with")
        label.setBuddy(self.choice)
        row = QHBoxLayout()
        row.addWidget(label)
        row.addWidget(self.choice, 1)
        row.addWidget(self.hold)
        row.addWidget(self.copy)
        self.said = QLabel(NOTHING)
        self.said.setWordWrap(True)
        self.view = CompareView()
        self.view.asked.connect(self.asked)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 12)
        column.setSpacing(8)
        column.addLayout(row)
        column.addWidget(self.said)
        column.addWidget(self.view, 1)
        self.view.set_look(look)
        self.resize(68 * look.text, 44 * look.text)
        session.evaluated.connect(self.refresh)
        session.changed.connect(self._offer)
        self._offer()
        self._show()

    def compare_with(self, design: Design, name: str) -> None:
        """Compare with a design under a name."""
        self._design, self._name = design, name
        self._other = None
        self.refresh()

    def open_file(self, path: Path) -> None:
        """Compare with a site file; one that can't be read says why and changes nothing."""
        try:
            design = load(path)
        except Problems as error:
            told = "\n".join(str(problem) for problem in error.problems[:MOST_TOLD])
            self.said.setText(f"{path.name} was refused: {told}")
            return
        self.compare_with(design, path.name)

    def refresh(self) -> None:
        """Compare anew: the design in hand was edited, or another was chosen."""
        if self._design is None or not self._session:
            return
        habit = self._session.habit
        if self._other is None or self._other.design.about.units != habit:
            self._other = evaluate(self._session.in_units(self._design))
        mine = evaluate(self._session.in_units(self._session.design))
        self._found = compare(mine, self._other, habit)
        self._show()

    def _show(self) -> None:
        habit = self._session.habit
        known = self._design is not None
        if known:
            self.said.setText(summary(self._found))
        self.hold.setEnabled(known)
        self.copy.setEnabled(known and not self._found.empty)
        self.view.show_groups(groups(self._found, habit, self._currency), "This design", self._name)

    @property
    def _currency(self) -> str:
        return self._session.design.prices.currency or ""

    def _offer(self) -> None:
        """The designs to compare with, as they are now; the choice made keeps its name."""
        path = self._session.path
        sources: list[tuple[str, Source]] = []
        if path is not None:
            sources.append((f"{path.name}, as saved", lambda: self._saved(path)))
        for text, before in self._session.befores()[:MOST_STEPS]:
            sources.append((f"before: {text}", lambda before=before: before))  # type: ignore[misc]
        sources.append(("another site file…", self._ask))
        self._sources = sources
        self.choice.clear()
        self.choice.addItems([name for name, _ in sources])
        self.choice.setCurrentIndex(self.choice.findText(self._name))
        self.choice.setPlaceholderText(self._name or "Choose a design…")

    def _chosen(self, at: int) -> None:
        name, source = self._sources[at]
        design = source()
        if design is not None:
            self.compare_with(design, name)
        else:
            self._offer()

    def _saved(self, path: Path) -> Design | None:
        try:
            return load(path)
        except Problems as error:
            self.said.setText(f"{path.name} was refused: {error.problems[0]}")
            return None

    def _ask(self) -> None:
        folder = str(self._session.path.parent) if self._session.path else str(Path.home())
        name, _ = QFileDialog.getOpenFileName(self, "Compare with a site", folder, FILES)
        if name:
            self.open_file(Path(name))

    def _hold(self) -> None:
        if self._other is not None:
            self._session.hold_design(self._other)

    def _copy(self) -> None:
        told = [f"This design against {self._name}. {summary(self._found)}"]
        told += lines(self._found, self._session.habit, self._currency)
        QGuiApplication.clipboard().setText("\n".join(told))
