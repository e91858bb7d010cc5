"""One circuit typed without any site: its few data at the left, what to buy for it at the right."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QToolButton, QWidget

from app.bind import tip
from app.fields.controls import NOT_ENTERED, Choices
from app.fields.row import FieldRow
from app.look import LIGHT, Look
from app.pane import FORM_WIDTH, reveal, scrolled
from app.views.buttons import button
from app.views.faces import LARGE
from app.views.worked import RichLabel
from engine import in_hand
from engine.evaluation import Evaluation
from engine.fields import Spec
from engine.finding import Finding, Status
from engine.in_hand import Typed
from engine.in_hand.typed import FIELDS, WORDS
from engine.problems import Problems

FIRST = (
    *("isc", "strings", "voltage", "length", "ambient", "place", "method"),
    *("running", "series_fuse", "back_feed", "rules"),
)
FOLDED = tuple(name for name in FIELDS if name not in (*FIRST, "units"))
NEEDED = ("isc", "voltage")
NOTHING = (
    "Type the short-circuit current of a string and the cold open-circuit voltage: conductor, device and "
    "voltage class stand here then. No site is needed, and nothing of it is changed."
)
EXAMPLES = {
    "isc": "such as 14.2 A",
    "strings": "default: 1",
    "voltage": "such as 187 V",
    "ambient": "such as 58 degC",
}
HEADS = ("Answer", "Value")


class TypedCircuitView(QWidget):
    """``entered`` when a person has typed something that makes another circuit, or none."""

    entered = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.typed: Typed | None = None
        self._texts: dict[str, str] = {}
        self._rules, self._habit, self._look = "", "metric", LIGHT
        self.rows = {name: self._row(name) for name in (*FIRST, *FOLDED)}
        self._form, fields = scrolled()
        self.more = QToolButton()
        self.more.setText("More")
        self.more.setAccessibleName("More fields of the typed circuit")
        self.more.setCheckable(True)
        self.more.toggled.connect(self._fold)
        self.clear_button = button("Empty", "Type the next circuit", self.clear)
        for name in FIRST:
            fields.addWidget(self.rows[name])
        buttons = QHBoxLayout()
        for part in (self.more, self.clear_button):
            buttons.addWidget(part)
        buttons.addStretch(1)
        fields.addLayout(buttons)
        for name in FOLDED:
            fields.addWidget(self.rows[name])
        fields.addStretch(1)
        self.answer = RichLabel("What to buy for the typed circuit")
        told, column = scrolled()
        column.addWidget(self.answer)
        column.addStretch(1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        self._form.setMaximumWidth(FORM_WIDTH)
        for area in (self._form, told):
            area.setFrameShape(QScrollArea.Shape.NoFrame)
            row.addWidget(area, 1)
        self._fold(False)
        self._judge()

    def _row(self, name: str) -> FieldRow:
        spec = FIELDS[name]
        row = FieldRow(name, spec, _choices(spec, self._default(spec)))
        row.nothing = EXAMPLES.get(name, NOT_ENTERED)
        row.committed.connect(self._commit)
        return row

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._tell()

    def show_session(self, rules: str, habit: str) -> None:
        """Judge by a family of rules unless another is typed, and answer in a habit of units."""
        if (rules, habit) != (self._rules, self._habit):
            self._rules, self._habit = rules, habit
            self.rows["rules"].say_taken(rules)
            self._judge()

    def clear(self) -> None:
        """Take the next circuit."""
        self._texts.clear()
        self._judge()
        self.rows["isc"].control.setFocus(Qt.FocusReason.OtherFocusReason)
        self.entered.emit()

    def cards(self) -> tuple[Finding, ...]:
        """What the rules say of the typed circuit, worst first."""
        return () if self.typed is None else self.typed.findings

    def circuits(self) -> tuple[str, ...]:
        """None of the design's circuits is in hand here."""
        return ()

    def evaluation(self) -> Evaluation | None:
        """The small design that the typed circuit makes, for a device in hand."""
        return None if self.typed is None else self.typed.evaluation

    def exported(self) -> list[tuple[str, ...]]:
        """The answers, a line each under a head."""
        return [] if self.typed is None else [HEADS, *self.typed.answers(self._habit)]

    def go_to(self, path: str) -> bool:
        """Put the hand on the field that a finding about the typed circuit names."""
        name = WORDS.get(path, "")
        if name not in self.rows:
            return False
        if name in FOLDED:
            self.more.setChecked(True)
        self.rows[name].light()
        reveal(self.rows[name])
        return True

    def _default(self, spec: Spec) -> str:
        return "" if spec.default is None or spec.name == "rules" else str(spec.default)

    def _fold(self, opened: bool) -> None:
        self.more.setText("Less" if opened else "More")
        for name in FOLDED:
            self.rows[name].setVisible(opened)

    def _commit(self, name: str, text: str) -> None:
        if text.strip():
            self._texts[name] = text.strip()
        else:
            self._texts.pop(name, None)
        self.rows[name].control.show_text(text.strip())
        self._judge()
        self.entered.emit()

    def _judge(self) -> None:
        """Ask the engine about what is typed; what can't be read is said under its field."""
        texts = {"rules": self._rules or "nec-2023", **self._texts, "units": self._habit}
        wrong = {}
        self.typed = None
        try:
            self.typed = in_hand.typed_circuit(texts)
        except Problems as error:
            wrong = {problem.where: problem for problem in error.problems}
        for name, row in self.rows.items():
            text = self._texts.get(name, "")
            row.show_value(text, default=not text, tip=tip(row.spec, "", "", bool(text), self._habit))
            problem = wrong.get(name)
            if problem is not None and text:
                hint = f" ({problem.hint})" if problem.hint else ""
                row.show_error(f"got {problem.got}, need {problem.need}{hint}")
            else:
                row.clear_error()
        self._tell()

    def _tell(self) -> None:
        look, typed = self._look, self.typed
        if typed is None:
            told = NOTHING if any(name not in self._texts for name in NEEDED) else "Not read: see the field."
            self.answer.setText(f"<span style='color: {look.soft};'>{escape(told)}</span>")
            return
        large = look.text >= LARGE
        cells = "".join(
            f"<p style='margin: 0 0 4px 0; color: {look.soft};'>{escape(_capital(name))}: "
            f"<b style='color: {look.ink};'>{escape(text)}</b></p>"
            if large
            else f"<tr><td style='padding-right: 12px; color: {look.soft};'>{escape(_capital(name))}</td>"
            f"<td><b>{escape(text)}</b></td></tr>"
            for name, text in typed.answers(self._habit)
        )
        notes = [f"By {typed.evaluation.family.name}."]
        if typed.status is Status.UNKNOWN and typed.asks:
            names = ", ".join(_lower(FIELDS[word].title) for word in typed.asks)
            notes.insert(0, f"Type also, to have the rest: {names}.")
        taken = typed.assumed(self._habit)
        if taken:
            notes.append(f"Assumed: {'; '.join(taken)}.")
        said = "".join(f"<p style='margin: 6px 0 0 0;'>{escape(note)}</p>" for note in notes)
        rows = cells if large else f"<table cellspacing='0' cellpadding='2'>{cells}</table>"
        self.answer.setText(f"{rows}<div style='color: {look.soft}; font-size: {look.small}px;'>{said}</div>")


def _choices(spec: Spec, default: str) -> Choices:
    words = spec.words if spec.kind == "word" else ()
    head = ("", f"default: {default}" if default else NOT_ENTERED)
    return (head, *((word, word) for word in words)) if words else ()


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    return in_hand.lower(text)
