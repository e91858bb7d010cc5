"""What a weather file says beside what the site has: a tick for each row, and one step for all of them."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QLabel,
    QProgressBar,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from engine.design import Design
from engine.weather.offer import Offer, differs, milder, now, offers
from engine.weather.read import Reading

HEADS = ("Take", "The file says", "The site has now", "From")
MILDER = "milder than now: tick it only if you are sure"
ASK = "Ticked rows go into the site, each with where it is from. Undo brings all back at once."


class TakeWeather(QDialog):
    """First the progress of the reading, then its rows. ``taken`` with ``chosen()`` when a person takes them,
    ``looked`` when the hours are only to be looked at."""

    taken = Signal()
    looked = Signal()

    def __init__(self, file: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Take these into the site")
        self._offers: tuple[Offer, ...] = ()
        self.said = QLabel(f"Reading {file}…")
        self.said.setWordWrap(True)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName("Share of the file that is read")
        self.table = QTableWidget(0, len(HEADS))
        self.table.setHorizontalHeaderLabels(HEADS)
        self.table.setAccessibleName("What the file says and what the site has")
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.verticalHeader().hide()
        self.table.setWordWrap(False)
        self.table.itemChanged.connect(self._ticked)
        self.table.hide()
        self.notes = QLabel()
        self.notes.setObjectName("note")
        self.notes.setWordWrap(True)
        self.notes.hide()
        self.wrong = QLabel()
        self.wrong.setObjectName("error")
        self.wrong.setWordWrap(True)
        self.wrong.hide()
        buttons = QDialogButtonBox()
        self.take = buttons.addButton("Take what is ticked", QDialogButtonBox.ButtonRole.ActionRole)
        self.look = buttons.addButton("Only look at it", QDialogButtonBox.ButtonRole.ActionRole)
        self.look.setToolTip("The hours are shown in the Site pane; the site stays as it is.")
        self.take.clicked.connect(self.taken)
        self.look.clicked.connect(self.looked)
        self.take.hide()
        self.look.hide()
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        for widget in (self.said, self.progress, self.table, self.notes, self.wrong, buttons):
            column.addWidget(widget)
        self.resize(32 * self.fontMetrics().height(), self.sizeHint().height())

    def tell(self, share: float) -> None:
        """Say how much is read."""
        self.progress.setValue(round(100 * share))

    def show_failure(self, text: str) -> None:
        """Say why the file was not read."""
        self.progress.hide()
        self.said.setText("This file was not read; the site stays as it is.")
        self.refuse(text)

    def refuse(self, text: str) -> None:
        """Say what stands in the way."""
        self.wrong.setText(text)
        self.wrong.show()

    def show_reading(self, reading: Reading, design: Design, habit: str) -> None:
        """Show the rows of a reading; what is milder than what the site has is not ticked."""
        self.progress.hide()
        place = f", {reading.header.place}" if reading.header.place else ""
        self.said.setText(f"{reading.header.file}{place}. {ASK}")
        self._offers = offers(reading)
        self.table.setRowCount(len(self._offers))
        for row, offer in enumerate(self._offers):
            self._fill(row, offer, design, habit, reading.header.file)
        notes = reading.weather.notes if reading.weather else ("The file has no hours, only a head.",)
        self.notes.setText(" ".join(notes))
        self.notes.show()
        self.table.show()
        self.take.show()
        self.take.setDefault(True)
        self.look.setVisible(reading.weather is not None)
        self._ticked()
        self._make_room()

    def chosen(self) -> tuple[Offer, ...]:
        """The offers that are ticked."""
        ticked = []
        for row, offer in enumerate(self._offers):
            item = self.table.item(row, 0)
            if item is not None and item.checkState() == Qt.CheckState.Checked:
                ticked.append(offer)
        return tuple(ticked)

    def _fill(self, row: int, offer: Offer, design: Design, habit: str, file: str) -> None:
        unsure = milder(design, offer)
        name = QTableWidgetItem(offer.title)
        if offer.values:
            ticked = differs(design, offer) and not unsure
            name.setFlags(name.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            name.setCheckState(Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked)
        else:
            name.setFlags(Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled)
        origin = offer.origin.removeprefix(f"weather file {file}").strip(", ()")
        says = QTableWidgetItem(offer.text(habit) if offer.values else "—")
        says.setToolTip(offer.every(habit) or offer.reason)
        has = QTableWidgetItem(now(design, offer, habit) or "not entered")
        for item in (says, has):
            item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        last = QTableWidgetItem(MILDER if unsure else origin if offer.values else offer.reason)
        last.setToolTip(offer.origin or offer.reason)
        for column, item in enumerate((name, says, has, last)):
            self.table.setItem(row, column, item)

    def _ticked(self) -> None:
        self.take.setEnabled(bool(self.chosen()))

    def _make_room(self) -> None:
        """As wide as its columns, as high as its rows, at any size of type."""
        self.ensurePolished()
        self.table.ensurePolished()
        self.table.resizeColumnsToContents()
        self.table.horizontalHeader().setStretchLastSection(True)
        letters = self.table.fontMetrics()
        wide = sum(self.table.columnWidth(at) for at in range(len(HEADS))) + 4 * letters.height()
        rows = self.table.verticalHeader().length() + self.table.horizontalHeader().sizeHint().height() + 12
        self.table.setFixedHeight(min(rows, 30 * letters.height()))
        self.resize(min(wide, 72 * letters.height()), self.sizeHint().height())
