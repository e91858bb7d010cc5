"""Preferences: what new sites begin with, the look, how soon unsaved work is copied. At once in effect."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPushButton, QVBoxLayout, QWidget

from app import desk, preferences
from app.bind import Form
from app.fields.controls import Choice
from app.look import LOOKS
from app.pane import scrolled
from app.session import Session
from app.state import settings
from engine.design import Design, Prices

STAYS = "New sites begin with a copy of what stands here. Sites that are open stay as they are."
COPIED = "Unsaved work is copied aside, and offered again after a power cut or a crash."


class PreferencesDialog(QDialog):
    """A form over the design that new sites are copied from, and choices of the window."""

    def __init__(self, site: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Preferences")
        self._site = site
        self.session = Session(preferences.new_site(), parent=self)
        area, fields = scrolled()
        self._sites, self._prices = Form(self.session), Form(self.session)
        self._wires = _soft("")
        self.take_button = QPushButton("Take the prices of the open site")
        self.take_button.clicked.connect(self.take)
        self.look_choice = Choice(tuple((name, name) for name in LOOKS))
        self.copy_choice = Choice(tuple((str(delay), words) for delay, words in preferences.COPIES))
        self.look_choice.show_text(getattr(parent, "look", LOOKS[preferences.look()]).name)
        self.copy_choice.show_text(str(preferences.copy_after()))
        self.look_choice.entered.connect(self._wear)
        self.copy_choice.entered.connect(self._copy)
        first: tuple[QWidget, ...] = (
            _heading("New sites"),
            _soft(STAYS),
            self._sites,
            self._prices,
            self._wires,
        )
        for widget in first:
            fields.addWidget(widget)
        fields.addWidget(self.take_button, 0, Qt.AlignmentFlag.AlignLeft)
        for words, told, control in (
            ("Look", "Of every window that is open, and at the next start.", self.look_choice),
            ("Recovery copy", COPIED, self.copy_choice),
        ):
            control.setAccessibleName(words)
            control.setAccessibleDescription(told)
            for part in (_heading(words), _soft(told), control):
                fields.addWidget(part)
        fields.addStretch(1)
        buttons = QDialogButtonBox()
        close_button = buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.rejected.connect(self.reject)
        for button in (self.take_button, close_button):
            button.setAutoDefault(False)  # Enter is for the field that is typed in
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 8, 12)
        column.setSpacing(8)
        column.addWidget(area, 1)
        column.addWidget(buttons)
        self.session.changed.connect(self._changed)
        self._show()
        self.resize(440, 660)

    def forms(self) -> tuple[Form, ...]:
        """The forms, top to bottom."""
        return (self._sites, self._prices)

    def take(self) -> None:
        """Copy the prices of the site that is open, those of its wire included."""
        taken = preferences.beginning(self.session.design, self._site.design)
        self.session.replace(taken, "take the prices of the open site")

    def _changed(self) -> None:
        preferences.keep_new_site(self.session.design)
        self._show()

    def _show(self) -> None:
        self._sites.set_paths("", ("rules", "units"))
        self._prices.set_paths("prices", Prices.specs(), "Prices")
        self._wires.setText(wires_told(self.session.design))

    def _wear(self, name: str) -> None:
        self.look_choice.show_text(name)
        settings().setValue(preferences.LOOK, name)
        desk.wear(name)

    def _copy(self, delay: str) -> None:
        self.copy_choice.show_text(delay)
        desk.copy_after(int(delay))


def wires_told(design: Design) -> str:
    """Which sizes of wire have a price."""
    known = [wire for wire in design.wires if wire.size is not None and wire.price is not None]
    named = [f"{wire.size.text} {wire.use('material')}" for wire in known if wire.size is not None]
    return f"Wire with a price a metre: {', '.join(named)}." if named else "No size of wire has a price yet."


def _heading(words: str) -> QLabel:
    label = QLabel(words)
    label.setObjectName("heading")
    label.setIndent(0)
    return label


def _soft(words: str) -> QLabel:
    label = QLabel(words)
    label.setObjectName("soft")
    label.setWordWrap(True)
    return label
