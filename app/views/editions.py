"""The editions of the code side by side, matter by matter, and where the answer for this site differs."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.look import Look
from app.views.text_table import Texts, TextTable
from engine.editions import Difference, Matter, compare, editions, matters
from engine.evaluation import Evaluation
from engine.finding import Finding, Status

ALIKE = "alike"
SILENT = "says nothing here"


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of the table: a matter of the code, a question of the site that editions answer differently."""

    rule: str
    title: str
    matter: Matter | None
    difference: Difference | None = None

    def concerns(self, finding: Finding) -> bool:
        """Whether a finding of the site is about it."""
        place = self.difference is None or self.difference.where == finding.where
        return place and finding.rule == self.rule


class EditionsView(QWidget):
    """``chosen`` when another matter is in hand, ``entered`` on Enter; ``says`` stands with the reasons."""

    chosen = Signal()
    entered = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._evaluation: Evaluation | None = None
        self._lines: tuple[_Line, ...] = ()
        self.told = QLabel()
        self.told.setObjectName("soft")
        self.told.setWordWrap(True)
        self.table = TextTable("Editions of the code, matter by matter")
        self.table.chosen.connect(self._chosen)
        self.table.entered.connect(lambda _line: self.entered.emit())
        self.says = QLabel()
        self.says.setWordWrap(True)
        self.says.setTextFormat(Qt.TextFormat.RichText)
        self.says.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.says.setAccessibleName("What each edition says on the matter in hand")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.told)
        column.addWidget(self.table, 1)
        column.addStretch(0)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self.table.set_look(look)
        self.says.setStyleSheet(f"font-size: {look.small}px; padding-right: 8px;")

    def show_evaluation(self, evaluation: Evaluation) -> None:
        """Judge the design under every edition, unless that was done, and show where they differ."""
        if evaluation is self._evaluation:
            return
        self._evaluation = evaluation
        names, here = editions(evaluation.design.rules), evaluation.design.rules
        found = compare(evaluation)
        self._lines = _lines(found) if len(names) > 1 else ()
        self.told.setText(_told(evaluation, names, len(found)))
        heads = ("Matter", *(_year(name) + ", here" * (name == here) for name in names), "Strictest")
        rows = tuple((_status(line, evaluation), _cells(line, names)) for line in self._lines)
        self.table.show_texts(Texts(heads, rows=rows, wraps=("Matter", "Strictest")) if rows else Texts())
        self.table.setVisible(bool(rows))
        self._tell()

    def cards(self) -> tuple[Finding, ...]:
        """The findings of this site that the matter in hand concerns, worst first."""
        line = self._line()
        if line is None or self._evaluation is None:
            return ()
        return tuple(finding for finding in self._evaluation.findings if line.concerns(finding))

    def circuits(self) -> tuple[str, ...]:
        """The circuit that the matter in hand is about."""
        line = self._line()
        where = "" if line is None or line.difference is None else line.difference.where
        table, _, id = where.partition(".")
        return (id,) if table == "circuits" else ()

    def _line(self) -> _Line | None:
        at = self.table.line()
        return self._lines[at] if 0 <= at < len(self._lines) else None

    def _chosen(self, _line: int) -> None:
        self._tell()
        self.chosen.emit()

    def _tell(self) -> None:
        """What each edition says on the matter in hand."""
        line = self._line()
        told = [] if line is None or self._evaluation is None else _says(line, self._evaluation.design.rules)
        self.says.setText("<br>".join(told))


def _lines(found: tuple[Difference, ...]) -> tuple[_Line, ...]:
    """What differs at this site, the gravest first, then the matters on which nothing does."""
    differ = []
    for each in found:
        title = each.title if each.matter is None else f"{each.matter.title} ({_place(each.where)})"
        differ.append(_Line(each.rule, title, each.matter, each))
    seen = {each.rule for each in found}
    return (*differ, *(_Line(rule, each.title, each) for rule, each in matters().items() if rule not in seen))


def _year(name: str) -> str:
    """An edition beside the others of its code."""
    return name.rpartition("-")[2]


def _place(where: str) -> str:
    return where.partition(".")[2] or where


def _cells(line: _Line, names: tuple[str, ...]) -> tuple[str, ...]:
    """The matter, each edition's answer in a word, and the strictest."""
    if line.difference is None:
        strictest = () if line.matter is None else line.matter.strictest
        return (line.title, *(ALIKE for _ in names), ", ".join(map(_year, strictest)))
    words = {
        answer.edition: answer.text if answer.status is None else answer.status.word
        for answer in line.difference.answers
    }
    return (
        line.title,
        *(words.get(name, "") for name in names),
        ", ".join(map(_year, line.difference.strictest)),
    )


def _status(line: _Line, evaluation: Evaluation) -> Status | None:
    """This site's own answer, by its own edition."""
    return min((each.status for each in evaluation.findings if line.concerns(each)), default=None)


def _says(line: _Line, here: str) -> list[str]:
    """A line an edition: its answer at this site, and what it says on the matter."""
    answers = {} if line.difference is None else {each.edition: each for each in line.difference.answers}
    told = []
    for name in editions(here):
        answer = answers.get(name)
        parts = [] if answer is None else [f"{answer.text}."]
        parts += [] if line.matter is None else [line.matter.says.get(name, "")]
        clause = "" if answer is None or answer.source is None else answer.source.clause
        parts += [f"({clause})"] if clause else []
        told.append(f"<b>{escape(name)}</b>  {escape(' '.join(filter(None, parts)) or SILENT)}")
    if line.matter is not None and line.matter.how != "read":
        told[-1] += f" (All {escape(line.matter.how)}.)"
    return told


def _told(evaluation: Evaluation, names: tuple[str, ...], count: int) -> str:
    """By which edition the site is judged, and how much of it another would answer otherwise."""
    family = evaluation.family
    judged = f"This site is judged by {family.name}: {family.title}, {family.edition}."
    if len(names) < 2:
        return f"{judged} No other edition of it is held here, so there is nothing to compare it with."
    others = ", ".join(name for name in names if name != family.name)
    if not count:
        return f"{judged} {others} answer everything about it alike."
    much = "One question" if count == 1 else f"{count} questions"
    return f"{judged} {much} about it {others} answer differently; the local authority says which one binds."
