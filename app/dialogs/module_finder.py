"""Find a module in the open module table and take its data; the maker's sheet decides."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from engine import module_table, units
from engine.module_table import Row
from engine.problems import Problems

MOST = 200
WIDEST = ("", "1000 W", "100.25 V", "10.25 A", "100.25 V", "10.25 A", "-0.3616 %/K", "144")
HEADS = ("Module", "Power", "Voc", "Isc", "Vmp", "Imp", "Voc coefficient", "Cells")
NOTE = (
    "An open table of test results that comes with the pvlib library. The maker's sheet decides: compare "
    "every number, and enter the largest series fuse and the system voltage, which the table does not hold."
)


class ModuleFinder(QDialog):
    """Words in, a row out: ``chosen`` after the dialog was accepted."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Find a module")
        self.chosen: Row | None = None
        self._rows: tuple[Row, ...] = ()
        self._words = QLineEdit()
        self._words.setPlaceholderText("Words of its name, such as a maker and a power")
        self._words.setAccessibleName("Words to find")
        self._words.textEdited.connect(self._find)
        self._table = QTableWidget(0, len(HEADS))
        self._table.setHorizontalHeaderLabels(HEADS)
        self._table.setAccessibleName("Modules found")
        self._table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self._table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        self._table.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self._table.verticalHeader().hide()
        self._table.horizontalHeader().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self._table.setWordWrap(False)
        self._table.itemSelectionChanged.connect(self._selected)
        self._table.itemDoubleClicked.connect(lambda _item: self._take())
        self._said = QLabel("Type to find.")
        self._said.setObjectName("soft")
        note = QLabel(NOTE)
        note.setWordWrap(True)
        self._buttons = QDialogButtonBox()
        self._use = self._buttons.addButton("Use this module", QDialogButtonBox.ButtonRole.AcceptRole)
        self._use.setEnabled(False)
        self._buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        self._buttons.accepted.connect(self._take)
        self._buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        for widget in (self._words, self._table, self._said, note, self._buttons):
            column.addWidget(widget)
        self._make_room()

    def _make_room(self) -> None:
        """Columns as wide as their numbers, the rest for the name, at any size of type."""
        self.ensurePolished()
        self._table.ensurePolished()
        letters = self._table.fontMetrics()
        for at, (head, widest) in enumerate(zip(HEADS, WIDEST, strict=True)):
            text = max((head, widest), key=letters.horizontalAdvance)
            self._table.setColumnWidth(at, letters.horizontalAdvance(f"{text}MM"))
        name = letters.horizontalAdvance("M" * 28)
        self.resize(
            name + sum(self._table.columnWidth(at) for at in range(1, len(HEADS))), 30 * letters.height()
        )

    def _find(self, text: str) -> None:
        words = text.split()
        try:
            self._rows = module_table.find(words, MOST) if words else ()
        except Problems as error:
            self._rows = ()
            self._said.setText(str(error))
            return
        self._table.setRowCount(len(self._rows))
        for place, row in enumerate(self._rows):
            for column, cell in enumerate(_cells(row)):
                item = QTableWidgetItem(cell)
                item.setToolTip(cell)
                if column:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self._table.setItem(place, column, item)
        if not words:
            self._said.setText("Type to find.")
        elif len(self._rows) == MOST:
            self._said.setText(f"The first {MOST}; more words narrow it.")
        else:
            self._said.setText(
                f"{len(self._rows)} found." if self._rows else "No module has all these words."
            )

    def _selected(self) -> None:
        self._use.setEnabled(bool(self._table.selectedItems()))

    def _take(self) -> None:
        place = self._table.currentRow()
        if 0 <= place < len(self._rows):
            self.chosen = self._rows[place]
            self.accept()


def _cells(row: Row) -> tuple[str, ...]:
    return (
        row.name,
        units.show(row.power, "W"),
        units.show(row.voc, "V"),
        units.show(row.isc, "A"),
        units.show(row.vmp, "V"),
        units.show(row.imp, "A"),
        units.show(row.beta_voc / row.voc, "1/K"),
        str(row.cells),
    )
