"""The Loads pane: the load in hand at the left; the load table, its day and its months at the right."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QMenu,
    QPushButton,
    QSplitter,
    QWidget,
)

from app import load_words as words
from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.views.fitted import FittedLabel
from app.views.stacks import StackView
from app.views.text_table import Texts, TextTable
from engine.design import Load, label
from engine.sections.system_voltage import choices
from engine.usual_loads import UsualLoad, add_usual, usual_loads

MOST = "Month that takes most"
BANK_FIELDS = ("voltage", "growth")
BANK_HEADING = "Battery voltage, and growth of the loads"


class LoadsPane(Pane):
    """Every load in one table; the one in hand is edited beside it, and each edit moves the sum."""

    piece_chosen = Signal(str)
    field_asked = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._load = ""
        self._chosen: int | None = None  # month; None follows the month that takes most
        self._title = QLabel("Loads")
        self._title.setObjectName("title")
        self._title.setWordWrap(True)
        self._add = QPushButton("+ Add a load")
        self._add.setMenu(self._menu())
        self._remove = QPushButton("Remove this load")
        self._remove.clicked.connect(self._take_away)
        self.form_column.insertWidget(0, self._title)
        buttons = QHBoxLayout()
        buttons.addWidget(self._add, 1)
        buttons.addWidget(self._remove)
        self.form_column.insertLayout(1, buttons)
        self._first, self._bank = Form(session), Form(session, folded=False)
        self._voltages = QLabel()
        self._voltages.setObjectName("note")
        self._voltages.setWordWrap(True)
        for part in (self._first, self._bank, self._voltages):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._build_table()
        self._build_pictures()

    def _menu(self) -> QMenu:
        """An empty load, then the usual ones by group."""
        menu = QMenu(self)
        menu.addAction("Empty load", partial(self._begin, None))
        menu.addSeparator()
        groups: dict[str, QMenu] = {}
        for load in usual_loads():
            group = groups.get(load.group) or groups.setdefault(load.group, menu.addMenu(load.group))
            power = dict(load.texts)["power"]
            group.addAction(f"{load.name}, {power}", partial(self._begin, load))
        return menu

    def _build_table(self) -> None:
        frame, column = sheet()
        column.setContentsMargins(8, 8, 8, 8)
        head = QHBoxLayout()
        self._heading = FittedLabel()
        self._heading.setObjectName("heading")
        head.addWidget(self._heading)
        head.addStretch(1)
        self._month = QComboBox()
        self._month.setAccessibleName("Month")
        self._month.addItem(MOST)
        self._month.addItems(list(words.MONTHS))
        self._month.activated.connect(lambda at: self._choose_month(None if at == 0 else at - 1))
        head.addWidget(self._month)
        column.addLayout(head)
        self._table = TextTable("Load table")
        self._table.chosen.connect(self._take)
        self._table.entered.connect(self._enter)
        column.addWidget(self._table, 1)
        self._empty = QLabel(words.NO_LOADS)
        self._empty.setObjectName("soft")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        column.addWidget(self._empty, 1)
        self._sums = QGridLayout()
        self._sums.setHorizontalSpacing(16)
        self._sums.setVerticalSpacing(0)
        self._sums.setRowMinimumHeight(2, 8)
        self._figures = [(FittedLabel(), QLabel()) for _ in range(8)]
        for at, (caption, figure) in enumerate(self._figures):
            caption.setObjectName("note")
            self._sums.addWidget(caption, 3 * (at // 4), at % 4)
            self._sums.addWidget(figure, 3 * (at // 4) + 1, at % 4)
        self._sum_box = QWidget()
        self._sum_box.setLayout(self._sums)
        self._sums.setContentsMargins(8, 4, 8, 0)
        column.addWidget(self._sum_box)
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.setChildrenCollapsible(False)
        self._split.addWidget(frame)

    def _build_pictures(self) -> None:
        self._day = StackView("The mean day, hour by hour")
        self._year = StackView("A day's energy, by month", pickable=True)
        self._year.picked.connect(self._choose_month)
        below, column = sheet()
        column.setContentsMargins(0, 4, 0, 8)
        both = QSplitter(Qt.Orientation.Horizontal)
        both.setChildrenCollapsible(False)
        both.addWidget(self._day)
        both.addWidget(self._year)
        both.setSizes([320, 320])
        column.addWidget(both, 1)
        self._told = QLabel()
        self._told.setObjectName("note")
        self._told.setWordWrap(True)
        self._told.setContentsMargins(12, 0, 8, 0)
        column.addWidget(self._told)
        self._split.addWidget(below)
        self._split.setSizes([300, 240])
        self.picture.addWidget(self._split)

    def forms(self) -> tuple[Form, ...]:
        return (self._first, self._bank)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        for part in (self._table, self._day, self._year):
            part.set_look(look)

    def refresh(self) -> None:
        """Show the loads as they stand, and the one that is selected."""
        session = self._session
        design, demand, habit = session.design, session.evaluation.demand, session.habit
        table, _, id = session.selected.partition(".")
        ids = [load.id for load in design.loads]
        asked = id if table == "loads" else self._load
        self._load = asked if asked in ids else (ids[0] if ids else "")
        load = design.find("loads", self._load)
        for part in (self._first, self._remove, self._month, self._table, self._sum_box):
            part.setVisible(load is not None)
        self._empty.setVisible(load is None)
        self._title.setText("Loads" if load is None else label(load))
        if isinstance(load, Load):
            self._first.set_paths(f"loads.{load.id}", Load.specs())
        self._bank.set_paths("bank", BANK_FIELDS, BANK_HEADING)
        if len(demand.rows) in (0, len(ids)):
            self._show_numbers(ids)
        family, arrays = session.evaluation.family, session.evaluation.arrays
        lines = words.voltages(choices(design, family, demand, arrays), habit)
        self._voltages.setText("\n".join(lines))

    def _show_numbers(self, ids: list[str]) -> None:
        session = self._session
        design, demand, habit = session.design, session.evaluation.demand, session.habit
        month = self._shown_month()
        when = f", the mean day of {words.MONTHS[month]}" if ids else ""
        self._heading.setText(f"Load table{when}")
        self._month.setCurrentIndex(0 if self._chosen is None else self._chosen + 1)
        self._table.show_texts(words.rows(design, demand, month, habit) if ids else Texts())
        if self._load and self._table.line() != ids.index(self._load):
            self._table.take(ids.index(self._load))
        sums = words.totals(demand, design, month, habit)
        for (caption, figure), (name, text) in zip(self._figures, sums, strict=True):
            caption.setText(name)
            figure.setText(f"<b>{text}</b>" if name == words.WHOLE else text)
        self._day.show_stacks(words.hours(demand, month), habit)
        self._year.show_stacks(words.months(demand, month), habit)
        told = " ".join(filter(None, (words.lacking(demand, habit), words.band(demand, month, habit))))
        self._told.setText(told)
        self._told.setVisible(bool(told))

    def _shown_month(self) -> int:
        worst = self._session.evaluation.demand.worst_month
        return self._chosen if self._chosen is not None else worst or 0

    def _choose_month(self, month: int | None) -> None:
        self._chosen = month
        self._show_numbers([load.id for load in self._session.design.loads])

    def _take(self, line: int) -> None:
        loads = self._session.design.loads
        if 0 <= line < len(loads):
            self.piece_chosen.emit(f"loads.{loads[line].id}")

    def _enter(self, line: int) -> None:
        """Enter on a line puts the hand on its power."""
        loads = self._session.design.loads
        if 0 <= line < len(loads):
            name = "current" if loads[line].current is not None else "power"
            self.field_asked.emit(f"loads.{loads[line].id}.{name}")

    def _begin(self, usual: UsualLoad | None) -> None:
        """Add a load, usual or empty, and put the hand on it."""
        if usual is None:
            path = self._session.add("loads")
        else:
            design, path = add_usual(self._session.design, usual)
            self._session.replace(design, f"add {usual.name.lower()}")
        self.field_asked.emit(path)

    def _take_away(self) -> None:
        """Remove the load in hand; the one beside it comes in hand."""
        ids = [load.id for load in self._session.design.loads]
        if self._load in ids:
            at = ids.index(self._load)
            beside = ids[at + 1 : at + 2] or ids[max(at - 1, 0) : at]
            self._session.remove(f"loads.{self._load}")
            self.piece_chosen.emit(f"loads.{beside[0]}" if beside else "loads")
