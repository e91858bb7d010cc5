"""An order list, judged line by line off the hand: what each device is for, whether it fits, what decides."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.look import Look
from app.schedule import Background
from app.views.buttons import button
from app.views.text_table import Texts, TextTable
from engine import in_hand
from engine.evaluation import Evaluation
from engine.finding import Finding, Status
from engine.in_hand import Fit, OrderLine, OrderList, Verdict

HEADS = ("Line", "Device", "For", "Verdict", "Decided by")
WRAPS = ("Device", "For", "Decided by")
EMPTY = (
    "Paste an order list, or import it as CSV. Its first line names the columns: label, kind, volts, amps, "
    "breaking, poles, polarity, class, circuit, quantity. One device a line."
)
WORDS = {
    Fit.FIT: (Status.MEETS, "fit"),
    Fit.UNFIT: (Status.FAILS, "unfit"),
    Fit.UNKNOWN: (Status.UNKNOWN, "not enough to say"),
}
Judged = tuple[Evaluation, tuple[tuple[Verdict, ...], ...]]


class OrderListView(QWidget):
    """``chosen`` when another line is in hand, or its verdict is there; ``entered`` on Enter;
    ``paste_asked`` and ``import_asked`` for a list."""

    paste_asked = Signal()
    import_asked = Signal()
    chosen = Signal()
    entered = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._list = OrderList()
        self._judged: Judged | None = None
        self._evaluation: Evaluation | None = None
        self.jobs = Background(self)
        self.jobs.finished.connect(self._done)
        self.told = QLabel(EMPTY)
        self.told.setWordWrap(True)
        self.table = TextTable("Order list")
        self.table.chosen.connect(lambda _line: self.chosen.emit())
        self.table.entered.connect(lambda _line: self.entered.emit())
        self.paste_button = button(
            "Paste", "Paste an order list from the clipboard (Ctrl+V)", self.paste_asked.emit
        )
        self.import_button = button("Import CSV…", "Read an order list from a file", self.import_asked.emit)
        row = QHBoxLayout()
        row.setSpacing(4)
        row.addWidget(self.paste_button)
        row.addWidget(self.import_button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addLayout(row)
        column.addWidget(self.told)
        column.addWidget(self.table, 1)
        column.addStretch(0)
        self._tell()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self.table.set_look(look)

    def take(self, text: str, evaluation: Evaluation) -> None:
        """Take a text as the list, and judge it."""
        self._list = in_hand.read_list(text, tuple(evaluation.circuits))
        self._judged = None
        self.table.show_texts(Texts())
        self._tell()
        self.judge(evaluation)

    def judge(self, evaluation: Evaluation) -> None:
        """Judge the list on this evaluation, unless that was done; the answer comes when it is there."""
        if evaluation is self._evaluation and self._judged is not None:
            return
        self._evaluation, lines = evaluation, self._list.lines
        if lines:
            self.jobs.start(_job(evaluation, lines))

    def cards(self) -> tuple[Finding, ...]:
        """The verdicts on the line in hand, the best first; only on its circuit where it has one."""
        line = self.table.line()
        if self._judged is None or not 0 <= line < len(self._judged[1]):
            return ()
        circuit, found = self._list.lines[line].circuit, self._judged[1][line]
        wanted = [one for one in found if circuit in ("", one.circuit)]
        return tuple(in_hand.as_finding(one) for one in sorted(wanted, key=lambda one: -one.fit))

    def circuits(self) -> tuple[str, ...]:
        """The circuit that the line in hand is for."""
        line = self.table.line()
        circuit = self._list.lines[line].circuit if 0 <= line < len(self._list.lines) else ""
        return (circuit,) if circuit else ()

    def _done(self, judged: Judged) -> None:
        if judged[0] is self._evaluation and len(judged[1]) == len(self._list.lines):
            self._judged = judged
            pairs = zip(self._list.lines, judged[1], strict=True)
            self.table.show_texts(Texts(HEADS, ("Line",), (), tuple(_row(*pair) for pair in pairs), WRAPS))
            self.chosen.emit()

    def _tell(self) -> None:
        """What was wrong with the list, or what a list is."""
        told = [str(problem) for problem in self._list.problems]
        if self._list.ignored:
            told.append(f"Columns passed over: {', '.join(self._list.ignored)}.")
        bad = bool(self._list.problems)
        self.told.setObjectName("error" if bad else "soft")
        self.told.style().unpolish(self.told)
        self.told.style().polish(self.told)
        self.told.setText("\n".join(told) or EMPTY)
        self.told.setVisible(bool(told) or not self._list.lines)
        self.table.setVisible(bool(self._list.lines))


def _job(evaluation: Evaluation, lines: Sequence[OrderLine]) -> Callable[[], Judged]:
    return lambda: (evaluation, in_hand.judge_all(evaluation, (line.device for line in lines)))


def _row(line: OrderLine, found: Sequence[Verdict]) -> tuple[Status | None, tuple[str, ...]]:
    """A line with its verdict: on its circuit, or where it fits."""
    name = str(line.device.label) if line.quantity == 1 else f"{line.quantity} × {line.device.label}"
    for verdict in found:
        if verdict.circuit == line.circuit:
            return verdict.status, (str(line.line), name, line.circuit, verdict.word, verdict.number)
    best = in_hand.somewhere(found)
    status, word = WORDS[best]
    at_best = [verdict for verdict in found if verdict.fit is best]
    where = ", ".join(verdict.circuit for verdict in at_best) if best is Fit.FIT else ""
    number = at_best[0].number if at_best else ""
    return status, (str(line.line), name, "nowhere" if best is Fit.UNFIT else where, word, number)
