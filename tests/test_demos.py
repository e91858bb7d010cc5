"""The demo sites: complete, invented, and believable by formulas that the engine has no part in."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from engine import evaluate
from engine.codec import load
from engine.design import KEYED, Design
from engine.finding import Status
from engine.writer import dumps

FOLDER = Path(__file__).parent.parent / "demo_sites"
NAMES = ("lake_cabin", "mountain_farm", "tropical_clinic")
DESIGNS = {name: load(FOLDER / f"{name}.toml") for name in NAMES}
AIR = 1.225  # kg/m3 at sea level, 15 degC
WATER = 1000.0  # kg/m3
GRAVITY = 9.81  # m/s2

each = pytest.mark.parametrize("design", DESIGNS.values(), ids=DESIGNS)


def test_that_the_folder_holds_these_three_and_no_other() -> None:
    assert sorted(path.stem for path in FOLDER.iterdir()) == sorted(NAMES)


def test_that_together_they_use_every_table() -> None:
    for table in KEYED:
        assert any(getattr(design, table) for design in DESIGNS.values()), table
    assert {design.rules for design in DESIGNS.values()} == {"nec-2020", "nec-2023", "iec"}
    assert {design.bank.chemistry for design in DESIGNS.values()} == {
        "flooded",
        "agm",
        "lithium iron phosphate",
    }


@each
def test_that_each_says_that_it_is_invented_and_what_it_is_for(design: Design) -> None:
    assert design.about.invented is True
    assert design.about.name
    assert len(design.about.story or "") > 100
    assert "invented" in (design.site.record_low_from or "")


@each
def test_that_each_saves_byte_for_byte(design: Design) -> None:
    text = (FOLDER / f"{next(name for name in NAMES if DESIGNS[name] is design)}.toml").read_text("utf-8")
    assert dumps(design) == text


@each
def test_that_every_circuit_of_the_drawing_has_its_length(design: Design) -> None:
    assert set(evaluate(design).circuits) <= {item.id for item in design.circuits}
    assert all(item.length and item.ambient is not None and item.method for item in design.circuits)


@each
def test_that_no_cold_morning_destroys_a_controller_and_no_hot_noon_stops_it(design: Design) -> None:
    for array in design.arrays:
        module, charger = design.find("modules", array.module), design.find("controllers", array.controller)
        swing = module.beta_voc.relative(module.voc)
        coldest = array.modules * module.voc * (1 + swing * (design.site.record_low - 25))
        assert coldest < 0.97 * charger.standoff_limit
        hottest = design.site.design_high + 40
        power = module.gamma_pmp.relative(1) - module.alpha_isc.relative(module.isc)
        running = array.modules * module.vmp * (1 + power * (hottest - 25))
        assert running > 1.1 * (design.bank.highest_voltage + charger.start_above_battery)


@each
def test_that_currents_stay_within_the_controllers(design: Design) -> None:
    for charger in design.controllers:
        arrays = [item for item in design.arrays if item.controller == charger.id]
        modules = [(item, design.find("modules", item.module)) for item in arrays]
        assert sum(1.25 * a.strings * m.isc for a, m in modules) < charger.short_circuit_limit
        watts = sum(a.strings * a.modules * m.vmp * m.imp for a, m in modules)
        assert 0.98 * watts / design.bank.voltage <= charger.current_limit


def test_that_strings_that_need_fuses_and_strings_that_do_not_are_both_shown() -> None:
    strings = {item.strings for design in DESIGNS.values() for item in design.arrays}
    assert {1, 2, 3} <= strings
    shared = [item.controller for item in DESIGNS["tropical_clinic"].arrays]
    assert len(shared) == 4
    assert len(set(shared)) == 3


@each
def test_that_the_battery_agrees_with_itself(design: Design) -> None:
    bank = design.bank
    assert bank.series * bank.block_voltage == pytest.approx(bank.voltage)
    per_cell = 3.2 if bank.chemistry == "lithium iron phosphate" else 2.0
    assert bank.cells * per_cell == pytest.approx(bank.voltage)
    assert bank.highest_voltage >= bank.cells * max(bank.absorption, bank.equalize or 0)
    for inverter in design.inverters:
        assert inverter.lowest_voltage < bank.lowest_voltage
        assert inverter.highest_voltage > bank.highest_voltage


@each
def test_that_the_battery_carries_the_autonomy_that_it_claims(design: Design) -> None:
    daily = sum(
        load.power * load.use("number") * load.hours * load.use("days_a_week") / 7 for load in design.loads
    )
    stored = design.bank.voltage * design.bank.block_capacity * design.bank.strings * design.bank.depth
    assert 1.0 <= 0.9 * stored / (daily * design.bank.autonomy / 24) <= 3.0


def test_that_the_wind_turbines_figures_agree() -> None:
    turbine = DESIGNS["lake_cabin"].wind[0]
    area = math.pi / 4 * turbine.diameter**2
    wind = 0.5 * AIR * area * turbine.rated_wind**3
    shaft = turbine.best_cp * turbine.drivetrain * wind - turbine.iron_loss
    speed = turbine.best_ratio * turbine.rated_wind / (turbine.diameter / 2) * 60 / (2 * math.pi)
    emf = turbine.volts_per_speed * speed
    electric = shaft - (shaft / emf) ** 2 * turbine.resistance
    assert electric == pytest.approx(turbine.rated_power, rel=0.05)
    assert shaft / emf == pytest.approx(turbine.rated_current, rel=0.05)
    assert turbine.open_voltage == pytest.approx(turbine.volts_per_speed * turbine.runaway_speed)
    assert turbine.runaway_speed > speed
    assert max(cp for _, cp in turbine.cp_points) == turbine.best_cp < 16 / 27  # Betz
    for speed_now, power in turbine.power_points:
        assert power <= turbine.best_cp * turbine.drivetrain * 0.5 * AIR * area * speed_now**3 + 1


def test_that_the_hydro_turbines_figures_agree() -> None:
    turbine = DESIGNS["mountain_farm"].hydro[0]
    bore = turbine.pipe_diameter / 1000
    velocity = turbine.flow / (math.pi / 4 * bore**2)
    reynolds = velocity * bore / 1.5e-6  # water at 5 degC
    rough = turbine.pipe_roughness / 1000 / bore
    friction = 0.25 / math.log10(rough / 3.7 + 5.74 / reynolds**0.9) ** 2  # Swamee and Jain
    loss = (friction * turbine.pipe_length / bore + turbine.fittings) * velocity**2 / (2 * GRAVITY)
    net = turbine.gross_head - loss
    jet = turbine.nozzle_coefficient * math.sqrt(2 * GRAVITY * net)
    shaft = WATER * turbine.flow * jet**2 / 2 * turbine.efficiency  # the nozzle's loss is in the jet
    emf = turbine.volts_per_speed * turbine.rated_speed
    electric = shaft - (shaft / emf) ** 2 * turbine.resistance
    assert electric == pytest.approx(turbine.rated_power, rel=0.07)  # the cable takes the rest
    away = emf * turbine.runaway_factor * math.sqrt(turbine.gross_head / net)  # little flows: all the head
    assert away <= turbine.open_voltage == pytest.approx(away, rel=0.01)
    assert turbine.largest_speed > away / turbine.volts_per_speed
    area = turbine.nozzles * math.pi / 4 * (turbine.nozzle_diameter / 1000) ** 2
    assert jet * area == pytest.approx(turbine.flow, rel=0.03)
    bucket = math.pi * turbine.wheel_diameter / 1000 * turbine.rated_speed / 60
    assert bucket / jet == pytest.approx(0.46, abs=0.02)  # common practice for an impulse wheel
    assert WATER * GRAVITY * turbine.gross_head < turbine.pipe_pressure
    assert min(turbine.flow_months) > turbine.residual_flow


@pytest.mark.parametrize("name", ["lake_cabin", "mountain_farm"])
def test_that_the_surplus_load_takes_what_the_turbine_makes(name: str) -> None:
    design = DESIGNS[name]
    heater, turbine = design.diversions[0], (design.wind or design.hydro)[0]
    controller = design.find("controllers", heater.controller)
    assert heater.rated_voltage**2 / heater.resistance == pytest.approx(heater.rated_power, rel=0.02)
    assert heater.rated_power >= 1.5 * turbine.rated_power
    assert design.bank.highest_voltage / heater.resistance <= controller.current_limit
    assert heater.own_thermostat is False


@pytest.mark.parametrize("name", ["lake_cabin", "mountain_farm"])
def test_that_a_runaway_turbine_stays_under_the_limit_of_its_controller(name: str) -> None:
    design = DESIGNS[name]
    turbine = (design.wind or design.hydro)[0]
    controller = design.find("controllers", turbine.controller)
    assert turbine.open_voltage < 0.95 * controller.operating_limit
    assert turbine.rated_power / design.bank.voltage < controller.current_limit


@each
def test_that_the_inverter_carries_the_loads_and_their_largest_surge(design: Design) -> None:
    loads = [(item.power, item.use("number"), item.use("surge_factor")) for item in design.loads]
    surge = max(power * (factor - 1) for power, _, factor in loads)
    assert max(power for power, _, _ in loads) + surge < design.inverters[0].surge


@each
def test_that_no_demo_fails_or_is_unknown(design: Design) -> None:
    bad = [f for f in evaluate(design).findings if f.status in (Status.FAILS, Status.UNKNOWN)]
    assert [(f.rule, f.where, f.title) for f in bad] == []
