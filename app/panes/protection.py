"""The Protection pane: the breaker in hand against every circuit, and the devices that the design needs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QButtonGroup,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSplitter,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.table_text import csv_text
from app.views.caution import CautionPanel
from app.views.findings import CardList
from app.views.order_list import OrderListView
from app.views.printed_form import PrintedForm
from app.views.text_table import Texts, TextTable
from engine import in_hand
from engine.design import Device
from engine.evaluation import Evaluation
from engine.finding import Finding
from engine.in_hand import Fit
from engine.problems import Problems

LARGEST = 2_000_000  # bytes of an order list
BATTERY_KINDS = ("output", "bank", "inverter", "panel", "branch", "diversion")
NOTHING_TYPED = (
    "Type what is printed on it; leave empty what is not. The verdict stands below, for each circuit."
)
NO_CIRCUIT = (
    "No circuit yet. Circuits come from what is joined: add an array and the controller that it feeds."
)


class ProtectionPane(Pane):
    """``field_asked(path)`` to mend what a card names, ``worksheet_asked(id, inputs)`` to open a step,
    ``said(text)`` for a notice."""

    field_asked = Signal(str)
    worksheet_asked = Signal(str, object)
    said = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._device: Device | None = None
        self._wanted: tuple[in_hand.Wanted, ...] = ()
        self._build_left()
        self._build_right()

    def _build_left(self) -> None:
        title = QLabel("Breaker in hand")
        title.setObjectName("title")
        self.form = PrintedForm()
        self.form.entered.connect(self._printed)
        self._told = QLabel(NOTHING_TYPED)
        self._told.setObjectName("soft")
        self._told.setWordWrap(True)
        self.verdicts = self._cards("Verdicts on the device in hand, circuit by circuit")
        for area in self._form_sheet.findChildren(QScrollArea):
            area.hide()  # the cards below the form scroll by themselves
        for widget in (title, self.form, self._told):
            self.form_column.addWidget(widget)
        self.form_column.addWidget(self.verdicts, 1)
        self.form_column.addStretch(0)

    def _build_right(self) -> None:
        self.design_button = _tab("Devices", "What this design asks for, and for which circuits")
        self.order_button = _tab("Order list", "Judge a list of devices, line by line")
        group = QButtonGroup(self)
        for button in (self.design_button, self.order_button):
            group.addButton(button)
            button.clicked.connect(self._show_right)
        self.design_button.setChecked(True)
        self.paste_button = _button("Paste", "Paste an order list from the clipboard (Ctrl+V)", self.paste)
        self.import_button = _button("Import CSV…", "Read an order list from a file", self.ask_import)
        self._copy_button = _button("Copy", "Copy every line, for a spreadsheet", self.copy)
        self._save_button = _button(
            "Save as CSV…", "Save every line as comma-separated values", self.save_csv
        )
        head = QHBoxLayout()
        head.setContentsMargins(0, 0, 8, 0)
        head.setSpacing(4)
        for button in (self.design_button, self.order_button):
            head.addWidget(button)
        head.addStretch(1)
        for button in (self.paste_button, self.import_button, self._copy_button, self._save_button):
            head.addWidget(button)
        self._empty = QLabel(NO_CIRCUIT)
        self._empty.setObjectName("soft")
        self._empty.setWordWrap(True)
        self.table = TextTable("Devices of this design")
        self.table.chosen.connect(lambda _line: self._show_reasons())
        self.table.entered.connect(lambda _line: self._to_reasons())
        self.order = OrderListView()
        self.order.chosen.connect(self._show_reasons)
        self.order.entered.connect(self._to_reasons)
        self.reasons = self._cards("What decides on the line in hand")
        self._caution = CautionPanel("protection")
        top, column = sheet()
        column.setSpacing(8)
        column.addLayout(head)
        column.addWidget(self._empty)
        column.addWidget(self.table, 1)
        column.addWidget(self.order, 1)
        column.addStretch(0)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(top)
        split.addWidget(self._below())
        split.setSizes([280, 220])
        self.picture.addWidget(split)
        paste = QShortcut(QKeySequence.StandardKey.Paste, self)
        paste.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        paste.activated.connect(lambda: self.paste() if self._ordering else None)

    def _below(self) -> QWidget:
        frame, column = sheet()
        column.setContentsMargins(12, 8, 4, 8)
        column.addWidget(self.reasons, 1)
        below = QWidget()
        stack = QVBoxLayout(below)
        stack.setContentsMargins(0, 0, 0, 0)
        stack.setSpacing(8)
        stack.addWidget(frame, 1)
        stack.addWidget(self._caution)
        return below

    def _cards(self, name: str) -> CardList:
        cards = CardList()
        cards.setAccessibleName(name)
        cards.field_asked.connect(self.field_asked)
        cards.worksheet_asked.connect(self.worksheet_asked)
        return cards

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        for part in (self.verdicts, self.reasons, self.table, self.order, self._caution):
            part.set_look(look)

    def refresh(self) -> None:
        """Judge the device in hand anew, and show the order list of the design."""
        self._show_verdicts()
        self._wanted = in_hand.wanted(self._session.evaluation)
        self._show_right()

    def unread(self) -> tuple[str, ...]:
        """Nothing typed here belongs to the design."""
        return ()

    def go_to(self, path: str) -> bool:
        """The pane has no field of the design."""
        return False

    # The device in hand

    def _printed(self, texts: dict[str, str]) -> None:
        try:
            self._device = in_hand.read(texts) if texts else None
        except Problems as error:
            self._device = None
            self.form.show_problems(error.problems)
        else:
            self.form.show_problems(())
        self._show_verdicts()

    def _show_verdicts(self) -> None:
        evaluation, habit = self._session.evaluation, self._session.habit
        self._told.setVisible(self.form.error.isHidden())
        if self._device is None:
            self.verdicts.hide()
            self._told.setText(NOTHING_TYPED)
            return
        found = in_hand.judge(evaluation, self._device)
        read = f"Read as: {', '.join(in_hand.facts(self._device, habit))}."
        if not found:
            self._told.setText(f"{read}\n{NO_CIRCUIT}")
        else:
            fits = sum(verdict.fit is Fit.FIT for verdict in found)
            self._told.setText(f"{read}\nFits {fits} of {len(found)} circuits.")
        best_first = sorted(found, key=lambda verdict: -verdict.fit)
        self.verdicts.show_cards(tuple(in_hand.as_finding(verdict) for verdict in best_first), habit)
        self.verdicts.setVisible(bool(found))

    # The design's devices, and an order list

    @property
    def _ordering(self) -> bool:
        return self.order_button.isChecked()

    def _show_right(self) -> None:
        evaluation, habit, ordering = self._session.evaluation, self._session.habit, self._ordering
        for widget, shown in (
            (self._empty, not ordering and not self._wanted),
            (self.table, not ordering and bool(self._wanted)),
            (self.order, ordering),
            (self.paste_button, ordering),
            (self.import_button, ordering),
        ):
            widget.setVisible(shown)
        if ordering:
            self.order.judge(evaluation)
        else:
            rows = tuple((line.status, line.cells(habit)) for line in self._wanted)
            self.table.show_texts(Texts(in_hand.HEADS, in_hand.RIGHT, ("Kind",), rows))
        self._show_reasons()

    def _show_reasons(self) -> None:
        """The cards of the line in hand: its verdicts, or what the rules say of its circuits' devices."""
        evaluation, line = self._session.evaluation, self.table.line()
        cards: tuple[Finding, ...] = ()
        circuits: tuple[str, ...] = ()
        if self._ordering:
            cards, circuits = self.order.cards(), self.order.circuits()
        elif 0 <= line < len(self._wanted):
            circuits = self._wanted[line].circuits
            cards = in_hand.device_findings(evaluation, circuits)
        self.reasons.show_cards(cards, self._session.habit)
        self._caution.show_place(_caution_of(evaluation, circuits))
        for button in (self._copy_button, self._save_button):
            button.setEnabled(bool(self._shown_table().texts().rows))

    def _to_reasons(self) -> None:
        self.reasons.setFocus(Qt.FocusReason.OtherFocusReason)

    def paste(self) -> None:
        """Read an order list from the clipboard."""
        self.take_list(QGuiApplication.clipboard().text())

    def ask_import(self) -> None:
        """Ask for a file and read it as an order list."""
        name, _ = QFileDialog.getOpenFileName(
            self, "Import an order list", "", "Lists (*.csv *.tsv *.txt);;All files (*)"
        )
        if name:
            self.import_file(Path(name))

    def import_file(self, path: Path) -> None:
        """Read a file as an order list; one that can't be read is said."""
        try:
            if path.stat().st_size > LARGEST:
                raise OSError(0, "it is larger than 2 MB")
            text = path.read_text("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            reason = error.strerror if isinstance(error, OSError) else "it is not a text file"
            self.said.emit(f"Not read: {path.name}: {reason}. Save the list as CSV in UTF-8.")
            return
        self.said.emit("")
        self.take_list(text)

    def take_list(self, text: str) -> None:
        """Take a text as the order list, and judge it."""
        self.order_button.setChecked(True)
        self.order.take(text, self._session.evaluation)
        self._show_right()

    def copy(self) -> None:
        """Copy the table that is shown."""
        self._shown_table().copy_all()

    def save_csv(self) -> None:
        """Ask for a file and save the table that is shown."""
        site, text = self._session.path, csv_text(self._shown_table().texts().exported())
        first = f"{site.stem if site else 'site'}_{'order' if self._ordering else 'devices'}.csv"
        name, _ = QFileDialog.getSaveFileName(
            self,
            "Save the devices",
            str(site.with_name(first)) if site else first,
            "Comma-separated values (*.csv)",
        )
        if not name:
            return
        path = Path(name if Path(name).suffix else f"{name}.csv")
        try:
            path.write_text(text, "utf-8", newline="")
        except OSError as error:
            self.said.emit(f"Not saved: {path.name}: {error.strerror}. Choose another place.")
        else:
            self.said.emit("")

    def _shown_table(self) -> TextTable:
        return self.order.table if self._ordering else self.table


def _caution_of(evaluation: Evaluation, circuits: Sequence[str]) -> str:
    kinds = {evaluation.circuits[id].kind for id in circuits if id in evaluation.circuits}
    if "string" in kinds:
        return "combiner"
    return "battery" if kinds & set(BATTERY_KINDS) else "protection"


def _tab(text: str, tip: str) -> QToolButton:
    button = _button(text, tip, None)
    button.setCheckable(True)
    return button


def _button(text: str, tip: str, run: Callable[[], None] | None) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setToolTip(tip)
    button.setAccessibleName(text)
    button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    if run is not None:
        button.clicked.connect(run)
    return button
