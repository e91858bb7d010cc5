"""Single faults put into each sound demo: what protects, earths and disconnects its sources.

The faults of strings, wiring and devices stand in test_faults_sun.py, those of the battery side beside them.
"""

from __future__ import annotations

import pytest
from a_wired_site import found

from app.places import demo_sites
from engine.codec import load
from engine.design import Design
from engine.edit import set_fields
from engine.evaluation import evaluate
from engine.finding import Status

# The fault; what it changes; the rule that must find it, where, and how it may judge.
TABLE = """
no arc-fault protection     | {array}.arc_fault = no                           | arc-fault         | {array}  | fails marginal
arc fault not spoken of     | {array}.arc_fault =                              | arc-fault         | {array}  | unknown
no ground-fault protection  | {array}.ground_fault = none                      | ground-fault      | {array}  | fails
a fuse in the bond          | {array}.ground_fault = fuse in the bond          | ground-fault      | {array}  | marginal
ground fault not spoken of  | {array}.ground_fault =                           | ground-fault      | {array}  | unknown
no rapid shutdown           | {array}.rapid_shutdown = none                    | rapid-shutdown    | {array}  | fails marginal
shutdown not spoken of      | {array}.rapid_shutdown =                         | rapid-shutdown    | {array}  | unknown
building not spoken of      | {array}.on_building =                            | rapid-shutdown    | {array}  | unknown
too high for a building     | {array}.modules = 40; {array}.on_building = yes  | building-voltage  | {array}  | fails
no electrode                | site.electrode = none                            | earth-electrode   | site     | fails
electrode not spoken of     | site.electrode =                                 | earth-electrode   | site     | unknown
thin electrode conductor    | site.electrode_conductor = {thin}                | earth-electrode   | site     | fails
electrodes apart            | site.electrodes_joined = no                      | electrodes-joined | site     | fails
electrodes not spoken of    | site.electrodes_joined =                         | electrodes-joined | site     | unknown
a run that is not wet-rated | {outdoors}.wet = no                              | wet-rated         | {outdoors} | fails
wet not spoken of           | {outdoors}.wet =                                 | wet-rated         | {outdoors} | unknown
a generator on the panel    | {generator}.feeds = the panel                    | generator-transfer | {generator} | fails
transfer not spoken of      | {generator}.feeds =                              | generator-transfer | {generator} | unknown
live parts in reach         | bank.covered = no; bank.highest_voltage = 66 V   | live-parts        | bank     | fails
cover not spoken of         | bank.covered =; bank.highest_voltage = 66 V      | live-parts        | bank     | unknown
a breaker in a hot box      | {run}.device_ambient = 70 degC; {run_device}.current = {tight} | device-heat | {run} | fails
the earthed pole opened     | {output}.device_pole = earthed; {output_device}.poles = 1 | earthed-pole | {output} | fails
a fuse for a disconnect     | {run_device}.kind = fuse; {run_device}.current = 63 A | disconnect   | {run}    | fails
an ac switch beside it      | {output}.disconnect = {switch}; devices.{switch}.supply = ac | disconnect | {output} | fails
a switch for too few volts  | {output}.disconnect = {switch}; devices.{switch}.dc_voltage = 12 V | disconnect | {output} | fails
a switch for too few amps   | {output}.disconnect = {switch}; devices.{switch}.current = 10 A | disconnect | {output} | fails
a switch nobody can read    | {output}.disconnect = {switch}; devices.{switch}.supply =; devices.{switch}.current = 200 A | disconnect | {output} | unknown
"""  # noqa: E501
TURBINES = """
nothing that stops it       | wind.mast.brake = none                           | overspeed         | wind.mast | fails
brake not spoken of         | wind.mast.brake =                                | overspeed         | wind.mast | unknown
nothing that acts by itself | wind.mast.furling_wind =                         | overspeed         | wind.mast | marginal
free voltage too low        | {turbine}.open_voltage = 40 V                    | open-voltage      | {turbine} | fails
free voltage not known      | {turbine}.open_voltage =                         | open-voltage      | {turbine} | unknown
a controller it destroys    | {charger}.operating_limit = {low}; {charger}.standoff_limit = {low} | turbine-standoff | {turbine} | fails
standoff not known          | {charger}.standoff_limit =                       | turbine-standoff  | {turbine} | unknown
a limiter that burns        | {turbine}.limiter_power = 200 W                  | limiter           | {turbine} | fails
a limiter that latches      | {turbine}.limiter_off = 20 V                     | limiter           | {turbine} | marginal
limiter half entered        | {turbine}.limiter_power =                        | limiter           | {turbine} | unknown
a switch before the brake   | {alternator}.device = {turbine_switch}           | never-opens       | {alternator} | fails marginal
a switch before the limiter | {limiter}.device = {turbine_switch}              | never-opens       | {limiter} | fails
80 V on the source          | devices.{turbine_switch}.dc_voltage = 80 V       | device-voltage    | {turbine_run} | fails
an ac switch on its dc      | devices.{turbine_switch}.supply = ac             | device-supply     | {turbine_run} | fails
too small a switch          | devices.{turbine_switch}.current = 4 A           | device-current    | {turbine_run} | fails
a thin run                  | {turbine_run}.size = 14 AWG; {turbine}.rated_current = 40 A | conductor         | {turbine_run} | fails
a thin line of three        | {alternator}.size = 14 AWG; {turbine}.rated_current = 40 A | conductor         | {alternator} | fails
insulation for the battery  | {turbine_run}.insulation_voltage = 60 V          | insulation-voltage | {turbine_run} | fails
surge for nominal volts     | {turbine_run}.surge_voltage = 60 V               | surge-voltage     | {turbine_run} | fails
surge voltage not known     | {turbine_run}.surge_voltage =                    | surge-voltage     | {turbine_run} | unknown
no surge devices            | {turbine_run}.surge = none                       | surge             | {turbine_run} | fails marginal
surge not spoken of         | {turbine_run}.surge =                            | surge             | {turbine_run} | unknown
"""  # noqa: E501
DEMOS = {path.stem: load(path) for path in sorted(demo_sites().glob("*.toml"))}


def rows(table: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.split("|")] for line in table.strip().splitlines()]


def roles(design: Design) -> dict[str, str]:
    """The paths of the pieces that the faults are put into."""
    array = design.arrays[0]
    run, output = f"{array.id}-run", f"{array.controller}-battery"
    iec = design.rules == "iec"
    outdoors = next(item.id for item in design.circuits if item.place in ("roof", "outdoors", "buried"))
    switch = next(item.id for item in design.devices if item.kind == "switch")
    found = {
        "array": f"arrays.{array.id}",
        "run": f"circuits.{run}",
        "output": f"circuits.{output}",
        "outdoors": f"circuits.{outdoors}",
        "run_device": f"devices.{design.circuit(run).device}",
        "output_device": f"devices.{design.circuit(output).device}",
        "generator": f"generators.{design.generators[0].id}",
        "switch": switch,
        "thin": "1.5 mm2" if iec else "14 AWG",
        "tight": f"{(evaluate(design).circuits[run].current or 0) * 1.26} A",
    }
    for turbine, table in [
        *((each, "wind") for each in design.wind),
        *((each, "hydro") for each in design.hydro),
    ]:
        found |= {
            "turbine": f"{table}.{turbine.id}",
            "low": f"{0.8 * turbine.open_voltage} V",
            "charger": f"controllers.{turbine.controller}",
            "alternator": f"circuits.{turbine.id}-alternator",
            "limiter": f"circuits.{turbine.id}-limiter",
            "turbine_run": f"circuits.{turbine.id}-run",
            "turbine_switch": str(design.circuit(f"{turbine.id}-run").device),
        }
    return found


def put(design: Design, fault: list[str]) -> tuple[Design, str, str, str]:
    """The design with the fault in it, the rule that must find it, where, and the answers it may give."""
    _, changes, rule, where, answers = (cell.format(**roles(design)) for cell in fault)
    pairs = [change.partition("=") for change in changes.split(";")]
    faulty = set_fields(design, {path.strip(): text.strip() for path, _, text in pairs})
    return faulty, rule, where, answers


def hold(design: Design, fault: list[str]) -> None:
    faulty, rule, where, answers = put(design, fault)
    before = [each for each in evaluate(design).findings if (each.rule, each.where) == (rule, where)]
    assert all(each.status is Status.MEETS for each in before)
    got = found(evaluate(faulty), rule, where)
    assert got.status.word in answers.split()
    assert got.remedy and got.field and got.source.title


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("fault", rows(TABLE), ids=lambda fault: fault[0])
def test_that_a_fault_of_protection_is_found_by_its_rule(demo: str, fault: list[str]) -> None:
    hold(DEMOS[demo], fault)


@pytest.mark.parametrize(
    ("demo", "fault"),
    [
        pytest.param(name, fault, id=f"{fault[0]}-{name}")
        for fault in rows(TURBINES)
        for name, design in DEMOS.items()
        if design.wind or (design.hydro and not fault[1].startswith("wind"))
    ],
)
def test_that_a_fault_of_a_turbine_is_found_by_its_rule(demo: str, fault: list[str]) -> None:
    hold(DEMOS[demo], fault)
