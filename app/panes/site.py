"""The Site pane: what the design is called, where it stands, and the temperatures that decide."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QLabel, QPushButton

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.views.climate import ClimateView
from engine import weather_header
from engine.design import About, Site
from engine.problems import Problems


class SitePane(Pane):
    """Form: head of the design and site; picture: the climate and what it decides."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        title = QLabel("Site")
        title.setObjectName("title")
        self.form_column.insertWidget(0, title)
        self._about = Form(session)
        self._site = Form(session, "Place and climate")
        self._read = QPushButton("Read a weather file…")
        self._read.setToolTip(
            "Takes place and design temperatures from an EPW weather file: its DESIGN CONDITIONS line has "
            "the means of the yearly extremes and the 50-year low."
        )
        self._read.clicked.connect(self._ask_file)
        self._said = QLabel()
        self._said.setObjectName("note")
        self._said.setWordWrap(True)
        for widget in (self._about, self._site, self._read, self._said):
            self.fields.addWidget(widget)
        self.fields.addStretch(1)
        frame, column = sheet()
        column.setContentsMargins(0, 0, 0, 0)
        self._climate = ClimateView()
        column.addWidget(self._climate)
        self.picture.addWidget(frame)

    def forms(self) -> tuple[Form, ...]:
        return (self._about, self._site)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._climate.set_look(look)

    def refresh(self) -> None:
        self._about.set_paths("", About.specs())
        self._site.set_paths("site", Site.specs())
        site = self._session.design.site
        self._climate.show_climate(
            (
                ("Record low", site.record_low, "the controller's survival"),
                ("Design low", site.design_low, "the voltage class"),
                ("Test conditions", 25.0, "data sheets' cell"),
                ("Design high", site.design_high, "starting and ampacity"),
            ),
            site.sun or (),
            site.air_temperature or (),
            self._session.habit,
        )

    def _ask_file(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Weather file", "", "EPW weather files (*.epw)")
        if name:
            self.read_weather(Path(name))

    def read_weather(self, path: Path) -> None:
        """Take place and design temperatures from a weather file's header, as one undoable step."""
        try:
            header = weather_header.read(path)
            after = weather_header.apply(self._session.design, header)
        except Problems as error:
            self._said.setText(str(error))
            return
        temperatures = (header.design_low, header.record_low, header.design_high)
        reasons = tuple(dict.fromkeys(found.reason for found in temperatures if found.reason))
        told = f"Read from {path.name}, {header.place}."
        self._said.setText(" ".join((told, *reasons)))
        self._session.replace(after, f"read {path.name}")
