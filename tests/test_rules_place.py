"""What the place asks: electrodes, cover, conductors made for water and sun, transfer, and time to refill."""

from __future__ import annotations

import pytest
from a_turbine_site import turbines_judged
from a_wired_site import found, judged

from engine.finding import Finding, Signal, Status
from engine.physics.recharge import recharge_time

RUN = "circuits.south-run"


def finding(rule: str, where: str, changes: dict[str, str], more: str = "") -> Finding:
    return found(judged(changes, more), rule, where)


# Conductors


@pytest.mark.parametrize("place", ["outdoors", "roof", "buried", ""])
@pytest.mark.parametrize(("wet", "status"), [("yes", "meets"), ("no", "fails"), ("", "unknown")])
def test_that_a_conductor_under_the_sky_or_in_the_ground_is_wet_rated(
    place: str, wet: str, status: str
) -> None:
    """NFPA 70, 310.10(C) and 300.5(B) (from memory): a raceway outdoors is a wet place inside."""
    got = finding("wet-rated", RUN, {f"{RUN}.place": place, f"{RUN}.wet": wet})
    assert got.status.word == status


@pytest.mark.parametrize("place", ["indoors", "attic", "battery room"])
def test_that_a_dry_place_asks_for_nothing(place: str) -> None:
    rules = [each.rule for each in judged({f"{RUN}.place": place}).findings if each.where == RUN]
    assert "wet-rated" not in rules and "sunlight" not in rules


@pytest.mark.parametrize(("rules", "method"), [("nec-2023", "free air"), ("iec", "C"), ("iec", "E")])
@pytest.mark.parametrize(("resists", "status"), [("yes", "meets"), ("no", "fails"), ("", "unknown")])
def test_that_a_conductor_in_the_sun_resists_it(rules: str, method: str, resists: str, status: str) -> None:
    changes = {"rules": rules, f"{RUN}.place": "roof", f"{RUN}.method": method, f"{RUN}.sunlight": resists}
    assert finding("sunlight", RUN, changes).status.word == status


@pytest.mark.parametrize("rules", ["nec-2017", "nec-2020", "nec-2023", "iec"])
@pytest.mark.parametrize(("ends", "status"), [("yes", "meets"), ("no", "fails"), ("", "unknown")])
def test_that_fine_strands_want_ends_that_are_made_for_them(rules: str, ends: str, status: str) -> None:
    """NFPA 70, 110.14; IEC 60364-5-52, 526.9 (both from memory)."""
    changes = {"rules": rules, f"{RUN}.fine_strand": "yes", f"{RUN}.fine_ends": ends}
    assert finding("fine-strand", RUN, changes).status.word == status


def test_that_coarse_strands_ask_nothing_of_their_ends() -> None:
    for fine in ("", "no"):
        assert all(each.rule != "fine-strand" for each in judged({f"{RUN}.fine_strand": fine}).findings)


@pytest.mark.parametrize(
    ("rules", "method", "size", "status"),
    [
        ("nec-2023", "free air", "8 AWG", "marginal"),
        ("nec-2023", "free air", "6 AWG", "meets"),
        ("nec-2023", "free air", "4 AWG", "meets"),
        ("iec", "E", "2.5 mm2", "marginal"),
        ("iec", "E", "4 mm2", "meets"),
        ("iec", "E", "6 mm2", "meets"),
    ],
)
def test_that_a_thin_earthing_conductor_is_not_left_in_the_open(
    rules: str, method: str, size: str, status: str
) -> None:
    """NFPA 70, 250.120(C): smaller than 6 AWG is covered; IEC 60364-5-54, 543.1.3: 4 mm2 (from memory)."""
    changes = {"rules": rules, f"{RUN}.place": "roof", f"{RUN}.method": method, f"{RUN}.earthing": size}
    assert finding("exposed-earthing", RUN, changes).status.word == status
    assert "exposed-earthing" not in [
        each.rule for each in judged({**changes, f"{RUN}.place": "indoors"}).findings
    ]


# Electrodes


@pytest.mark.parametrize(("electrode", "status"), [("", "unknown"), ("none", "fails"), ("rod", "meets")])
@pytest.mark.parametrize("rules", ["nec-2020", "iec"])
def test_that_a_system_has_an_earth_electrode(rules: str, electrode: str, status: str) -> None:
    assert turbines_judged({"rules": rules, "site.electrode": electrode}).worst("site") is not None
    got = found(turbines_judged({"rules": rules, "site.electrode": electrode}), "earth-electrode", "site")
    assert (got.status.word, got.field[:14]) == (status, "site.electrode")


@pytest.mark.parametrize(("size", "status"), [("8 AWG", "fails"), ("6 AWG", "meets"), ("4 AWG", "meets")])
def test_that_the_conductor_to_a_rod_is_6_awg_at_least(size: str, status: str) -> None:
    """NFPA 70, 250.66(A) and 250.166(C) (from memory)."""
    got = found(turbines_judged({"site.electrode_conductor": size}), "earth-electrode", "site")
    assert got.status.word == status


def test_that_a_ring_takes_a_conductor_as_thick_as_the_largest_of_the_dc_system() -> None:
    """NFPA 70, 250.166(B) (from memory)."""
    changes = {"site.electrode": "ring", "circuits.w-battery.size": "2/0 AWG"}
    got = found(turbines_judged(changes), "earth-electrode", "site")
    assert got.value == pytest.approx(67.43, abs=0.01)
    twice = {**changes, "circuits.w-battery.parallel": "2"}
    doubled = found(turbines_judged(twice), "earth-electrode", "site")
    assert float(str(doubled.value)) >= 2 * 67.43


def test_that_an_unknown_supply_leaves_the_electrodes_conductor_unknown() -> None:
    got = found(turbines_judged({"controllers.w.current_limit": ""}), "earth-electrode", "site")
    assert (got.status, got.field) == (Status.UNKNOWN, "controllers.w.current_limit")


@pytest.mark.parametrize(("joined", "status"), [("yes", "meets"), ("no", "fails"), ("", "unknown")])
def test_that_electrodes_apart_are_joined(joined: str, status: str) -> None:
    """NFPA 70, 250.50 and 250.58 (from memory): one electrode system."""
    got = found(turbines_judged({"site.electrodes_joined": joined}), "electrodes-joined", "site")
    assert got.status.word == status


def test_that_an_array_on_the_house_has_no_electrode_of_its_own_to_join() -> None:
    rules = [each.rule for each in judged({"arrays.south.on_building": "yes"}).findings]
    assert "electrodes-joined" not in rules


# Live parts


@pytest.mark.parametrize(
    ("rules", "volts", "covered", "status"),
    [
        ("nec-2023", 49.9, "no", "meets"),
        ("nec-2023", 50.0, "no", "fails"),
        ("nec-2023", 50.1, "no", "fails"),
        ("nec-2023", 50.1, "", "unknown"),
        ("nec-2023", 50.1, "yes", "meets"),
        ("iec", 59.9, "no", "meets"),
        ("iec", 60.0, "no", "fails"),
        ("iec", 60.1, "no", "fails"),
    ],
)
def test_that_live_parts_are_covered_from_a_voltage_on(
    rules: str, volts: float, covered: str, status: str
) -> None:
    """NFPA 70, 110.27(A): 50 V; IEC 60364-4-41, 414, and 62485-2: 60 V dc (from memory)."""
    changes = {"rules": rules, "bank.highest_voltage": f"{volts} V", "bank.covered": covered}
    got = finding("live-parts", "bank", {"bank.voltage": "48 V", "bank.lowest_voltage": "44 V", **changes})
    assert (got.status.word, got.signal is Signal.NONE) == (status, status == "meets")


def test_that_a_48_v_bank_equalized_in_the_cold_passes_60_v() -> None:
    """Computed: 24 cells, 2.58 V and 5 mV/K below 25 degC, at -20 degC: 67.3 V."""
    bank = {"bank.voltage": "48 V", "bank.lowest_voltage": "44 V", "bank.highest_voltage": "67.3 V"}
    got = finding("live-parts", "bank", {**bank, "rules": "iec", "bank.covered": "no"})
    assert got.status is Status.FAILS


# Generator

GENERATOR = """
[generators.shed]
power = "3 kW"

[inverters.house]
power = "2 kW"
"""


@pytest.mark.parametrize(
    ("feeds", "status", "signal"),
    [
        ("", "unknown", "DANGER"),
        ("its charger only", "meets", ""),
        ("the inverter's input", "meets", ""),
        ("a transfer switch", "meets", ""),
        ("the panel", "fails", "DANGER"),
    ],
)
def test_that_a_generator_never_meets_the_inverter_on_the_panel(feeds: str, status: str, signal: str) -> None:
    """NFPA 70, 702.5; IEC 60364-5-55, 551.6 (from memory)."""
    got = finding("generator-transfer", "generators.shed", {"generators.shed.feeds": feeds}, GENERATOR)
    assert (got.status.word, got.signal.word) == (status, signal)


# Recharge

LOADED = {
    "bank.block_capacity": "400 Ah",
    "bank.strings": "1",
    "bank.series": "12",
    "bank.depth": "50 %",
    "bank.autonomy": "48 h",
}
LOAD = """
[loads.all]
power = "100 W"
hours = "{hours} h"
"""


def refill(hours: float, changes: dict[str, str] | None = None) -> Finding:
    """How the bank refills with a load of 100 W, sun of 4 h a day, and of 2 h in December."""
    sun = {"site.sun": "; ".join(["4 kWh/m^2"] * 11 + ["2 kWh/m^2"])}
    return finding("recharge-time", "bank", {**LOADED, **sun, **(changes or {})}, LOAD.format(hours=hours))


def test_that_the_array_refills_the_bank_within_twice_the_autonomy() -> None:
    """IEEE 1562 (from memory): 4 x 439.9 W, 10 % lost, 2 h of sun in December, 62 % of it kept: 1.96 kWh;
    4.8 kWh to put back in 4 days leave 0.76 kWh for the loads."""
    harvest = 4 * 41.5 * 10.6 * 0.9 * 2 * 0.62
    at_limit = (harvest - 4800 / 4) / 100
    assert [refill(at_limit + more).status.word for more in (-0.001, 0.0, 0.001)] == [
        "meets",
        "meets",
        "marginal",
    ]
    assert "December" in refill(at_limit).title
    assert "never" in refill(23).title


def test_that_recharge_asks_for_what_it_lacks() -> None:
    got = refill(5, {"bank.autonomy": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, "bank.autonomy")


def test_that_recharge_takes_longer_with_more_load_and_less_sun() -> None:
    given = {"power": 1500.0, "stored": 5000.0}
    base = recharge_time(sun_hours=4, daily_load=1000, **given).time
    assert recharge_time(sun_hours=4, daily_load=1500, **given).time > base
    assert recharge_time(sun_hours=3, daily_load=1000, **given).time > base
