"""The designer's prices where they are needed: of array, and of each size of conductor that is looked at."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from app.bind import Form
from app.session import Session
from engine import edit
from engine.design import Wire
from engine.sizes import Size


class PricesForm(QWidget):
    """A field for the money's name, one for a watt of array, and one for each size; one that has none yet has
    a button instead."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._general = Form(session, "Prices")
        self._head = QLabel()
        self._head.setObjectName("soft")
        self._head.setWordWrap(True)
        self._wires: dict[str, Form] = {}
        self._offers: dict[str, QPushButton] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self._column.addWidget(self._general)
        self._column.addWidget(self._head)

    def forms(self) -> tuple[Form, ...]:
        """The forms, top to bottom."""
        return (self._general, *self._wires.values())

    def show_sizes(self, sizes: Sequence[Size], material: str) -> None:
        """Show the prices that the design has, and those of these sizes of conductor."""
        self._general.set_paths("prices", ("currency", "array_watt"))
        self._head.setText(f"A metre of one conductor, {material}:")
        self._head.setVisible(bool(sizes))
        known = {wire.size.area_mm2: wire for wire in self._wires_of(material) if wire.size is not None}
        rows = {size.text: known.get(size.area_mm2) for size in sizes}
        wanted = {text: wire.id for text, wire in rows.items() if wire is not None}
        offered = [text for text, wire in rows.items() if wire is None]
        if [*self._wires] != [*wanted.values()] or [*self._offers] != offered:
            self._build(wanted, offered, material)
        for text, id in wanted.items():
            path = f"wires.{id}"
            self._wires[id].set_paths(path, ("price",))
            row = self._wires[id].row(f"{path}.price")
            if row is not None:
                row.title.setText(text)
                row.control.setAccessibleName(f"Price a metre of {text}")

    def add(self, text: str, material: str) -> str:
        """Add a record for the price of a size, as one step to undo; the path of its price."""
        design, id = edit.add(self._session.design, "wires", text)
        texts = {f"wires.{id}.size": text}
        if material != "copper":
            texts[f"wires.{id}.material"] = material
        self._session.replace(edit.set_fields(design, texts), f"add a price for {text}")
        return f"wires.{id}.price"

    def _wires_of(self, material: str) -> tuple[Wire, ...]:
        return tuple(wire for wire in self._session.design.wires if wire.use("material") == material)

    def _build(self, wanted: dict[str, str], offered: list[str], material: str) -> None:
        for part in (*self._wires.values(), *self._offers.values()):
            self._column.removeWidget(part)
            part.hide()
            part.deleteLater()
        self._wires = {id: Form(self._session) for id in wanted.values()}
        for form in self._wires.values():
            column = form.layout()
            if column is not None:
                column.setContentsMargins(0, 0, 0, 0)
            self._column.addWidget(form)
            form.show()  # at once, so that the hand can be put on its field
        self._offers = {}
        for text in offered:
            button = QPushButton(f"Price of {text}")
            button.clicked.connect(lambda _checked=False, text=text: self._added(text, material))
            self._offers[text] = button
            self._column.addWidget(button)

    def _added(self, text: str, material: str) -> None:
        """Add a price and put the hand on it."""
        path = self.add(text, material)
        self._session.settle()
        for form in self.forms():
            form.go_to(path)
