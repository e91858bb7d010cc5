"""Forms bound to the session: rows made from the design's descriptions, one setter, no state of their own."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLabel, QToolButton, QVBoxLayout, QWidget

from app.fields.row import NOT_ENTERED, FieldRow
from app.session import Session
from engine import edit, units
from engine.design import label
from engine.edit import FieldError
from engine.fields import Spec


class Form(QWidget):
    """A column of fields under a heading; the advanced ones are folded behind "More"."""

    def __init__(self, session: Session, heading: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._rows: dict[str, FieldRow] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 8)
        self._column.setSpacing(0)
        self.heading = QLabel(heading)
        self.heading.setStyleSheet("font-weight: bold; padding-top: 6px;")
        self.heading.setWordWrap(True)
        self.heading.setVisible(bool(heading))
        self._column.addWidget(self.heading)
        self._more = QToolButton()
        self._more.setText("More")
        self._more.setCheckable(True)
        self._more.setAccessibleName(f"More fields: {heading}")
        self._more.toggled.connect(self._fold)
        self._paths: tuple[str, ...] = ()

    def set_paths(self, owner: str, names: Iterable[str], heading: str = "") -> None:
        """Show these fields of a record; rows are kept where nothing changed."""
        paths = tuple(f"{owner}.{name}" if owner else name for name in names)
        if heading:
            self.heading.setText(heading)
            self.heading.show()
        if paths != self._paths:
            self._paths = paths
            self._build()
        self.refresh()

    def _build(self) -> None:
        for row in self._rows.values():
            self._column.removeWidget(row)
            row.setParent(None)
            row.deleteLater()
        self._column.removeWidget(self._more)
        self._rows = {}
        specs = {path: edit.spec_of(path) for path in self._paths}
        for advanced in (False, True):
            if advanced and any(spec.advanced for spec in specs.values()):
                self._column.addWidget(self._more, alignment=Qt.AlignmentFlag.AlignLeft)
            for path, spec in specs.items():
                if spec.advanced is advanced:
                    row = FieldRow(path, spec, self._choices(spec))
                    row.committed.connect(self._commit)
                    self._rows[path] = row
                    self._column.addWidget(row)
        self._more.setVisible(any(spec.advanced for spec in specs.values()))
        self._fold(self._more.isChecked())

    def _choices(self, spec: Spec) -> tuple[tuple[str, str], ...]:
        if spec.kind == "word":
            pairs = tuple((word, word) for word in spec.words)
        elif spec.kind == "flag":
            pairs = (("yes", "yes"), ("no", "no"))
        elif spec.kind == "ref":
            records = getattr(self._session.design, spec.to)
            pairs = tuple((item.id, label(item)) for item in records)
        else:
            return ()
        return pairs if spec.default is not None else (("", NOT_ENTERED), *pairs)

    def _fold(self, open_: bool) -> None:
        self._more.setText("Less" if open_ else "More")
        for row in self._rows.values():
            row.setVisible(open_ or not row.spec.advanced)

    def refresh(self) -> None:
        """Show the design as it stands."""
        design, habit = self._session.design, self._session.habit
        for path, row in self._rows.items():
            if row.spec.kind == "ref" and isinstance(row.control, QComboBox):
                row.set_choices(row.control, self._choices(row.spec))
            entered = edit.get(design, path) is not None
            row.show_value(
                edit.shown(design, path, habit),
                default=not entered,
                tip=tip(row.spec, edit.other_habit(design, path, habit), entered, habit),
            )

    def row(self, path: str) -> FieldRow | None:
        """The row of a field, if this form has it."""
        return self._rows.get(path)

    def go_to(self, path: str) -> bool:
        """Open what hides the field and put the hand on it."""
        row = self._rows.get(path)
        if row is None:
            return False
        if row.spec.advanced:
            self._more.setChecked(True)
        row.light()
        return True

    def _commit(self, path: str, text: str) -> None:
        row = self._rows[path]
        try:
            self._session.edit(path, text)
        except FieldError as error:
            hint = f" ({error.hint})" if error.hint else ""
            row.show_error(f"got {error.got}, need {error.need}{hint}")
        else:
            row.clear_error()


def tip(spec: Spec, other: str, entered: bool, habit: str) -> str:
    """What hovering over a field says: help, the other habit's value, its range, where a default is from."""
    parts = [spec.help] if spec.help else []
    if other:
        parts.append(f"= {other}")
    if spec.kind in ("quantity", "quantities", "count"):
        ends = [("from", spec.low), ("above", spec.above), ("to", spec.high)]
        told = [f"{name} {units.show(end, spec.unit, habit)}" for name, end in ends if end is not None]
        if told:
            parts.append("Range: " + " ".join(told) + ".")
    if spec.default is not None:
        parts.append(f"Default ({spec.why})." if not entered else "Empty it to have the default back.")
    elif not entered:
        parts.append("Not entered: what needs it stays unknown.")
    return "\n".join(parts)
