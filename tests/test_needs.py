"""What the job needs next, in the order of the job."""

from __future__ import annotations

from dataclasses import replace

import pytest
from a_wired_site import SECOND_ARRAY, judged, wired

from app.places import demo_sites
from engine.codec import load
from engine.design import Array, Design, HydroTurbine, Inverter, Load, WindTurbine
from engine.edit import set_fields
from engine.evaluation import evaluate
from engine.finding import Status
from engine.needs import needs


def paths(design: Design) -> list[str]:
    """The paths of the needs, in order."""
    return [need.path for need in needs(design)]


def test_that_an_empty_site_begins_with_demand_and_place() -> None:
    assert paths(Design()) == ["loads", "bank.voltage", "site.design_low", "arrays"]


@pytest.mark.parametrize("path", sorted(demo_sites().glob("*.toml")), ids=lambda path: path.stem)
def test_that_a_complete_site_needs_nothing(path: object) -> None:
    assert needs(load(str(path))) == ()


@pytest.mark.parametrize(
    "path",
    [
        "site.record_low",
        "arrays.south.strings",
        "modules.m.series_fuse",
        "controllers.c.back_feed",
        "bank.lowest_voltage",
        "circuits.south-run.length",
        "devices.run-breaker.dc_voltage",
    ],
)
def test_that_a_cleared_field_is_asked_for(path: str) -> None:
    assert path in paths(wired({path: ""}))
    assert path not in paths(wired())


def test_that_every_circuit_of_the_verdict_is_asked_for_its_length() -> None:
    for more, changes in (("", {}), (SECOND_ARRAY, {}), ("", {"arrays.south.strings": "1"})):
        circuits = judged(changes, more).circuits
        bare = {f"circuits.{id}.length": "" for id in circuits}
        asked = {path for path in paths(wired({**changes, **bare}, more)) if path.startswith("circuits")}
        assert asked == set(bare)


def test_that_a_first_array_leads_to_its_module_and_controller() -> None:
    design = Design(arrays=(Array(id="south"),))
    assert paths(design)[-4:-1] == ["modules", "arrays.south.module", "controllers"]


def test_that_a_sentence_keeps_abbreviations() -> None:
    (need,) = [n for n in needs(wired({"devices.run-breaker.dc_voltage": ""})) if "devices" in n.path]
    assert "DC voltage rating" in need.sentence


TURBINES = {
    (
        "lake_cabin",
        "wind.mast",
    ): "controller diameter hub_height obstacle_height obstacle_distance rated_power "
    "volts_per_speed resistance rated_current open_voltage rectifier_voltage brake short_current "
    "largest_speed runaway_speed wind_class",
    ("lake_cabin", "site"): "elevation wind_speed gust",
    ("lake_cabin", "controllers.wind-charger"): "operating_limit standoff_limit current_limit",
    ("mountain_farm", "hydro.creek"): "controller gross_head flow flow_months residual_flow pipe_length "
    "pipe_diameter pipe_pressure air_vent intake_deep turbine nozzle_diameter wheel_diameter efficiency "
    "rated_speed runaway_factor largest_speed rated_power volts_per_speed resistance rated_current "
    "open_voltage",
    ("mountain_farm", "controllers.creek-charger"): "operating_limit standoff_limit",
}


@pytest.mark.parametrize(
    ("site", "path"),
    [(site, f"{owner}.{name}") for (site, owner), names in TURBINES.items() for name in names.split()],
)
def test_that_what_a_turbine_is_judged_by_is_asked_for(site: str, path: str) -> None:
    whole = load(str(demo_sites() / f"{site}.toml"))
    design = set_fields(whole, {path: ""})
    assert path in paths(design)
    assert any(each.status is Status.UNKNOWN for each in evaluate(design).findings)


def test_that_a_new_turbine_leads_from_its_place_to_what_holds_it() -> None:
    found = paths(Design(wind=(WindTurbine(id="mast"),)))
    assert found[3:8] == [
        "site.elevation",
        "wind.mast.controller",
        "wind.mast.rated_power",
        "wind.mast.wind_class",
        "controllers",
    ]


def test_that_a_new_hydro_turbine_leads_from_the_water_to_its_alternator() -> None:
    found = paths(Design(hydro=(HydroTurbine(id="creek"),)))
    assert found[3:7] == [
        "hydro.creek.controller",
        "hydro.creek.pipe_length",
        "hydro.creek.turbine",
        "hydro.creek.rated_power",
    ]


def test_that_a_circuit_is_named_by_its_piece_and_its_end() -> None:
    design = wired({"circuits.south-run.length": "", "arrays.south.label": "South roof"})
    assert needs(design)[-1].sentence == "South roof, run circuit: enter one-way length."


def test_that_ac_loads_ask_for_an_inverter_and_an_inverter_for_its_power() -> None:
    design = set_fields(Design(loads=(Load(id="fridge"),)), {"loads.fridge.power": "75 W"})
    assert "inverters" in paths(design)
    assert "inverters" not in paths(set_fields(design, {"loads.fridge.kind": "dc"}))
    chosen = replace(design, inverters=(Inverter(id="house"),))
    assert "inverters" not in paths(chosen)
    assert "inverters.house.power" in paths(chosen)
