"""Refining a load curve: logs of a known rotor bring it nearer to its ideal, and never past its bounds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from app.places import demo_sites
from engine import evaluate, load, turbine_log
from engine.physics.load_curve import LoadCurve, followed, load_curve
from engine.physics.load_curve_refine import LEAST, STEP, Refined, refine
from engine.physics.wind import weibull_energy
from engine.physics.wind_turbine import Machine
from engine.problems import Problems
from engine.sections.harvest import harvest
from engine.sections.refine import propose
from engine.turbine_log import TurbineLog
from engine.worksheet import CannotCalculate
from tests.a_turbine import TURBINE
from tests.a_turbine_log import logged, other_rotor

BATTERY, TOP = 24.0, 11.5
WINDS = np.arange(0, 30, 0.1)


def year(true: Machine, curve: LoadCurve) -> float:
    return float(weibull_energy(followed(true, WINDS, curve).power, WINDS, 5.3, 2))


def once(curve: LoadCurve, log: TurbineLog, cap: float | None = None) -> Refined:
    return refine(TURBINE, BATTERY, TOP, curve, (log.wind, log.voltage, log.current, log.rotor_speed), cap)


@pytest.mark.parametrize(
    ("width", "height", "reads", "keeps"),
    [(0.85, 0.95, 1.0, 0.35), (1.15, 0.9, 1.0, 0.65), (0.85, 0.95, 1.1, 0.45)],
    ids=["slower rotor", "faster rotor", "anemometer 10 % high"],
)
def test_that_four_passes_bring_the_loss_down(
    width: float, height: float, reads: float, keeps: float
) -> None:
    true = other_rotor(TURBINE, width, height)
    best = year(true, load_curve(true, BATTERY, TOP))
    curve = load_curve(TURBINE, BATTERY, TOP)
    losses = [1 - year(true, curve) / best]
    for seed in range(4):
        curve = once(curve, logged(true, curve, seed, reads=reads)).curve
        losses.append(1 - year(true, curve) / best)
    assert losses == sorted(losses, reverse=True)
    assert losses[-1] < keeps * losses[0]


def test_that_the_true_rotor_is_found() -> None:
    true = other_rotor(TURBINE, 0.85, 0.95)
    curve = load_curve(TURBINE, BATTERY, TOP)
    found = once(curve, logged(true, curve, 3))
    assert found.width == pytest.approx(0.85, rel=0.03)
    assert found.height == pytest.approx(0.95, rel=0.03)
    assert found.rotor.best[0] == pytest.approx(true.rotor.best[0], rel=0.03)


def test_that_a_curve_which_is_right_already_stays_within_one_per_cent() -> None:
    curve = load_curve(TURBINE, BATTERY, TOP)
    best = year(TURBINE, curve)
    for seed in range(3):
        curve = once(curve, logged(TURBINE, curve, seed)).curve
    assert year(TURBINE, curve) > 0.995 * best


def test_that_a_pass_moves_no_point_by_more_than_its_step_and_keeps_the_order() -> None:
    true = other_rotor(TURBINE, 1.2, 0.9)
    curve = load_curve(TURBINE, BATTERY, TOP)
    found = once(curve, logged(true, curve, 1))
    assert found.moves
    assert np.all(np.abs(found.after - found.before) <= STEP * found.before * (1 + 1e-9))
    assert np.all(np.diff(found.after) >= 0)
    assert found.after[-1] >= found.before[-1]


def test_that_a_point_with_few_rows_near_it_stays() -> None:
    true = other_rotor(TURBINE, 1.15, 0.9)
    curve = load_curve(TURBINE, BATTERY, TOP)
    found = once(curve, logged(true, curve, 0))
    for at, rows in enumerate(found.rows):
        if rows < LEAST:
            assert found.why[at] == "few"
            assert found.after[at] == found.before[at]
    assert "few" in found.why


def test_that_a_shorter_log_is_less_sure() -> None:
    true = other_rotor(TURBINE, 0.9, 1.0)
    curve = load_curve(TURBINE, BATTERY, TOP)
    long, short = (once(curve, logged(true, curve, 5, rows)) for rows in (12000, 1200))
    assert np.median(short.error[1:]) > np.median(long.error[1:])


def test_that_a_cap_holds_on_the_true_rotor_pass_after_pass() -> None:
    true = other_rotor(TURBINE, 1.15, 1.0)
    curve = load_curve(TURBINE, BATTERY, TOP, cap=450.0)
    for seed in range(4):
        found = once(curve, logged(true, curve, seed), 450.0)
        curve = found.curve
        assert float(followed(true, WINDS, curve).rotor_speed.max()) <= 450.0


def test_that_logged_rotor_speed_is_taken_before_that_from_the_volts() -> None:
    true = other_rotor(TURBINE, 0.85, 0.95)
    curve = load_curve(TURBINE, BATTERY, TOP)
    log = logged(true, curve, 3)
    emf = log.voltage + TURBINE.drop + TURBINE.resistance * log.current
    same = TurbineLog(log.wind, log.voltage, log.current, emf / TURBINE.volts_per_speed)
    assert once(curve, same).width == pytest.approx(once(curve, log).width)
    faster = TurbineLog(log.wind, log.voltage, log.current, 1.1 * emf / TURBINE.volts_per_speed)
    assert once(curve, faster).width > once(curve, log).width


def test_that_a_log_too_short_or_of_another_turbine_is_refused() -> None:
    curve = load_curve(TURBINE, BATTERY, TOP)
    log = logged(TURBINE, curve, 1, rows=60)
    with pytest.raises(CannotCalculate, match="longer log"):
        once(curve, log)
    strange = logged(TURBINE, curve, 1)
    with pytest.raises(CannotCalculate, match="unlike"):
        once(curve, TurbineLog(strange.wind / 3, strange.voltage, strange.current))


def test_that_the_lake_cabins_turbine_is_refined_from_a_log_and_gains() -> None:
    result = evaluate(load(demo_sites() / "lake_cabin.toml")).wind["mast"]
    assert result.machine is not None
    true = other_rotor(result.machine, 1.15, 0.95)
    found = propose(result, logged(true, harvest(result).curve, 2))
    assert found.helps
    assert found.before is not None
    assert found.after is not None
    assert found.after > found.before


# The reader

HEAD = "time, wind [mph], voltage [V], current [A]\n"


def test_that_a_log_is_read_in_its_own_units() -> None:
    log = turbine_log.parse(HEAD + "08:00, 10, 30, 5\n08:01, 20, 35, 9\n", "log.csv")
    assert log.wind == pytest.approx([10 * 0.44704, 20 * 0.44704])
    assert list(log.current) == [5, 9]
    assert log.rotor_speed is None
    comma = turbine_log.parse("wind [m/s];voltage [V];current [A]\n4,5;30;5\n5,5;31;6\n", "log.csv")
    assert list(comma.wind) == [4.5, 5.5]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("", 1, "no column wind, voltage, current"),
        ("wind [m/s], voltage [V]\n1, 2\n", 1, "no column current"),
        ("wind, voltage [V], current [A]\n", 1, "its unit"),
        ("wind [V], voltage [V], current [A]\n", 1, "wind in a unit such as m/s"),
        (HEAD + "x, 3, 30, 1\nx, 4, , 1\n", 3, "voltage from 0 to 5000 V"),
        (HEAD + "x, 3, 30, 1\nx, 4, 30\n", 3, "3 columns"),
        (HEAD + "x, 3, 30, 1\nx, -4, 30, 1\n", 3, "wind from 0"),
        (HEAD + "x, 3, 30, 1\nx, nan, 30, 1\n", 3, "wind from 0"),
        (HEAD + "x, 3, 30, 1e9\n", 2, "current from 0"),
        (HEAD + "x, 3, 30, 1\n", None, "1 rows"),
    ],
)
def test_that_a_bad_log_is_refused_with_its_line(text: str, line: int | None, says: str) -> None:
    with pytest.raises(Problems) as caught:
        turbine_log.parse(text, "log.csv")
    assert caught.value.problems[0].line == line
    assert says in str(caught.value)


def test_that_a_file_that_is_not_there_is_a_problem(tmp_path: Path) -> None:
    with pytest.raises(Problems, match="no such file"):
        turbine_log.read(tmp_path / "none.csv")
    (tmp_path / "bytes.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(Problems, match="not UTF-8"):
        turbine_log.read(tmp_path / "bytes.csv")
