"""Single faults put into each sound demo site: the right rule finds each, at the right place.

The faults are of the kinds that inspectors and code articles describe; test_faults_published.py holds the
ones that were published with numbers.
"""

from __future__ import annotations

import pytest
from a_wired_site import found

from app.places import demo_sites
from engine.codec import load
from engine.design import Array, Design
from engine.edit import set_fields
from engine.evaluation import evaluate
from engine.finding import Signal, Status

# The fault; what it changes; the rule that must find it, where, and how it may judge.
TABLE = """
one module too many        | {array}.modules = 6                    | standoff-limit           | {array}      | fails
a string longer than fits  | {array}.modules = 6                    | string-length            | {array}      | fails
far too many modules       | {array}.modules = 60                   | module-system-voltage    | {array}      | fails
one module alone           | {array}.modules = 1                    | start-voltage            | {array}      | fails marginal
no step above the battery  | {array}.modules = 1                    | nominal-step             | {controller} | marginal
too many strings           | {array}.strings = 9                    | controller-short-circuit | {controller} | fails
a low operating limit      | {controller}.operating_limit = 80 V    | operating-limit          | {array}      | marginal
a late start               | {controller}.start_voltage = 144 V     | start-voltage            | {array}      | marginal
a small controller         | {controller}.current_limit = 20 A      | controller-output        | {controller} | marginal
modules for a small fuse   | {module}.series_fuse = 10 A            | string-fuse              | {array}      | fails
modules for a low voltage  | {module}.system_voltage = 60 V         | module-system-voltage    | {array}      | fails
ac breaker on the array    | {run_device}.supply = ac               | device-supply            | {run}        | fails
ac breaker on the battery  | {output_device}.supply = ac            | device-supply            | {output}     | fails
80 V class on the array    | {run_device}.dc_voltage = 80 VDC       | device-voltage           | {run}        | fails
class below the charging   | {output_device}.dc_voltage = 24 VDC    | device-voltage           | {output}     | fails
a breaker that trips       | {run_device}.current = 20 A            | device-current           | {run}        | fails
a breaker too large        | {run_device}.current = 250 A           | device-current           | {run}        | fails
a weak breaking capacity   | {run_device}.breaking = 20 A           | device-breaking          | {run}        | fails
a breaker with polarity    | {output_device}.polarity = marked      | device-polarity          | {output}     | fails
a switch for a breaker     | {output_device}.kind = switch          | device-kind              | {output}     | fails
a thin run                 | {run}.size = {thin}                    | conductor                | {run}        | fails
a thin battery cable       | {output}.size = {thin}                 | conductor                | {output}     | fails
a thin earthing conductor  | {output}.earthing = {thin}             | earthing-size            | {output}     | fails
a run far too long         | {run}.size = {thick}; {run}.length = 3 km | voltage-drop          | {run}        | marginal
too thick for its terminal | {controller}.largest_wire = {thin}     | terminal-size            | {run}        | fails
insulation for the battery | {run}.insulation_voltage = 60 V        | insulation-voltage       | {run}        | fails
no record low              | site.record_low =                      | standoff-limit           | {array}      | unknown
no design low              | site.design_low =                      | voltage-class            | {run}        | unknown
no series fuse             | {module}.series_fuse =                 | string-fuse              | {array}      | unknown
no dc voltage              | {run_device}.dc_voltage =              | device-voltage           | {run}        | unknown
no breaking capacity       | {run_device}.breaking =                | device-breaking          | {run}        | unknown
no polarity marking        | {run_device}.polarity =                | device-polarity          | {run}        | unknown
no supply marking          | {output_device}.supply =               | device-supply            | {output}     | unknown
no input limit             | {controller}.short_circuit_limit =     | controller-short-circuit | {controller} | unknown
"""  # noqa: E501
FAULTS = [[cell.strip() for cell in line.split("|")] for line in TABLE.strip().splitlines()]
DEMOS = {path.stem: load(path) for path in sorted(demo_sites().glob("*.toml"))}
demos = pytest.mark.parametrize("demo", DEMOS)


def roles(design: Design) -> dict[str, str]:
    """The paths of the pieces that the faults are put into: a demo's first array and what belongs to it."""
    array: Array = design.arrays[0]
    run, output = f"{array.id}-run", f"{array.controller}-battery"
    iec = design.rules == "iec"
    return {
        "array": f"arrays.{array.id}",
        "module": f"modules.{array.module}",
        "controller": f"controllers.{array.controller}",
        "run": f"circuits.{run}",
        "output": f"circuits.{output}",
        "run_device": f"devices.{design.circuit(run).device}",
        "output_device": f"devices.{design.circuit(output).device}",
        "thin": "1.5 mm2" if iec else "14 AWG",
        "thick": "95 mm2" if iec else "4/0 AWG",
    }


@demos
def test_that_a_sound_demo_has_nothing_to_mend(demo: str) -> None:
    wrong = [f.title for f in evaluate(DEMOS[demo]).findings if f.status <= Status.UNKNOWN]
    assert wrong == []


@demos
@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault[0])
def test_that_a_single_fault_is_found_by_its_rule(demo: str, fault: list[str]) -> None:
    design = DEMOS[demo]
    _, changes, rule, where, answers = (cell.format(**roles(design)) for cell in fault)
    pairs = [change.partition("=") for change in changes.split(";")]
    faulty = set_fields(design, {path.strip(): text.strip() for path, _, text in pairs})
    before = [item for item in evaluate(design).findings if (item.rule, item.where) == (rule, where)]
    assert all(item.status is Status.MEETS for item in before)
    finding = found(evaluate(faulty), rule, where)
    assert finding.status.word in answers.split()
    assert finding.remedy and finding.field and finding.source.title
    if finding.status is Status.FAILS and rule.startswith(("device", "conductor", "standoff", "insulation")):
        assert finding.signal in (Signal.DANGER, Signal.WARNING)


@pytest.mark.parametrize("demo", ["lake_cabin", "tropical_clinic"])
def test_that_a_string_fuse_above_the_modules_limit_is_found(demo: str) -> None:
    design = set_fields(DEMOS[demo], {"devices.string-fuse.current": "30 A"})
    finding = found(evaluate(design), "device-current", f"circuits.{design.arrays[0].id}-string")
    assert (finding.status, finding.limit) == (Status.FAILS, 20.0)


def test_that_two_lengths_of_string_on_one_controller_are_found() -> None:
    design = set_fields(DEMOS["tropical_clinic"], {"arrays.east.modules": "3"})
    assert found(evaluate(design), "mixed-strings", "controllers.yard-charger").status is Status.MARGINAL
