"""``farstead turbine``: its numbers, its file, its exit statuses."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest

from app.__main__ import main
from app.places import demo_sites
from engine import dump, evaluate, load
from engine.edit import set_fields
from engine.sections.harvest import harvest
from tests.a_turbine_log import logged, other_rotor

LAKE = str(demo_sites() / "lake_cabin.toml")


def site(folder: Path, **texts: str) -> str:
    """The lake cabin with fields of its turbine otherwise, as a file."""
    design = set_fields(load(LAKE), {f"wind.mast.{name}": text for name, text in texts.items()})
    dump(design, folder / "site.toml")
    return str(folder / "site.toml")


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    main(["turbine", *words, "--json"])
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_that_the_lake_cabins_turbine_fails_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["turbine", LAKE, "--id", "mast"]) == 0
    text = capsys.readouterr().out
    assert "In a year" in text
    assert "Load curve" in text
    assert "a licensed person decide" in " ".join(text.split())


def test_that_energy_is_kept_in_json_and_units_are_fixed(capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, LAKE)
    for way in ("direct", "tracked"):
        for row in found[way]:
            watts = row["voltage"]["value"] * row["current"]["value"]
            assert row["power"] == {"value": pytest.approx(watts), "unit": "W"}
    assert found["energy_tracked"]["unit"] == "Wh"
    assert found["gain"] == pytest.approx(found["energy_battery"]["value"] / found["energy_direct"]["value"])


def test_that_the_load_curve_file_holds_the_points_that_were_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "curve.csv"
    found = told(capsys, LAKE, "--load-curve", str(file), "--points", "7")
    rows = list(csv.reader(file.read_text("utf-8").splitlines()))
    assert rows[0] == ["voltage [V]", "power [W]", "current [A]", "rotor_speed [rpm]", "wind [m/s]"]
    assert len(rows) == 8
    for row, point in zip(rows[1:], found["load_curve"]["points"], strict=True):
        assert float(row[0]) == pytest.approx(point["voltage"]["value"], abs=0.005)
        assert float(row[1]) == pytest.approx(point["power"]["value"], abs=0.05)
        assert float(row[2]) == pytest.approx(point["current"]["value"], abs=0.005)


def test_that_a_cap_takes_harvest_and_says_how_fast_the_rotor_still_runs(
    capsys: pytest.CaptureFixture[str],
) -> None:
    curve = told(capsys, LAKE, "--cap", "450 rpm")["load_curve"]
    assert curve["fastest"]["value"] <= 450 * 1.005
    assert curve["capped"]["value"] < curve["uncapped"]["value"]


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["--id", "mats"], "--id"),
        (["--points", "1"], "--points"),
        (["--cap", "100 rpm"], "--cap"),
        (["--cap", "fast"], "--cap"),
        (["--load-curve", "/nowhere/at/all.csv"], "/nowhere"),
    ],
)
def test_that_bad_words_are_refused_by_name(
    words: list[str], named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["turbine", LAKE, *words]) == 2
    assert capsys.readouterr().err.startswith(named)


def test_that_a_site_without_a_wind_turbine_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["turbine", str(demo_sites() / "tropical_clinic.toml")]) == 2
    assert "there are: none" in capsys.readouterr().err


def test_that_a_missing_datum_makes_it_unknown_and_no_curve_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "curve.csv"
    assert main(["turbine", site(tmp_path, diameter="")]) == 3
    assert "Rotor diameter" in capsys.readouterr().out
    assert main(["turbine", site(tmp_path, diameter=""), "--load-curve", str(file)]) == 2
    assert not file.exists()


def test_that_a_failing_finding_makes_it_fail(tmp_path: Path) -> None:
    assert main(["turbine", site(tmp_path, brake="none")]) == 1


def test_that_an_entered_curve_is_in_force_unless_a_computed_one_is_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    entered = site(tmp_path, load_points="25 V: 0 W; 40 V: 300 W; 55 V: 1000 W")
    file = tmp_path / "curve.csv"
    curve = told(capsys, entered, "--load-curve", str(file))["load_curve"]
    assert curve["entered"] is True
    rows = list(csv.reader(file.read_text("utf-8").splitlines()))[1:]
    assert [(float(row[0]), float(row[1])) for row in rows] == [(25, 0), (40, 300), (55, 1000)]
    assert told(capsys, entered, "--points", "5")["load_curve"]["entered"] is False


def log_of(folder: Path, width: float) -> str:
    """A log of the lake cabin's turbine with another rotor than the one entered, in its own units."""
    result = evaluate(load(LAKE)).wind["mast"]
    assert result.machine is not None
    log = logged(other_rotor(result.machine, width, 0.95), harvest(result).curve, 2)
    rows = zip(log.wind / 0.44704, log.voltage, log.current, strict=True)
    head = "wind [mph], voltage [V], current [A]\n"
    (folder / "log.csv").write_text(head + "".join(f"{w:.2f}, {v:.2f}, {a:.3f}\n" for w, v, a in rows))
    return str(folder / "log.csv")


def test_that_a_log_refines_the_curve_and_the_points_are_saved(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log, file = log_of(tmp_path, 1.15), tmp_path / "refined.csv"
    found = told(capsys, LAKE, "--id", "mast", "--refine", log, "--load-curve", str(file))
    assert found["helps"] is True
    assert found["year_after"]["value"] > found["year_before"]["value"]
    rows = list(csv.reader(file.read_text("utf-8").splitlines()))[1:]
    for row, point in zip(rows, found["points"], strict=True):
        assert float(row[1]) == pytest.approx(point["after"]["value"], abs=0.06)
    assert main(["turbine", LAKE, "--refine", log]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "by the most that one pass may" in text
    assert "Log again on the new curve" in text


def test_that_a_bad_log_is_refused_with_its_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "log.csv").write_text("wind [m/s], voltage [V], current [A]\n5, 30, x\n6, 30, 1\n")
    assert main(["turbine", LAKE, "--refine", str(tmp_path / "log.csv")]) == 2
    assert "log.csv (line 2)" in capsys.readouterr().err
    (tmp_path / "log.csv").write_text("wind [m/s], voltage [V], current [A]\n5, 30, 1\n6, 30, 1\n")
    assert main(["turbine", LAKE, "--refine", str(tmp_path / "log.csv")]) == 2
    assert "longer log" in capsys.readouterr().err
