"""Relays and diversion loads: logic at the left; at the right a day of it, its chatter, what fails how."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtCore import Signal as Event
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QVBoxLayout

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.views.caution import CautionPanel
from app.views.part_switch import SET_UP, PartSwitch
from app.views.relay_trace import EMPTY, RelayTrace, Trace
from engine.design import Design, Diversion, Relay, label
from engine.evaluation import Evaluation
from engine.sections.relay_day import WEATHERS, RelayDay, day
from engine.sections.relay_uses import BY_PURPOSE
from engine.sections.relay_words import sentence

TABLES = ("relays", "diversions")
HOUR = 3600
LOAD = "Diversion load"
SPANS = (("the whole day", "day"), ("its busiest hour", "hour"))
NO_RELAY = "No relay drives it: its controller does. Add a relay to say when."
FIRST = "Add a relay: what it watches, when it comes on and goes off, what it drives."


class RelaysPane(Pane):
    """One relay at a time, or a diversion load with the relay that drives it."""

    piece_chosen = Event(str)
    add_asked = Event(str)
    place_chosen = Event(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._path = ""
        self._roomy = True  # for a note under the day; it is the day's tooltip too
        self._title, self._about = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._about.setObjectName("soft")
        for text in (self._title, self._about):
            text.setWordWrap(True)
        self._list = QComboBox()
        self._list.setAccessibleName("Relay or diversion load")
        self._list.activated.connect(lambda at: self.piece_chosen.emit(str(self._list.itemData(at))))
        switch = PartSwitch(SET_UP, "Relays")
        switch.asked.connect(lambda _part: self._leave())
        for at, widget in enumerate((switch, self._title, self._about, self._list)):
            self.form_column.insertWidget(at, widget)
        self._first, self._second = Form(session), Form(session)
        self.fields.addWidget(self._first)
        self.fields.addWidget(self._second)
        for table, name in zip(TABLES, ("relay", "diversion load"), strict=True):
            add = QPushButton(f"Add a {name}")
            add.clicked.connect(lambda _checked=False, table=table: self.add_asked.emit(table))
            self.fields.addWidget(add)
        self.fields.addStretch(1)
        self._build_picture()

    def _build_picture(self) -> None:
        frame, column = sheet()
        column.setContentsMargins(0, 8, 0, 8)
        row = QHBoxLayout()
        row.setContentsMargins(12, 0, 12, 0)
        self._weather, self._span = QComboBox(), QComboBox()
        for weather in WEATHERS:
            self._weather.addItem(f"a {weather} day", weather)
        for text, name in SPANS:
            self._span.addItem(text, name)
        self._weather.setAccessibleName("Weather")
        self._span.setAccessibleName("Hours")
        for box in (self._weather, self._span):
            box.activated.connect(lambda _at: self._draw())
            row.addWidget(box)
        row.addStretch(1)
        self._trace = RelayTrace()
        self._trace.setToolTip(NOTE)
        self._told, self._note = QLabel(), QLabel(NOTE)
        self._told.setWordWrap(True)
        self._note.setObjectName("note")
        self._note.setWordWrap(True)
        self._apply = QPushButton()
        self._apply.clicked.connect(self._hold_longer)
        column.addLayout(row)
        column.addWidget(self._trace, 1)
        below = QHBoxLayout()
        below.setContentsMargins(12, 0, 12, 0)
        below.addWidget(self._told, 1)
        below.addWidget(self._apply)
        column.addLayout(below)
        self._note.setContentsMargins(12, 0, 12, 0)
        column.addWidget(self._note)
        self._controls = row
        stuck, inside = sheet()
        inside.setContentsMargins(12, 8, 12, 8)
        both = QHBoxLayout()
        both.setSpacing(12)
        self._panels = (CautionPanel(), CautionPanel())
        self._heads = (QLabel("If its contact stays shut"), QLabel("If its contact stays open"))
        for head, panel in zip(self._heads, self._panels, strict=True):
            head.setObjectName("heading")
            side = QVBoxLayout()
            side.addWidget(head)
            side.addWidget(panel, 0, Qt.AlignmentFlag.AlignTop)
            side.addStretch(1)
            both.addLayout(side, 1)
        inside.addLayout(both)
        self._stuck = stuck
        self.picture.addWidget(frame, 1)
        self.picture.addWidget(stuck)

    def _leave(self) -> None:
        """To the other part of the place, which shows where no relay is selected."""
        self._session.select("")
        self.place_chosen.emit("setup")

    def forms(self) -> tuple[Form, ...]:
        return (self._first, self._second)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._roomy = look.text < 16
        self._trace.set_look(look)
        for panel in self._panels:
            panel.set_look(look)

    def refresh(self) -> None:
        """Show the selected relay or diversion load with the session's evaluation."""
        design = self._session.design
        self._path = _chosen(design, self._session.selected)
        self._show_list(design)
        relay, load = self._relay(), self._load()
        shown = load if self._path.startswith("diversions") else relay
        self._title.setText(label(shown) if shown is not None else "Relays")
        told = sentence(relay, self._session.habit) if relay is not None else FIRST
        self._about.setText(told if shown is relay else "diversion load")
        both = (relay, load) if shown is relay else (load, relay)
        for number, (form, record) in enumerate(zip(self.forms(), both, strict=True)):
            form.setVisible(record is not None)
            if record is not None:
                table, noun = ("relays", "Relay") if isinstance(record, Relay) else ("diversions", LOAD)
                heading = f"{noun}: {label(record)}" if number else noun
                form.set_paths(f"{table}.{record.id}", record.specs(), heading)
        self._draw()

    def _relay(self) -> Relay | None:
        """The relay that is shown: the selected, or the first that drives the selected load."""
        table, _, id = self._path.partition(".")
        wanted = (item for item in self._session.design.relays if id in (item.id, item.diversion))
        if table == "relays":
            wanted = (item for item in self._session.design.relays if item.id == id)
        return next(wanted, None)

    def _load(self) -> Diversion | None:
        """The diversion load that is shown: the selected, or what the selected relay drives."""
        table, _, id = self._path.partition(".")
        relay = self._relay()
        wanted = id if table == "diversions" else relay.diversion if relay is not None else None
        return next((item for item in self._session.design.diversions if item.id == wanted), None)

    def _show_list(self, design: Design) -> None:
        offered = [
            (f"{label(item)} ({'relay' if table == 'relays' else LOAD.lower()})", f"{table}.{item.id}")
            for table in TABLES
            for item in getattr(design, table)
        ]
        held = [(self._list.itemText(at), str(self._list.itemData(at))) for at in range(self._list.count())]
        if held != offered:
            self._list.clear()
            for name, path in offered:
                self._list.addItem(name, path)
        self._list.setCurrentIndex(self._list.findData(self._path))
        self._list.setVisible(len(offered) > 1)

    def _day(self) -> RelayDay:
        relay, evaluation = self._relay(), self._session.evaluation
        result = None if relay is None else evaluation.relays.get(relay.id)
        if relay is None or result is None:
            return RelayDay(EMPTY.volts, EMPTY.closed, why=NO_RELAY if self._load() is not None else FIRST)
        return day(self._session.design, relay, result, str(self._weather.currentData()))

    def _draw(self) -> None:
        relay, habit, seen = self._relay(), self._session.habit, self._day()
        evaluation = self._session.evaluation
        whole = self._span.currentData() == "day"
        start = 0 if whole or seen.why else seen.busiest()
        stop = start + (24 * HOUR if whole or seen.why else HOUR)
        title = label(relay) if relay is not None else ""
        caption = "" if relay is None or seen.why else _caption(relay, evaluation, habit, self._path)
        self._trace.show_trace(Trace(seen, start, stop, title, caption, habit))
        for part in (self._weather, self._span):
            part.setVisible(not seen.why)
        self._note.setVisible(not seen.why and self._roomy)
        self._told.setText(_told(seen))
        self._told.setVisible(not seen.why)
        self._apply.setVisible(seen.least_on is not None)
        if seen.least_on is not None:
            self._apply.setText(f"Hold it on for {seen.least_on} s")
        use = BY_PURPOSE.get(relay.purpose or "") if relay is not None else None
        self._stuck.setVisible(use is not None)
        if use is not None:
            self._panels[0].show_caution(use.shut_signal, use.shut)
            self._panels[1].show_caution(use.open_signal, use.open)

    def _hold_longer(self) -> None:
        """Enter the shortest least on-time that stops the chatter, as one edit."""
        relay, found = self._relay(), self._day().least_on
        if relay is not None and found is not None:
            self._session.edit(f"relays.{relay.id}.least_on", f"{found} s")


NOTE = (
    "An invented day, to look at the logic: down to the bank's lowest voltage at six, up to its highest by "
    "noon; each half hour the load with the largest surge starts. The bank is aged and cold; what it does "
    "over minutes is not in it."
)


def _chosen(design: Design, selected: str) -> str:
    """The selected relay or diversion load, else the first there is."""
    table, _, id = selected.partition(".")
    if table in TABLES and design.find(table, id) is not None:
        return selected
    order = TABLES if table != "diversions" else TABLES[::-1]
    return next((f"{each}.{item.id}" for each in order for item in getattr(design, each)), "")


def _caption(relay: Relay, evaluation: Evaluation, habit: str, path: str) -> str:
    """What stands over the day: what the relay drives; over that of a load, when its relay switches."""
    if path.startswith("diversions"):
        return sentence(relay, habit)
    result = evaluation.relays.get(relay.id)
    drives = "" if result is None else result.drives
    return f"drives {drives}" if drives else relay.purpose or ""


def _span(seconds: float) -> str:
    return f"{seconds:g} s" if seconds < 120 else f"{seconds / 60:.3g} min"


def _told(seen: RelayDay) -> str:
    """How often it switches, and what stops its chatter."""
    if seen.why:
        return ""
    if seen.run is None:
        return (
            "Driven by pulses: it does not switch on and off, and holds the voltage between its thresholds."
        )
    count = seen.switchings
    told = "Comes on once a day." if count == 1 else f"Comes on {count} times a day."
    if count > 1 and seen.run.shortest_cycle is not None:
        told += f" Its shortest cycle is {_span(seen.run.shortest_cycle)}; {_span(seen.shortest)} are wanted."
    if seen.least_on is not None:
        told += " The shortest delays that stop the chatter: as entered, but a least on-time of "
        told += f"{seen.least_on} s."
    return told
