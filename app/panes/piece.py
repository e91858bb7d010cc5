"""Any piece that no picture governs yet: its fields, its caution, and whether anything judges it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.bind import Form
from app.load_words import asked_of_inverters
from app.look import Look
from app.pane import Pane, scrolled, sheet
from app.session import Session
from app.views.caution import CautionPanel
from engine.design import KEYED, SINGLE, Design, label
from engine.fields import Record

NOUNS = {
    "bank": "battery bank",
    "prices": "prices",
    "wind": "wind turbine",
    "hydro": "hydro turbine",
    "wires": "wire price",
}
CAUTIONS = {"bank": "battery", "wind": "wind", "hydro": "hydro", "controllers": "controller"}
UNJUDGED = (
    "What is entered here is kept in the site file. Nothing about it is judged yet: that no finding stands "
    "here means no more than that."
)
CAUTION_WIDTH = 300


class PiecePane(Pane):
    """The form of one piece, chosen from a list of its kind, and a button for another."""

    piece_chosen = Signal(str)
    add_asked = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._path = ""
        self._title, self._kind = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._title.setWordWrap(True)
        self._kind.setObjectName("soft")
        self._list = QComboBox()
        self._list.activated.connect(lambda at: self.piece_chosen.emit(str(self._list.itemData(at))))
        self._add = QPushButton()
        self._add.clicked.connect(lambda: self.add_asked.emit(self._path.partition(".")[0]))
        for at, widget in enumerate((self._title, self._kind, self._list)):
            self.form_column.insertWidget(at, widget)
        self._first, self._second = Form(session), Form(session, folded=False)
        self.fields.addWidget(self._first)
        self.fields.addWidget(self._add)
        self.fields.addStretch(1)
        self._more, column = sheet()
        area, inside = scrolled()
        inside.addWidget(self._second)
        inside.addStretch(1)
        column.addWidget(area)
        self._side, column = sheet()
        column.setContentsMargins(16, 16, 16, 12)
        column.setSpacing(12)
        self._caution, self._note = CautionPanel("wind"), QLabel()
        self._note.setObjectName("soft")
        self._note.setWordWrap(True)
        column.addWidget(self._caution)
        column.addWidget(self._note)
        both = QWidget()
        row = QHBoxLayout(both)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self._more, 1)
        beside = QVBoxLayout()
        beside.addWidget(self._side)
        beside.addStretch(1)
        row.addLayout(beside, 1)
        self._side.setMinimumWidth(CAUTION_WIDTH)
        self.picture.addWidget(both)

    def forms(self) -> tuple[Form, ...]:
        return (self._first, self._second)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._caution.set_look(look)

    def refresh(self) -> None:
        """Show the selected piece, or the first of the selected table."""
        design = self._session.design
        table, id = _place(design, self._session.selected)
        self._path = f"{table}.{id}" if id else table
        record = design.find(table, id) if id else getattr(design, table) if table in SINGLE else None
        kind = SINGLE.get(table) or KEYED[table]
        noun = NOUNS.get(table, kind.__name__.lower())
        specs = kind.specs()
        self._title.setText((label(record) if isinstance(record, Record) else "") or noun.capitalize())
        self._kind.setText(noun if record is not None else f"No {noun} yet.")
        self._add.setText(f"Add another {noun}" if record is not None else f"Add a {noun}")
        self._add.setVisible(table in KEYED)
        self._show_list(design, table, noun)
        advanced = [name for name, spec in specs.items() if spec.advanced]
        self._first.setVisible(record is not None)
        self._more.setVisible(record is not None and bool(advanced))
        if record is not None:
            self._first.set_paths(self._path, [name for name in specs if name not in advanced])
            self._second.set_paths(self._path, advanced, "More")
        if table in CAUTIONS:
            self._caution.show_place(CAUTIONS[table])
        self._caution.setVisible(table in CAUTIONS)
        told = self._told(table)
        self._note.setText(told)
        self._note.setVisible(bool(told))
        self._side.setVisible(bool(told) or table in CAUTIONS)

    def _told(self, table: str) -> str:
        """What to know when choosing the piece, and where nothing judges it, that."""
        found = self._session.evaluation
        asked = ""
        if table == "inverters":
            asked = asked_of_inverters(self._session.design, found.demand, self._session.habit)
        return "\n".join(filter(None, (asked, "" if found.at(self._path) else UNJUDGED)))

    def _show_list(self, design: Design, table: str, noun: str) -> None:
        records = getattr(design, table) if table in KEYED else ()
        offered = [(label(item), f"{table}.{item.id}") for item in records]
        held = [(self._list.itemText(at), str(self._list.itemData(at))) for at in range(self._list.count())]
        if held != offered:
            self._list.clear()
            for name, path in offered:
                self._list.addItem(name, path)
        self._list.setAccessibleName(noun.capitalize())
        self._list.setCurrentIndex(self._list.findData(self._path))
        self._list.setVisible(len(offered) > 1)


def _place(design: Design, path: str) -> tuple[str, str]:
    """Table and id of a selected path; the first record of a table where the path names no record."""
    table, _, id = path.partition(".")
    if table in SINGLE or table not in KEYED:
        return (table if table in SINGLE else "bank"), ""
    records = getattr(design, table)
    if records and design.find(table, id) is None:
        return table, records[0].id
    return table, id if records else ""
