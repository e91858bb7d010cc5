"""The Worksheets pane: every calculation of the engine, usable alone, with its worked step."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QGuiApplication, QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.look import Look
from app.pane import FORM_WIDTH
from app.pane import sheet as white_sheet
from app.views.worksheet_form import WorksheetForm, command, example, place_of, run_typed, texts_of
from app.views.worksheet_result import WorksheetResult
from engine.physics.worksheets import BY_ID, WORKSHEETS
from engine.problems import Problem, Problems
from engine.steps import lines
from engine.worksheet import Worked, Worksheet

LIST_WIDTH, RESULT_WIDTH = 240, 300
QWIDGETSIZE_MAX = 16_777_215
ID = Qt.ItemDataRole.UserRole


ELSEWHERE = ". A whole circuit is typed under Protection, One circuit."


class WorksheetsPane(QWidget):
    """A list of worksheets by subject, the form of one, and its live result."""

    def __init__(self, _session: object = None) -> None:
        super().__init__()
        self._habit, self._wider = "metric", 0
        self._sheet: Worksheet = WORKSHEETS[0]
        self._typed: dict[str, dict[str, str]] = {}
        self._worked: Worked | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        self._list_sheet, self._form_sheet = self._build_list(), self._build_form()
        self._work = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._work.setSpacing(8)
        self._work.addWidget(self._form_sheet)
        self._work.addWidget(self._build_result(), 1)
        row.addWidget(self._list_sheet)
        row.addLayout(self._work, 1)
        self._select(self._sheet.id)
        self._show()

    def set_habit(self, habit: str) -> None:
        """Show results in a habit of units: us or metric."""
        if habit != self._habit:
            self._habit = habit
            self._show()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._wider = 92 if look.text >= 16 else 0
        self._list_sheet.setFixedWidth(LIST_WIDTH + self._wider)
        self._arrange()
        self.result.set_look(look)
        self.tree.scheduleDelayedItemsLayout()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Arrange anew, and wrap the titles anew."""
        super().resizeEvent(event)
        self._arrange()
        self.tree.scheduleDelayedItemsLayout()

    def _arrange(self) -> None:
        """The result beside the form where there is room, else below it."""
        form = FORM_WIDTH + self._wider
        beside = self.width() >= LIST_WIDTH + self._wider + form + RESULT_WIDTH + self._wider
        directions = QBoxLayout.Direction
        self._work.setDirection(directions.LeftToRight if beside else directions.TopToBottom)
        self._work.setStretch(0, 0 if beside else 1)
        self._form_sheet.setMinimumWidth(form if beside else 0)
        self._form_sheet.setMaximumWidth(form if beside else QWIDGETSIZE_MAX)

    def open_with(self, id: str, inputs: Any) -> None:
        """Open a worksheet with the canonical inputs of a worked step (a mapping by input name)."""
        self._typed[id] = texts_of(BY_ID[id], inputs, self._habit)
        self._words.clear()
        self._find("")
        self.open(id)

    def open(self, id: str) -> None:
        """Open a worksheet with what was typed there last, or with its example."""
        self._sheet = BY_ID[id]
        self._select(id)
        self._show()
        self._form_scroll.verticalScrollBar().setValue(0)
        self.result.verticalScrollBar().setValue(0)

    def _build_list(self) -> QFrame:
        frame, column = white_sheet()
        title = QLabel("Worksheets")
        title.setObjectName("title")
        self._words = QLineEdit()
        self._words.setPlaceholderText("Find a calculation")
        self._words.setAccessibleName("Find a calculation")
        self._words.setClearButtonEnabled(True)
        self._words.textEdited.connect(self._find)
        self._words.returnPressed.connect(self._open_first)
        self.tree = QTreeWidget()
        self.tree.setAccessibleName("Worksheets by subject")
        self.tree.setHeaderHidden(True)
        self.tree.setIndentation(14)
        self.tree.setWordWrap(True)
        self.tree.setItemDelegate(WrappedTitles(self.tree))
        self.tree.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.tree.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.tree.header().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.items: dict[str, QTreeWidgetItem] = {}
        self._subjects: dict[str, QTreeWidgetItem] = {}
        for one in WORKSHEETS:
            if one.subject not in self._subjects:
                top = QTreeWidgetItem(self.tree, [one.subject])
                top.setFlags(Qt.ItemFlag.ItemIsEnabled)
                letters = top.font(0)
                letters.setBold(True)
                top.setFont(0, letters)
                top.setExpanded(True)
                self._subjects[one.subject] = top
            item = QTreeWidgetItem(self._subjects[one.subject], [one.title])
            item.setData(0, ID, one.id)
            item.setToolTip(0, f"{one.id}: {one.title}")
            self.items[one.id] = item
        self.tree.currentItemChanged.connect(self._chosen)
        self._found = QLabel(f"{len(WORKSHEETS)} calculations")
        self._found.setObjectName("note")
        self._found.setWordWrap(True)
        for widget in (title, self._words, self.tree, self._found):
            column.addWidget(widget)
        return frame

    def _build_form(self) -> QFrame:
        frame, column = white_sheet()
        self._title, self._id = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._title.setWordWrap(True)
        self._id.setObjectName("soft")
        self._id.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.form = WorksheetForm()
        self.form.edited.connect(self._edited)
        inside = QWidget()
        fields = QVBoxLayout(inside)
        fields.setContentsMargins(0, 8, 8, 0)
        fields.addWidget(self.form)
        fields.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidget(inside)
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._form_scroll = scroll
        self._reset = _button("Back to the example", "Put the example's inputs in again", self._to_example)
        for widget in (self._title, self._id, scroll):
            column.addWidget(widget)
        column.addWidget(self._reset, alignment=Qt.AlignmentFlag.AlignLeft)
        return frame

    def _build_result(self) -> QFrame:
        frame, column = white_sheet()
        head = QHBoxLayout()
        title = QLabel("Result")
        title.setObjectName("title")
        self._said = QLabel()
        self._said.setObjectName("note")
        self._copy_steps = _button("Copy steps", "Copy the worked step as text", self._steps_to_clipboard)
        self._copy_command = _button(
            "Copy command", "Copy the line that gives this answer in a terminal", self._command_to_clipboard
        )
        head.addWidget(title)
        head.addStretch(1)
        for widget in (self._said, self._copy_steps, self._copy_command):
            head.addWidget(widget)
        head.setContentsMargins(0, 0, 8, 4)
        self.result = WorksheetResult()
        column.addLayout(head)
        column.addWidget(self.result, 1)
        return frame

    def _texts(self) -> dict[str, str]:
        if self._sheet.id not in self._typed:
            self._typed[self._sheet.id] = example(self._sheet)
        return self._typed[self._sheet.id]

    def _edited(self, name: str, text: str) -> None:
        self._texts()[name] = text
        self._show()

    def _to_example(self) -> None:
        self._typed.pop(self._sheet.id, None)
        self._show()

    def _show(self) -> None:
        one, texts = self._sheet, self._texts()
        problems: tuple[Problem, ...] = ()
        self._worked = None
        try:
            self._worked = run_typed(one, texts)
        except Problems as error:
            problems = error.problems
        self._title.setText(one.title)
        self._id.setText(f"{one.subject} · {one.id}")
        self.form.show_inputs(one, texts, problems, self._habit)
        if self._worked is not None:
            self.result.show_worked(self._worked, self._habit)
        else:
            self.result.show_problems(one, [_told(one, problem) for problem in problems], self._habit)
        self._copy_steps.setEnabled(self._worked is not None)
        self._said.clear()

    def _steps_to_clipboard(self) -> None:
        if self._worked is not None:
            QGuiApplication.clipboard().setText("\n".join(lines(self._worked, self._habit)))
            self._said.setText("Steps copied")

    def _command_to_clipboard(self) -> None:
        QGuiApplication.clipboard().setText(command(self._sheet, self._texts()))
        self._said.setText("Command copied")

    def _select(self, id: str) -> None:
        item = self.items[id]
        if self.tree.currentItem() is not item:
            self.tree.setCurrentItem(item)
        self.tree.scrollToItem(item)

    def _chosen(self, item: QTreeWidgetItem | None) -> None:
        id = item.data(0, ID) if item is not None else None
        if id is not None and id != self._sheet.id:
            self.open(id)

    def _find(self, text: str) -> None:
        words = text.lower().split()
        found = 0
        for id, item in self.items.items():
            fits = all(word in _searched(BY_ID[id]) for word in words)
            item.setHidden(not fits)
            found += fits
        for subject, top in self._subjects.items():
            within = (item for id, item in self.items.items() if BY_ID[id].subject == subject)
            top.setHidden(all(item.isHidden() for item in within))
        told = f"{found} of {len(self.items)} calculations" if words else f"{found} calculations"
        self._found.setText(told if found else f"{told}{ELSEWHERE}")

    def _open_first(self) -> None:
        first = next((id for id, item in self.items.items() if not item.isHidden()), None)
        if first is not None:
            self.open(first)


class WrappedTitles(QStyledItemDelegate):
    """Gives every title the height that it needs in the width there is."""

    def __init__(self, tree: QTreeWidget) -> None:
        super().__init__(tree)
        self._tree = tree

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        """The wrapped title's size, with 3 px above and below."""
        deep = 2 if index.parent().isValid() else 1
        width = self._tree.viewport().width() - deep * self._tree.indentation() - 8
        letters = QFontMetrics(index.data(Qt.ItemDataRole.FontRole) or self._tree.font())
        box = QRect(0, 0, max(width, 60), 10_000)
        height = letters.boundingRect(box, Qt.TextFlag.TextWordWrap, str(index.data())).height()
        return QSize(width, height + 6)


def _searched(one: Worksheet) -> str:
    parts = [
        one.id,
        one.title,
        one.subject,
        str(one.source),
        *(item.title for item in one.inputs + one.outputs),
    ]
    return " ".join(parts).lower()


def _told(one: Worksheet, problem: Problem) -> str:
    name = place_of(one, problem)
    if not name:
        return str(problem).removeprefix(f"{one.id}: ")
    return f"{one.input(name).title}: got {problem.got}, need {problem.need}"


def _button(text: str, tip: str, run: Any) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(tip)
    button.setAccessibleName(text)
    button.clicked.connect(run)
    return button
