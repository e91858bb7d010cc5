"""The Protection pane: the device in hand against every circuit, the design's devices, one typed circuit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import QFileDialog, QLabel, QScrollArea, QSplitter, QVBoxLayout, QWidget

from app.look import Look
from app.pane import Pane, sheet
from app.print_checklist import write_pdf
from app.save_as import save_as
from app.session import Session
from app.table_text import csv_text, tsv
from app.typed_circuit import TypedCircuitView
from app.views.buttons import menu_button
from app.views.caution import CautionPanel
from app.views.checklist import ChecklistView
from app.views.design_devices import NO_CIRCUIT, DesignDevicesView
from app.views.editions import EditionsView
from app.views.faces import Faces
from app.views.findings import CardList
from app.views.order_list import OrderListView
from app.views.printed_form import PrintedForm
from engine import in_hand
from engine.design import Device
from engine.evaluation import Evaluation
from engine.in_hand import Verdict
from engine.in_hand.typed import RUN, STRING
from engine.problems import Problems

LARGEST = 2_000_000  # bytes of an order list
BATTERY_KINDS = ("output", "bank", "inverter", "panel", "branch", "diversion")
NOTHING_TYPED = (
    "Type what is printed on it; leave empty what is not. The verdict stands below, for each circuit."
)
NONE_TYPED = "No circuit is typed at the right yet: the device is judged against it, not against the site."
TYPE_ONE = f"{NO_CIRCUIT} Or type one at the right, under One circuit."
Lines = DesignDevicesView | OrderListView | EditionsView | TypedCircuitView


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
        self._build_left()
        self._build_right()

    def _build_left(self) -> None:
        title = QLabel("Device in hand")
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
        self.devices, self.order = DesignDevicesView(), OrderListView()
        self.editions, self.checklist = EditionsView(), ChecklistView()
        self.typed = TypedCircuitView()
        self.faces = Faces()
        for name, titles, view, tip in (
            (
                "devices",
                ("Devices", "Devices"),
                self.devices,
                "What this design asks for, circuit by circuit",
            ),
            ("order", ("Order list", "Order"), self.order, "Judge a list of devices, line by line"),
            ("editions", ("Editions", "Editions"), self.editions, "Where other editions answer differently"),
            ("checklist", ("Checklist", "Checks"), self.checklist, "For the day of commissioning"),
            ("typed", ("One circuit", "Circuit"), self.typed, "Type one circuit, without any site"),
        ):
            self.faces.add(name, titles, _inset(view), tip)
        self.faces.turned.connect(lambda _name: self.refresh())
        self.typed.entered.connect(self.refresh)
        for each in (self.devices, self.order, self.editions):
            each.chosen.connect(self._show_reasons)
            each.entered.connect(self._to_reasons)
        self.order.paste_asked.connect(self.paste)
        self.order.import_asked.connect(self.ask_import)
        self.export = menu_button("Export", "Copy, save or print what is shown")
        self._copy = self.export.menu().addAction("Copy every line", self.copy)
        self._csv = self.export.menu().addAction("Save as CSV…", self.save_csv)
        self._pdf = self.export.menu().addAction("Print to PDF…", self.print_pdf)
        self.faces.beside(self.export)
        self.reasons = self._cards("What decides on the line in hand")
        self._caution = CautionPanel("protection")
        top, column = sheet()
        column.setContentsMargins(0, 0, 0, 4)
        column.addWidget(self.faces)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(top)
        split.addWidget(self._below())
        split.setSizes([280, 220])
        self.picture.addWidget(split, 1)
        self.picture.addWidget(self._caution)
        paste = QShortcut(QKeySequence.StandardKey.Paste, self)
        paste.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        paste.activated.connect(lambda: self.paste() if self.faces.shown == "order" else None)

    def _below(self) -> QWidget:
        self._reasons_sheet, column = sheet()
        column.setContentsMargins(12, 8, 4, 8)
        column.addWidget(self.editions.says)
        column.addWidget(self.reasons, 1)
        return self._reasons_sheet

    def _cards(self, name: str) -> CardList:
        cards = CardList()
        cards.setAccessibleName(name)
        cards.field_asked.connect(self._ask_field)
        cards.worksheet_asked.connect(self.worksheet_asked)
        return cards

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        views = (self.devices, self.order, self.editions, self.checklist, self.typed, self.faces)
        for part in (self.verdicts, self.reasons, *views, self._caution):
            part.set_look(look)

    def refresh(self) -> None:
        """Judge the device in hand anew, and show what stands at the right."""
        session = self._session
        self.typed.show_session(session.evaluation.family.name, session.habit)
        self._show_verdicts()
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
        habit = self._session.habit
        self._told.setVisible(self.form.error.isHidden())
        if self._device is None:
            self.verdicts.hide()
            self._told.setText(NOTHING_TYPED)
            return
        found = self._judged(self._device)
        read = f"Read as: {', '.join(in_hand.facts(self._device, habit))}."
        if not found:
            self._told.setText(f"{read}\n{NONE_TYPED if self._on_typed else TYPE_ONE}")
        else:
            self._told.setText(f"{read}\n{in_hand.tally(found)}")
        best_first = sorted(found, key=lambda verdict: -verdict.fit)
        self.verdicts.show_cards(tuple(in_hand.as_finding(verdict) for verdict in best_first), habit)
        self.verdicts.setVisible(bool(found))

    @property
    def _on_typed(self) -> bool:
        """Whether the device in hand is judged against the typed circuit."""
        return self.faces.shown == "typed"

    def _judged(self, device: Device) -> tuple[Verdict, ...]:
        if not self._on_typed:
            return in_hand.judge(self._session.evaluation, device)
        small = self.typed.evaluation()
        found = () if small is None else in_hand.judge(small, device)
        return tuple(verdict for verdict in found if verdict.circuit in (RUN, STRING))

    def _ask_field(self, path: str) -> None:
        """Go to the field that a card names: of the typed circuit, or of the design."""
        if not (self._on_typed and self.typed.go_to(path)):
            self.field_asked.emit(path)

    # What stands at the right: devices, an order list, editions, the checklist

    def _show_right(self) -> None:
        """Show the face that is turned to: only its own work is done."""
        evaluation, face = self._session.evaluation, self.faces.shown
        if face == "order":
            self.order.judge(evaluation)
        elif face == "devices":
            self.devices.show_evaluation(evaluation, self._session.habit)
        elif face == "editions":
            self.editions.show_evaluation(evaluation)
        elif face == "checklist":
            self.checklist.show_evaluation(evaluation)
        self.editions.says.setVisible(face == "editions")
        self._pdf.setEnabled(face == "checklist")
        self._show_reasons()

    def _show_reasons(self) -> None:
        """The cards of the line in hand: its verdicts, or what the rules say of it."""
        evaluation, view = self._session.evaluation, self._view()
        if view is not None:
            self.reasons.show_cards(view.cards(), self._session.habit)
        self._caution.show_place(_caution_of(evaluation, () if view is None else view.circuits()))
        some = bool(self._exported()[1:])
        self.export.setEnabled(some)
        self._reasons_sheet.setVisible(view is self.typed or (some and view is not None))

    def _view(self) -> Lines | None:
        """The face that shows, where it has cards to open; the checklist has none."""
        views: dict[str, Lines] = {
            "devices": self.devices,
            "order": self.order,
            "editions": self.editions,
            "typed": self.typed,
        }
        return views.get(self.faces.shown)

    def _exported(self) -> list[tuple[str, ...]]:
        """Heads and lines of the face that shows."""
        view = self._view()
        if view is None or isinstance(view, TypedCircuitView):
            return self.checklist.exported() if view is None else view.exported()
        return view.table.texts().exported()

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
        self.faces.show_face("order")
        self.order.take(text, self._session.evaluation)
        self._show_right()

    def copy(self) -> None:
        """Copy every line of the face that shows."""
        QGuiApplication.clipboard().setText(tsv(self._exported()))

    def save_csv(self) -> None:
        """Ask for a file and save every line of the face that shows."""
        text = csv_text(self._exported())
        self._save(".csv", "Save the lines", lambda path: path.write_text(text, "utf-8", newline=""))

    def print_pdf(self) -> None:
        """Ask for a file and print the checklist."""
        session = self._session
        title = "Print the checklist"
        self._save(".pdf", title, lambda path: write_pdf(path, session.evaluation, session.habit))

    def _save(self, ending: str, title: str, write: Callable[[Path], object]) -> None:
        said = save_as(self, self._session.path, self.faces.shown, title, ending, write)
        if said is not None:
            self.said.emit(said)


def _caution_of(evaluation: Evaluation, circuits: Sequence[str]) -> str:
    kinds = {evaluation.circuits[id].kind for id in circuits if id in evaluation.circuits}
    if "string" in kinds:
        return "combiner"
    return "battery" if kinds & set(BATTERY_KINDS) else "protection"


def _inset(view: QWidget) -> QWidget:
    """A face with room round it."""
    frame = QWidget()
    column = QVBoxLayout(frame)
    column.setContentsMargins(16, 4, 8, 8)
    column.addWidget(view)
    return frame
