"""The Site pane: what the design is called, where it stands, and what its climate decides and gives."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QLabel, QPushButton

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.reading import WeatherReading
from app.session import Session
from app.views.climate import ClimateView
from app.views.place import VIEWS, PlaceView
from app.views.switch import Switch
from engine.design import About, Site
from engine.sections.place import place
from engine.sections.sunshine import sunshine

DECIDES = "decides"
SHORT = {DECIDES: "Climate", "sun path": "Sun", "dark": "Darkest"}


class SitePane(Pane):
    """Form: head of the design and site; picture: what the climate decides, or what the place gives."""

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
            "An EPW or TMY3 file, or a typical year or hourly series of PVGIS (CSV): place, sun, air and wind"
            " by month, and design temperatures where its head has them. You choose what is taken."
        )
        self._read.clicked.connect(self._ask_file)
        for widget in (self._about, self._site, self._read):
            self.fields.addWidget(widget)
        self.fields.addStretch(1)
        self._reading = WeatherReading(session, self)
        self._reading.read.connect(self.refresh)
        frame, column = sheet()
        column.setContentsMargins(0, 8, 0, 0)
        self.switch = Switch({DECIDES: "What it decides", **VIEWS}, "What to look at", SHORT)
        self.switch.setContentsMargins(16, 0, 16, 0)
        self.switch.chosen.connect(self._show)
        self._climate, self._place = ClimateView(), PlaceView()
        for part in (self.switch, self._climate, self._place):
            column.addWidget(part)
        column.setStretch(1, 1)
        column.setStretch(2, 1)
        self.picture.addWidget(frame)

    def forms(self) -> tuple[Form, ...]:
        return (self._about, self._site)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self.switch.set_look(look)
        self._climate.set_look(look)
        self._place.set_look(look)

    def refresh(self) -> None:
        self._about.set_paths("", About.specs())
        self._site.set_paths("site", Site.specs())
        found = sunshine(self._session.design.site)
        assumed = None if found is None else found.assumed
        self._site.take({} if assumed is None else {assumed.path: (assumed.text, assumed.why)})
        self._show(self.switch.now)

    def _show(self, view: str) -> None:
        """Show one picture of the site."""
        self._climate.setVisible(view == DECIDES)
        self._place.setVisible(view != DECIDES)
        if view == DECIDES:
            self._show_climate()
        else:
            session = self._session
            site, weather = session.design.site, session.weather
            found = session.kept("place", (site, weather), (), lambda: place(site, weather))
            named = (
                ("Record low", site.record_low),
                ("Design low", site.design_low),
                ("Design high", site.design_high),
            )
            lines = tuple((name, float(at)) for name, at in named if at is not None)
            self._place.show_place(found, view, lines, session.habit)

    def _show_climate(self) -> None:
        site = self._session.design.site
        found = sunshine(site)
        self._climate.show_climate(
            (
                ("Record low", site.record_low, "the controller's survival"),
                ("Design low", site.design_low, "the voltage class"),
                ("Test conditions", 25.0, "data sheets' cell"),
                ("Design high", site.design_high, "starting and ampacity"),
            ),
            () if found is None else found.months,
            site.air_temperature or (),
            self._session.habit,
            coarse="" if found is None or found.assumed is None else found.assumed.why,
        )

    def _ask_file(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Weather file", "", "Weather files (*.epw *.csv *.CSV);;All files (*)"
        )
        if name:
            self.read_weather(Path(name))

    def read_weather(self, path: Path) -> None:
        """Read a weather file in the background, and ask what of it to take."""
        self._reading.start(path)
