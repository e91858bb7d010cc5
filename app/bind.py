"""Forms bound to the session: rows made from the design's descriptions, one setter, no state of their own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QToolButton, QVBoxLayout, QWidget

from app.fields.cells import Cells
from app.fields.controls import NOT_ENTERED, Choice, Choices
from app.fields.row import FieldRow
from app.session import Session
from engine import edit, units
from engine.design import label
from engine.edit import FieldError
from engine.entry import range_text
from engine.fields import Spec

COLUMNS = {"Wh/m^2": "kWh/m²"}  # as the tables of the sun are printed, where a bare number takes the unit


class Form(QWidget):
    """A column of fields under a heading; where ``folded`` the advanced ones stand behind "More"."""

    def __init__(self, session: Session, heading: str = "", *, folded: bool = True) -> None:
        super().__init__()
        self._folded = folded
        self._session = session
        self._specs: dict[str, Spec] = {}
        self._rows: dict[str, FieldRow] = {}  # the folded ones are made when they are first opened
        self._drawn: tuple[Any, str, dict[str, Choices]] | None = None
        self._refs: tuple[Spec, ...] = ()
        self._seen: dict[str, tuple[Any, str, Choices]] = {}
        self._taken: dict[str, tuple[str, str]] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 8)
        self._column.setSpacing(0)
        self.heading = QLabel(heading)
        self.heading.setObjectName("heading")
        self.heading.setWordWrap(True)
        self.heading.setIndent(0)
        self._column.addWidget(self.heading)
        self.heading.setVisible(bool(heading))
        self._more = QToolButton()
        self._more.setText("More")
        self._more.setCheckable(True)
        self._more.toggled.connect(self._fold)
        self._more.hide()

    @property
    def owner(self) -> str:
        """The path of the record that is shown."""
        return self.first.rpartition(".")[0]

    @property
    def first(self) -> str:
        """The path of the first field."""
        return next(iter(self._specs), "")

    def set_paths(self, owner: str, names: Iterable[str], heading: str = "") -> None:
        """Show these fields of a record. Rows are kept, and bound anew where another record has the same."""
        paths = tuple(f"{owner}.{name}" if owner else name for name in names)
        if heading and heading != self.heading.text():
            self.heading.setText(heading)
            self.heading.setVisible(True)
        if paths != tuple(self._specs):
            specs = {path: edit.spec_of(path) for path in paths}
            if list(specs.values()) == list(self._specs.values()):
                self._bind_anew(specs)
            else:
                self._build(specs)
            self._more.setAccessibleName(f"More fields of {self.heading.text() or 'the design'}")
        self.refresh()

    def _bind_anew(self, specs: dict[str, Spec]) -> None:
        rows = {}
        for path, before in zip(specs, self._specs, strict=True):
            if before in self._rows:
                row = rows[path] = self._rows[before]
                row.drop()
                row.path = path
        self._specs, self._rows, self._seen, self._drawn = specs, rows, {}, None

    def _build(self, specs: dict[str, Spec]) -> None:
        for row in self._rows.values():
            row.committed.disconnect()
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._column.removeWidget(self._more)
        self._specs, self._rows, self._seen, self._drawn = specs, {}, {}, None
        self._refs = tuple(spec for spec in specs.values() if spec.kind == "ref")
        folded = [path for path, spec in specs.items() if self._folded and spec.advanced]
        self._make(path for path in specs if path not in folded)
        self._column.addWidget(self._more, alignment=Qt.AlignmentFlag.AlignLeft)
        self._more.setVisible(bool(folded))
        if self._more.isChecked():
            self._fold(True)

    def _make(self, paths: Iterable[str]) -> None:
        for path in paths:
            spec = self._specs[path]
            row = self._rows[path] = FieldRow(path, spec, self._choices(spec))
            row.committed.connect(self._commit)
            row.new_asked.connect(self._new)
            self._column.addWidget(row)
            if spec.default is None:
                row.say_taken(self._taken.get(path, ("", ""))[0])
        self._drawn = None

    def _make_folded(self) -> None:
        lacking = [path for path in self._specs if path not in self._rows]
        if lacking:
            self._make(lacking)
            self._fold(self._more.isChecked())
            self.refresh()

    def _choices(self, spec: Spec) -> Choices:
        if spec.kind == "word":
            pairs = tuple((word, word) for word in spec.words)
        elif spec.kind == "flag":
            pairs = (("yes", "yes"), ("no", "no"))
        elif spec.kind == "ref":
            pairs = tuple((item.id, label(item)) for item in getattr(self._session.design, spec.to))
        else:
            return ()
        default = {True: "yes", False: "no", None: None}.get(spec.default, spec.default)
        return (("", NOT_ENTERED if default is None else f"default: {default}"), *pairs)

    def _fold(self, opened: bool) -> None:
        self._more.setText("Less" if opened else "More")
        if opened:
            self._make_folded()
        for row in self._rows.values():
            row.setVisible(opened or not self._folded or not row.spec.advanced)

    def refresh(self) -> None:
        """Show the design as it stands; rows whose value did not change are left alone."""
        design, habit = self._session.design, self._session.habit
        offers = {spec.to: self._choices(spec) for spec in self._refs}
        drawn = (edit.record_of(design, self.owner), habit, offers)
        if self._drawn is not None and self._drawn[0] is drawn[0] and self._drawn[1:] == drawn[1:]:
            return
        self._drawn = drawn
        for path, row in self._rows.items():
            offered = offers.get(row.spec.to, ())
            seen, now = self._seen.get(path), (edit.get(design, path), habit, offered)
            if seen is None or seen[0] is not now[0] or seen[1:] != now[1:]:
                self._seen[path] = now
                self._show(row, offered)

    def _show(self, row: FieldRow, offered: Choices = (), *, taken: bool = False) -> None:
        design, habit, path = self._session.design, self._session.habit, row.path
        if offered and isinstance(row.control, Choice):
            row.control.offer(offered)
        if isinstance(row.control, Cells):
            row.control.set_units(
                *(COLUMNS.get(u) or units.shown_in(u, habit) for u in (row.spec.unit, row.spec.unit2) if u)
            )
        entered = edit.get(design, path) is not None
        text, typed = edit.shown(design, path, habit), edit.typed(design, path)
        other, taken_for = edit.other_habit(design, path, habit), self._taken.get(path, ("", ""))[1]
        told = tip(row.spec, typed if typed != text else "", other, entered, habit, taken_for)
        show = row.settle if taken else row.show_value
        show(text, default=not entered, tip=told)

    def take(self, taken: Mapping[str, tuple[str, str]]) -> None:
        """Say which value is taken for a field without default of its own where nothing was entered, and why,
        by its path."""
        before, self._taken = self._taken, dict(taken)
        for path, row in self._rows.items():
            if row.spec.default is None:
                row.say_taken(self._taken.get(path, ("", ""))[0])
                if before.get(path) != self._taken.get(path):
                    self._show(row)

    def row(self, path: str) -> FieldRow | None:
        """The row of a field, if this form has it."""
        if path in self._specs:
            self._make_folded()
        return self._rows.get(path)

    def unread(self) -> tuple[str, ...]:
        """The titles of fields where a text stands that the design does not have."""
        return tuple(row.spec.title for row in self._rows.values() if row.pending)

    def go_to(self, path: str) -> bool:
        """Open what hides the field and put the hand on it."""
        row = self.row(path)
        if row is None:
            return False
        if row.spec.advanced:
            self._more.setChecked(True)
        row.light()
        return True

    def _commit(self, path: str, text: str) -> None:
        row = self._rows[path]
        try:
            self._session.edit(path, text, drag="step" if row.stepping else "")
        except FieldError as error:
            hint = f" ({error.hint})" if error.hint else ""
            stays = edit.shown(self._session.design, path, self._session.habit)
            kept = f"; {stays} stays" if stays and len(stays) < 40 else ""
            row.show_error(f"got {error.got}, need {error.need}{hint}{kept}")
        else:
            self._seen.pop(path, None)
            self._drawn = None
            self._show(row, taken=True)

    def _new(self, path: str) -> None:
        table = self._rows[path].spec.to
        self._session.add(table, into=path)


def tip(spec: Spec, typed: str, other: str, entered: bool, habit: str, taken: str = "") -> str:
    """What hovering over a field says: help, the text as typed where another is shown, the value in the other
    habit, the range, and where a default, or what is ``taken`` in its place, is from."""
    parts = [spec.help] if spec.help else []
    if typed:
        parts.append(f"Typed: {typed}")
    if other and other != typed:
        parts.append(f"= {other}")
    allowed = (
        range_text(spec, habit) if spec.kind in ("quantity", "quantities", "count", "coefficient") else ""
    )
    if allowed:
        parts.append(f"Range: {allowed}.")
    if spec.default is not None:
        parts.append("Empty it to have the default back." if entered else f"Default: {spec.why}.")
    elif not entered and taken:
        parts.append(f"Default: {taken}.")
    elif not entered and spec.kind != "text":
        parts.append("Not entered: what needs it stays unknown.")
    return "\n".join(parts)
