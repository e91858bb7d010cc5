"""The circuits of wind and hydro turbines: their currents, voltages, and what no device may interrupt."""

from __future__ import annotations

import math

import pytest
from a_turbine_site import turbines, turbines_judged
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.design import Device
from engine.in_hand import Fit, judge
from engine.in_hand.wanted import wanted
from engine.sections.results import CircuitResult


def circuit(id: str, changes: dict[str, str] | None = None) -> CircuitResult:
    return turbines_judged(changes).circuits[id]


def test_that_each_turbine_has_its_circuits_from_the_alternator_to_the_controller() -> None:
    found = {id: (each.origin, each.target) for id, each in turbines_judged().circuits.items()}
    assert found["mast-alternator"] == ("mast", "mast-brake")
    assert found["mast-brake"] == ("mast-brake", "mast-rectifier")
    assert found["mast-run"] == ("mast-rectifier", "w")
    assert found["mast-limiter"] == ("mast-rectifier", "mast-limiter")
    assert found["creek-alternator"] == ("creek", "creek-rectifier")
    assert found["creek-run"] == ("creek-rectifier", "h")
    assert "creek-brake" not in found and "creek-limiter" not in found


@pytest.mark.parametrize("brake", ["mechanical", "furling", "none", ""])
def test_that_only_a_shorting_brake_stands_in_the_circuit(brake: str) -> None:
    found = turbines_judged({"wind.mast.brake": brake}).circuits
    assert found["mast-alternator"].target == "mast-rectifier"
    assert "mast-brake" not in found


def test_that_three_conductors_carry_0_82_of_the_dc_current() -> None:
    """Six-pulse bridge, smooth dc: line current sqrt(2/3) of dc, dc voltage 1.35 of line (Mohan, Undeland
    and Robbins, Power Electronics, 2003; from memory)."""
    for id in ("mast-alternator", "mast-brake"):
        line = circuit(id)
        assert (line.system, line.phases, line.poles) == ("ac", 3, 3)
        assert line.current == pytest.approx(20 * math.sqrt(2 / 3))
        assert line.current == pytest.approx(0.82 * 20, rel=0.01)
        assert line.running_voltage == pytest.approx(50 / 1.35, rel=0.001)


def test_that_a_turbine_takes_the_factor_for_continuous_duty_and_none_for_bright_hours() -> None:
    """NFPA 70, 694.12 (from memory): 125 % of the largest current, once."""
    run = circuit("mast-run")
    assert (run.current, run.design_current) == (pytest.approx(20), pytest.approx(25))
    assert circuit("mast-run", {"rules": "iec"}).design_current == pytest.approx(20)


@pytest.mark.parametrize("id", ["mast-alternator", "mast-brake", "mast-run", "mast-limiter"])
def test_that_the_free_running_voltage_stands_on_all_of_it(id: str) -> None:
    assert circuit(id).voltage == pytest.approx(108)


def test_that_volts_per_speed_lift_a_voltage_entered_too_low_and_never_lower_it() -> None:
    assert circuit("mast-run", {"wind.mast.open_voltage": "60 V"}).voltage == pytest.approx(0.12 * 900)
    assert circuit("mast-run", {"wind.mast.open_voltage": "130 V"}).voltage == pytest.approx(130)
    assert circuit("creek-run", {"hydro.creek.open_voltage": "300 V"}).voltage == pytest.approx(445.5)


def test_that_a_missing_free_running_voltage_leaves_class_and_voltage_unknown() -> None:
    run = circuit("mast-run", {"wind.mast.open_voltage": ""})
    assert run.voltage is None and run.voltage_class is None
    assert "wind.mast.open_voltage" in [item.path for item in run.missing]


def test_that_nothing_that_opens_is_asked_for_before_brake_and_limiter() -> None:
    for id in ("mast-alternator", "mast-brake", "mast-limiter", "creek-alternator"):
        each = circuit(id)
        assert not each.device_needed and each.device is None


def test_that_nothing_is_ordered_before_brake_and_limiter_and_a_disconnect_for_the_run() -> None:
    lines = {line.circuits: line for line in wanted(turbines_judged())}
    ordered = {id for circuits in lines for id in circuits}
    assert not ordered & {"mast-alternator", "mast-brake", "mast-limiter", "creek-alternator"}
    assert (lines["mast-run",].what, lines["mast-run",].rating) == ("disconnect", 25.0)


def test_that_a_switch_beside_a_fuse_is_ordered_too() -> None:
    both = {"circuits.w-battery.device": "breaker", "circuits.w-battery.disconnect": "switch"}
    labels = [line.device.id for line in wanted(turbines_judged(both)) if line.device is not None]
    assert labels == ["breaker", "switch"]


def test_that_no_device_in_hand_fits_between_an_alternator_and_its_brake() -> None:
    switch = turbines().find("devices", "switch")
    assert isinstance(switch, Device)
    verdicts = {verdict.circuit: verdict for verdict in judge(turbines_judged(), switch)}
    for id in ("mast-alternator", "mast-limiter"):
        assert verdicts[id].fit is Fit.UNFIT
        assert "never-opens" in [reason.rule for reason in verdicts[id].reasons]
    assert verdicts["mast-run"].fit is Fit.FIT and verdicts["mast-run"].disconnect


def test_that_a_run_is_guarded_against_back_feed_and_nothing_else() -> None:
    assert circuit("mast-run").device is None and not circuit("mast-run").device_needed
    weak = circuit("mast-run", {"controllers.w.back_feed": "5 A"})
    strong = circuit("mast-run", {"controllers.w.back_feed": "2 kA"})
    unknown = circuit("mast-run", {"controllers.w.back_feed": ""})
    assert not weak.device_needed, "the conductor carries it"
    assert strong.device_needed and strong.device == 25.0 and strong.reverses
    assert unknown.device_needed and unknown.reverses is None
    assert "controllers.w.back_feed" in [item.path for item in unknown.fault_missing]


def test_that_a_short_circuit_draws_the_free_running_voltage_over_the_resistance() -> None:
    """Ohm: 108 V / 0.5 ohm; the inductance that would lower it is left out."""
    assert circuit("mast-alternator").fault_most == pytest.approx(216)
    assert circuit("mast-run", {"controllers.w.back_feed": "50 A"}).fault_most == pytest.approx(266)
    lacking = circuit("mast-run", {"wind.mast.resistance": ""})
    assert lacking.fault_most is None
    assert "wind.mast.resistance" in [item.path for item in lacking.fault_missing]


def test_that_a_limiter_carries_what_it_draws_where_it_begins() -> None:
    limiter = circuit("mast-limiter")
    assert limiter.current == pytest.approx(100 / 6)
    bare = turbines_judged({"wind.mast.limiter_on": "", "wind.mast.limiter_resistance": ""})
    assert "mast-limiter" not in bare.circuits


def test_that_the_drop_of_three_phases_counts_one_conductor_times_the_root_of_three() -> None:
    """Three-phase drop: sqrt(3) R I of the voltage between lines."""
    line = circuit("mast-alternator", {"circuits.mast-alternator.size": "10 AWG"})
    assert line.drop is not None and line.current is not None and line.length is not None
    ohms = 1.24 / 304.8  # 10 AWG stranded copper, Chapter 9, Table 8: 1.24 ohm per 1000 ft at 75 degC
    assert line.drop == pytest.approx(math.sqrt(3) * ohms * line.length * line.current, rel=0.005)


@settings(max_examples=20, deadline=None)
@given(
    low=st.floats(60, 300),
    more=st.floats(1, 200),
    amps=st.floats(3, 60),
    extra=st.floats(0.5, 40),
)
def test_that_more_volts_or_amps_never_give_a_lower_class_or_a_thinner_conductor(
    low: float, more: float, amps: float, extra: float
) -> None:
    def run(volts: float, current: float) -> CircuitResult:
        return circuit(
            "mast-run",
            {
                "wind.mast.volts_per_speed": "",
                "wind.mast.open_voltage": f"{volts} V",
                "wind.mast.rated_current": f"{current} A",
            },
        )

    one, higher, stronger = run(low, amps), run(low + more, amps), run(low, amps + extra)
    assert (one.voltage_class or 0) <= (higher.voltage_class or 0)
    assert one.least is not None and stronger.least is not None
    assert one.least.area_mm2 <= stronger.least.area_mm2
