"""What a person means at a field: energy a day, a start in watts, a compass letter, a bare number."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytestqt.qtbot import QtBot

from app.bind import Form
from app.fields.cells import Cell, Cells
from app.session import Session
from engine.codec import loads
from engine.edit import FieldError, set_field
from engine.meant import meant

SITE = """
format = 1
[bank]
voltage = "24 V"
[loads.fridge]
power = "75 W"
[loads.lamps]
power = "7 W"
number = 8
[loads.radio]
kind = "dc"
current = "2 A"
[loads.bare]
hours = "2 h"
"""


@pytest.mark.parametrize(
    ("path", "typed", "taken"),
    [
        ("loads.fridge.hours", "5", "5 h"),
        ("loads.fridge.hours", "20 min", "20 min"),
        ("loads.fridge.hours", "0.9 kWh", "12 h"),
        ("loads.lamps.hours", "280 Wh", "5 h"),
        ("loads.radio.hours", "0.48 kWh", "10 h"),
        ("loads.bare.hours", "0.9 kWh", "0.9 kWh"),
        ("loads.fridge.surge_factor", "300 W", "4"),
        ("loads.lamps.surge_factor", "14 W", "2"),
        ("loads.fridge.surge_factor", "2.9", "2.9"),
        ("loads.bare.surge_factor", "2.6 kW", "2.6 kW"),
        ("site.latitude", "47.3 N", "47.3 deg"),
        ("site.latitude", "47.3°S", "-47.3 deg"),
        ("site.latitude", "47.3", "47.3 deg"),
        ("site.latitude", "47.3 E", "47.3 E"),
        ("site.longitude", "70.25 w", "-70.25 deg"),
        ("bank.autonomy", "3", "3"),
    ],
)
def test_that_a_field_takes_what_is_meant(path: str, typed: str, taken: str) -> None:
    assert meant(loads(SITE), path, typed) == taken


@given(st.floats(0.1, 1700))
def test_that_hours_worked_out_never_take_less_than_was_meant(energy: float) -> None:
    design = loads(SITE)
    hours = meant(design, "loads.fridge.hours", f"{energy:.6f} Wh")
    assert float(hours.removesuffix(" h")) * 75 >= float(f"{energy:.6f}") - 1e-6


def test_that_an_energy_beyond_a_whole_day_is_refused() -> None:
    design = loads(SITE)
    with pytest.raises(FieldError):
        set_field(design, "loads.fridge.hours", meant(design, "loads.fridge.hours", "2 kWh"))


def test_that_what_is_typed_in_the_window_is_taken_as_meant(qtbot: QtBot) -> None:
    session = Session(loads(SITE))
    session.edit("loads.fridge.hours", "0.9 kWh")
    session.edit("loads.fridge.surge_factor", "375 W")
    session.edit("site.latitude", "47.3 N")
    load = session.design.loads[0]
    assert (load.hours, load.surge_factor, session.design.site.latitude) == (12, 5, 47.3)


def test_that_a_refused_autonomy_is_told_by_days() -> None:
    with pytest.raises(FieldError) as refused:
        set_field(loads(SITE), "bank.autonomy", "3")
    assert refused.value.need == "a time such as 3 d"


def test_that_a_bare_number_of_the_sun_is_a_kilowatt_hour(qtbot: QtBot) -> None:
    session = Session(loads(SITE))
    form = Form(session)
    qtbot.addWidget(form)
    form.set_paths("site", ["sun"])
    row = form.row("site.sun")
    assert row is not None and isinstance(row.control, Cells)
    for cell in row.control.findChildren(Cell):
        cell.setText("1.5")
        cell.editingFinished.emit()
    assert session.design.site.sun == (1500.0,) * 12
