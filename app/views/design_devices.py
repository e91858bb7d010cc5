"""The devices that a design asks for, a line each, with the circuits that they serve."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.look import Look
from app.views.text_table import Texts, TextTable
from engine import in_hand
from engine.evaluation import Evaluation
from engine.finding import Finding

NO_CIRCUIT = (
    "No circuit yet. Circuits come from what is joined: add an array and the controller that it feeds."
)


class DesignDevicesView(QWidget):
    """``chosen`` when another line is in hand, ``entered`` on Enter."""

    chosen = Signal()
    entered = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._evaluation: Evaluation | None = None
        self._wanted: tuple[in_hand.Wanted, ...] = ()
        self._empty = QLabel(NO_CIRCUIT)
        self._empty.setObjectName("soft")
        self._empty.setWordWrap(True)
        self.table = TextTable("Devices of this design")
        self.table.chosen.connect(lambda _line: self.chosen.emit())
        self.table.entered.connect(lambda _line: self.entered.emit())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._empty)
        column.addWidget(self.table, 1)
        column.addStretch(0)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self.table.set_look(look)

    def show_evaluation(self, evaluation: Evaluation, habit: str) -> None:
        """Show the devices of a design."""
        if evaluation is not self._evaluation:
            self._evaluation, self._wanted = evaluation, in_hand.wanted(evaluation)
        rows = tuple((line.status, line.cells(habit)) for line in self._wanted)
        self.table.show_texts(Texts(in_hand.HEADS, in_hand.RIGHT, ("Kind",), rows, ("Device", "Circuits")))
        self.table.setVisible(bool(rows))
        self._empty.setVisible(not rows)

    def circuits(self) -> tuple[str, ...]:
        """The circuits that the line in hand serves."""
        line = self.table.line()
        return self._wanted[line].circuits if 0 <= line < len(self._wanted) else ()

    def cards(self) -> tuple[Finding, ...]:
        """What the rules say of the devices of those circuits, worst first."""
        if self._evaluation is None or not self.circuits():
            return ()
        return in_hand.device_findings(self._evaluation, self.circuits())
