"""The Wiring pane: all circuits as a table; the one in hand with its fields, its ladder and its reasons."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QLabel, QSplitter, QWidget

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.prices_form import PricesForm
from app.print_circuits import write_pdf
from app.save_as import save_as
from app.session import Session
from app.views.caution import CautionPanel
from app.views.circuit_rows import rows
from app.views.circuit_table import CircuitTable
from app.views.faces import Faces
from app.views.ladder import LadderView
from app.views.money import MoneyView
from app.views.reasons import Reasons, ReasonsView
from app.views.voltage_trade import VoltageTradeView
from engine.design import Circuit
from engine.evaluation import Evaluation
from engine.flip import flip, turns
from engine.money.sizes import money, with_size
from engine.money.voltage import trade
from engine.money.winding import KINDS, winding
from engine.sections.circuit_ladder import circuit_lanes
from engine.sections.results import CircuitResult

FIELDS = tuple(name for name in Circuit.specs())
CAUTIONS = {"string": "combiner", "run": "array", "output": "controller"}
TURBINES = ("wind", "hydro")
NOWHERE = "nowhere within what can be entered"
ON_CIRCUIT = "every voltage on the circuit, one axis"
HIGHER = "More modules in series against copper and conversion loss"
WOUND = "An alternator wound for more volts against copper and conversion loss; dc or ac"
NO_VOLTAGE = "Only the run of an array and the circuits of a turbine have a voltage to choose"
PRICED = ("money", "voltage")  # faces that ask for prices


class WiringPane(Pane):
    """``piece_chosen(path)`` for a circuit or a piece taken by hand, ``field_asked(path)`` and
    ``worksheet_asked(id, inputs)`` to go there, ``said(text)`` for a notice."""

    piece_chosen = Signal(str)
    field_asked = Signal(str)
    worksheet_asked = Signal(str, object)
    said = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._circuit = ""
        self._turns: tuple[Evaluation | None, dict[str, str]] = (None, {})
        self._title, self._about = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._about.setObjectName("soft")
        for at, label in enumerate((self._title, self._about)):
            label.setWordWrap(True)
            self.form_column.insertWidget(at, label)
        self._form = Form(session)
        self._prices = PricesForm(session)
        self._caution = CautionPanel("array")
        for part in (self._prices, self._form, self._caution):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._build_pictures()

    def _build_pictures(self) -> None:
        self.table = CircuitTable()
        self.table.circuit_chosen.connect(lambda id: self.piece_chosen.emit(f"circuits.{id}"))
        self.table.csv_asked.connect(self.save_csv)
        self.table.print_asked.connect(self.print_pdf)
        self.table.entered.connect(self._to_form)
        self._ladder, self._reasons = LadderView(), ReasonsView()
        self._ladder.piece_chosen.connect(self.piece_chosen)
        self._reasons.field_asked.connect(self.field_asked)
        self._reasons.worksheet_asked.connect(self.worksheet_asked)
        self._reasons.turn_asked.connect(self._find_turn)
        self._money, self._voltage = MoneyView(), VoltageTradeView()
        self._money.field_asked.connect(self.go_to)
        self._money.price_asked.connect(self._add_price)
        self._money.worksheet_asked.connect(self.worksheet_asked)
        self._voltage.field_asked.connect(self._ask)
        self.faces = Faces()
        for name, titles, view, tip in (
            ("ladder", ("Voltage ladder", "Ladder"), self._ladder, "Every voltage on the circuit, one axis"),
            (
                "why",
                ("Why this size", "Why"),
                self._reasons,
                "Every check, and what the next size down fails",
            ),
            ("money", ("Money and metal", "Money"), self._money, "What each size costs and what it loses"),
            ("voltage", ("Source voltage", "Voltage"), self._voltage, HIGHER),
        ):
            self.faces.add(name, titles, view, tip)
        self.faces.turned.connect(lambda _name: self.refresh())
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.setChildrenCollapsible(False)
        self._split.addWidget(_framed(self.table, (16, 8, 8, 8)))
        self._split.addWidget(_framed(self.faces, (0, 0, 0, 4)))
        self._split.setSizes([240, 300])
        self.picture.addWidget(self._split)
        find = QShortcut(QKeySequence.StandardKey.Find, self)
        find.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        find.activated.connect(lambda: self.table.filter.setFocus(Qt.FocusReason.ShortcutFocusReason))

    def forms(self) -> tuple[Form, ...]:
        return (*self._prices.forms(), self._form)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        faces = (self._ladder, self._reasons, self._money, self._voltage)
        for part in (self.table, self.faces, *faces, self._caution):
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
        else:
            self._title.setText(circuit.title)
            self._about.setText("What is not entered is taken as its field says.")
            self._form.set_paths(f"circuits.{circuit.id}", FIELDS, "Circuit")
            self._form.take({item.path: (item.text, item.why) for item in circuit.assumed})
            self._caution.show_place(caution_of(circuit))
        turbine = circuit is not None and circuit.kind in KINDS
        on = circuit is not None and (turbine or (circuit.kind == "run" and circuit.array is not None))
        self.faces.offer("voltage", on, (WOUND if turbine else HIGHER) if on else NO_VOLTAGE)
        priced = circuit is not None and self.faces.shown in PRICED
        self._prices.setVisible(priced)
        self._form.heading.setVisible(priced)
        self._draw()

    def _draw(self) -> None:
        """Draw the face that shows."""
        session, id = self._session, self._circuit
        evaluation, habit = session.evaluation, session.habit
        face = self.faces.shown
        if face == "ladder":
            parts = (session.design, evaluation.arrays, evaluation.controllers, evaluation.circuits)
            circuit = evaluation.circuits.get(id)
            axis = "AC voltage" if circuit is not None and circuit.system == "ac" else "DC voltage"
            self._ladder.show_lanes(circuit_lanes(*parts, id, {}, habit), habit, ON_CIRCUIT, axis)
        elif face == "why":
            self._reasons.show_reasons(self._reasons_of(evaluation), habit)
        else:
            self._draw_money(evaluation, habit)

    def _draw_money(self, evaluation: Evaluation, habit: str) -> None:
        currency = evaluation.design.prices.currency or ""
        found = money(evaluation, self._circuit)
        if self.faces.shown == "money":
            self._money.show_given(found, habit, currency)
        else:
            ways = trade(evaluation, self._circuit) or winding(evaluation, self._circuit)
            self._voltage.show_given(ways, habit, currency)
        sizes = () if found is None else tuple(option.size for option in found.options)
        self._prices.show_sizes(sizes, self._material())

    def _material(self) -> str:
        return str(self._session.design.circuit(self._circuit).use("material"))

    def _add_price(self, size: str) -> None:
        """Make a place for the price of a size, and put the hand on it."""
        path = self._prices.add(size, self._material())
        self._session.settle()
        self.go_to(path)

    def _ask(self, path: str) -> None:
        """Go to what the voltages ask for: a price stands in this pane, all else elsewhere."""
        if path.startswith("site."):
            self.field_asked.emit(path)
        elif path == "wires":
            self.faces.show_face("money")
            self.refresh()
        else:
            self.go_to(path)

    def go_to(self, path: str) -> bool:
        """Put the hand on a field; a price turns to the face of money first."""
        if path.partition(".")[0] in ("prices", "wires") and self.faces.shown not in PRICED:
            self.faces.show_face("money")
            self.refresh()
        return super().go_to(path)

    def _reasons_of(self, evaluation: Evaluation) -> Reasons | None:
        circuit = evaluation.circuits.get(self._circuit)
        if circuit is None:
            return None
        smaller = circuit.smaller
        checks = () if smaller is None else with_size(evaluation, circuit.id, smaller).checks
        where = f"circuits.{circuit.id}"
        if self._turns[0] is not evaluation:
            self._turns = (evaluation, {})
        found = {key: text for key, text in self._turns[1].items() if key.startswith(f"{where} ")}
        return Reasons(
            circuit=circuit,
            smaller=checks,
            findings=tuple(f for f in evaluation.findings if f.where == where and turns(evaluation, f)),
            turns={key.removeprefix(f"{where} "): text for key, text in found.items()},
        )

    def _find_turn(self, rule: str) -> None:
        """Find where an answer turns, and say it."""
        evaluation, where = self._session.evaluation, f"circuits.{self._circuit}"
        finding = next(f for f in evaluation.findings if (f.where, f.rule) == (where, rule))
        found = flip(evaluation, finding)
        self._turns[1][f"{where} {rule}"] = NOWHERE if found is None else f"{found.title}, {found.text}"
        self._draw()

    def save_csv(self) -> None:
        """Ask for a file and save the circuits shown as comma-separated values."""
        text = self.table.csv()
        self._save(".csv", "Save the circuits", lambda path: path.write_text(text, "utf-8", newline=""))

    def print_pdf(self) -> None:
        """Ask for a file and print the circuits shown."""
        session, words = self._session, self.table.filter.text().strip()
        note = f"those with the words “{words}”" if words else ""
        held = (session.evaluation, self.table.shown(), session.habit, note)
        self._save(".pdf", "Print the circuits", lambda path: write_pdf(path, *held))

    def _save(self, ending: str, title: str, write: Callable[[Path], object]) -> None:
        said = save_as(self, self._session.path, "circuits", title, ending, write)
        if said is not None:
            self.said.emit(said)

    def _to_form(self) -> None:
        self.go_to(f"circuits.{self._circuit}.length")


def circuit_of(evaluation: Evaluation, selected: str, before: str) -> str:
    """The circuit to look at: the one selected, else the one before if it is the selected piece's, else the
    piece's first, else the one before, else the first of all; empty where there is none."""
    circuits = evaluation.circuits
    table, _, id = selected.partition(".")
    if table == "circuits" and id in circuits:
        return id
    own = [item.id for item in circuits.values() if selected and selected in _pieces(item)]
    if before in circuits and (not own or before in own):
        return before
    return own[0] if own else next(iter(circuits), "")


def _pieces(circuit: CircuitResult) -> tuple[str, ...]:
    """The paths of the pieces that a circuit belongs to or ends at."""
    return (circuit.piece, *circuit.ends, f"arrays.{circuit.array}", f"controllers.{circuit.controller}")


def caution_of(circuit: CircuitResult) -> str:
    """The place whose caution stands beside a circuit."""
    table = circuit.piece.partition(".")[0]
    if table in TURBINES:
        return table
    return "ac" if circuit.system == "ac" else CAUTIONS.get(circuit.kind, "battery")


def _framed(widget: QWidget, margins: tuple[int, int, int, int]) -> QWidget:
    frame, column = sheet()
    column.setContentsMargins(*margins)
    column.addWidget(widget)
    return frame
