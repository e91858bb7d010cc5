"""``farstead settings``: its lines, its JSON, its roundings and its exit statuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app.__main__ import main
from app.places import demo_sites
from engine import dump, load
from engine.edit import set_fields
from engine.sections.setting import down, up

LAKE = demo_sites() / "lake_cabin.toml"
DEMOS = sorted(path.stem for path in demo_sites().glob("*.toml"))


def site(folder: Path, name: str = "lake_cabin", **changes: str) -> str:
    """A demo with fields otherwise, as a file; ``__`` stands for a dot."""
    texts = {path.replace("__", "."): text for path, text in changes.items()}
    dump(set_fields(load(demo_sites() / f"{name}.toml"), texts), folder / "site.toml")
    return str(folder / "site.toml")


def rows(capsys: pytest.CaptureFixture[str], path: str) -> list[dict[str, Any]]:
    main(["settings", path, "--json"])
    found = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert found["format"] == 1 and found["site"] and found["rules"]
    return list(found["settings"])


def value(of: list[dict[str, Any]], piece: str, name: str) -> Any:
    (found,) = [row["value"] for row in of if (row["piece"], row["name"]) == (piece, name)]
    return found


@pytest.mark.parametrize("demo", DEMOS)
def test_that_a_sound_demo_has_a_whole_sheet_and_ends_with_0(
    demo: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["settings", str(demo_sites() / f"{demo}.toml")]) == 0
    out = capsys.readouterr().out
    assert "not known" not in out
    assert out.index("Absorption") < out.index("DANGER: A battery")
    assert "a licensed person decide" in " ".join(out.split())
    assert all(len(line) <= 100 for line in out.splitlines())


def test_that_volts_are_those_of_the_bank_rounded_down_to_a_tenth(capsys: pytest.CaptureFixture[str]) -> None:
    of = rows(capsys, str(LAKE))
    piece = "controllers.sun-charger"
    assert value(of, piece, "Absorption") == {"value": 29.2, "unit": "V"}  # 12 * 2.44 = 29.28
    assert value(of, piece, "Equalize") == {"value": 30.9, "unit": "V"}  # 12 * 2.58 = 30.96
    assert value(of, piece, "Highest set point") == {"value": 31.8, "unit": "V"}  # 12 * 2.65
    slope = value(of, piece, "Temperature compensation, the bank")
    assert slope == {"value": pytest.approx(-0.060), "unit": "V/K"}
    assert value(of, piece, "Equalize every") == {"value": 60, "unit": "day"}


def test_that_a_cut_out_is_rounded_up_and_a_set_point_down() -> None:
    assert (down(29.28), up(22.21), down(31.8), up(22.2)) == (29.2, 22.3, 31.8, 22.2)
    assert (down(64.97, 1.0), down(65.0, 1.0)) == (64.0, 65.0)


def test_that_all_chargers_together_stay_within_the_bank_and_no_turbine_is_throttled(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    of = rows(capsys, site(tmp_path, bank__charge_current="165 A"))
    paths = ("controllers.sun-charger", "controllers.wind-charger", "generators.shed")
    amps = {path: value(of, path, "Current limit")["value"] for path in paths}
    assert amps == {paths[0]: 65, paths[1]: 60, paths[2]: 39}  # 105 A left for 100 A and 60 A


def test_that_a_charger_set_by_itself_keeps_its_own_volts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    changed = set_fields(load(LAKE), {"controllers.sun-charger.absorption": "28.8 V"})
    dump(changed, tmp_path / "own.toml")
    of = rows(capsys, str(tmp_path / "own.toml"))
    assert value(of, "controllers.sun-charger", "Absorption") == {"value": 28.8, "unit": "V"}
    assert value(of, "controllers.wind-charger", "Absorption") == {"value": 29.2, "unit": "V"}


@pytest.mark.parametrize("demo", ["mountain_farm", "tropical_clinic"])
def test_that_sealed_and_lithium_banks_are_told_not_to_equalize(
    demo: str, capsys: pytest.CaptureFixture[str]
) -> None:
    of = rows(capsys, str(demo_sites() / f"{demo}.toml"))
    assert {row["value"] for row in of if row["name"] == "Equalize"} == {"off"}


def test_that_a_default_says_where_it_is_from(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    of = rows(capsys, site(tmp_path, bank__absorption=""))
    (row,) = [
        each for each in of if (each["piece"], each["name"]) == ("controllers.sun-charger", "Absorption")
    ]
    assert row["value"] == {"value": 28.8, "unit": "V"}  # 12 * 2.40
    assert "FSEC-CR-1292" in row["source"] and "maker" in row["source"]


def test_that_what_is_not_known_is_said_and_ends_with_3(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = site(tmp_path, bank__chemistry="")
    assert main(["settings", path]) == 3
    out = capsys.readouterr().out
    assert "not known: enter Chemistry." in " ".join(out.split()) and "Set nothing by this sheet yet" in out
    assert value(rows(capsys, path), "controllers.sun-charger", "Battery type") is None


def test_that_a_design_that_fails_ends_with_1_and_says_so_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["settings", site(tmp_path, bank__highest_voltage="30 V")]) == 1
    assert "Set nothing by this sheet yet" in capsys.readouterr().out


def test_that_an_empty_site_says_what_to_do_next(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "new.toml").write_text('format = 1\nname = "New"\n', encoding="utf-8")
    main(["settings", str(tmp_path / "new.toml")])
    assert "Add a source with its charge controller" in capsys.readouterr().out


def test_that_a_missing_file_is_2_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["settings", "nowhere.toml"]) == 2
    out, err = capsys.readouterr()
    assert not out and len(err.splitlines()) == 1
