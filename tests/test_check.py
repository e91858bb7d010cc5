"""``farstead check``: what it prints, its JSON, and its exit statuses."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from a_wired_site import SECOND_ARRAY, judged, wired

from app.__main__ import main
from app.places import demo_sites
from app.terminal import check
from engine import evaluation, units
from engine.finding import Status
from engine.writer import dumps

CIRCUIT = "id from to current voltage conductor device earthing drop governed_by".split()
FINDING = "rule where status signal title value limit margin remedy source steps count".split()
DEMOS = sorted(path.stem for path in demo_sites().glob("*.toml"))


@pytest.fixture
def saved(tmp_path: Path) -> Any:
    """Saves the wired site with changes; its path as text."""

    def save(changes: dict[str, str] | None = None, more: str = "") -> str:
        path = tmp_path / "hut.toml"
        path.write_text(dumps(wired(changes, more)), encoding="utf-8")
        return str(path)

    return save


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of ``farstead check``."""
    status = main(["check", *arguments])
    out, err = capsys.readouterr()
    return status, out, err


def data(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """The JSON that it prints, which holds neither NaN nor infinity."""
    out = told(capsys, *arguments, "--json")[1]
    parsed: dict[str, Any] = json.loads(out, parse_constant=pytest.fail)
    return parsed


# Exit statuses


@pytest.mark.parametrize("demo", DEMOS)
def test_that_a_sound_demo_ends_with_0(demo: str, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, str(demo_sites() / f"{demo}.toml"))
    assert (status, err) == (0, "")
    assert re.fullmatch(r"0 fails, 0 unknown, \d+ marginal, \d+ meets", out.splitlines()[-1])


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({}, 0),
        ({"controllers.c.operating_limit": "100 V"}, 0),
        ({"site.record_low": ""}, 3),
        ({"devices.run-breaker.supply": "ac"}, 1),
        ({"devices.run-breaker.supply": "ac", "site.record_low": ""}, 1),
    ],
)
def test_that_fails_is_1_and_unknown_without_fails_is_3(
    changes: dict[str, str], status: int, saved: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told(capsys, saved(changes))[0] == status
    assert told(capsys, saved(changes), "--json")[0] == status


def test_that_a_bad_file_tells_every_problem_and_nothing_else(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text('format = 1\nnaem = "x"\n[site]\ndesign_low = "5 V"\n', encoding="utf-8")
    for more in ([], ["--json"]):
        status, out, err = told(capsys, str(path), *more)
        assert (status, out) == (2, "")
        first, second = err.splitlines()
        assert "naem" in first and "name" in first
        assert "design_low" in second and "got" in second and "need" in second


def test_that_a_missing_file_is_2(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, "no-such.toml")
    assert (status, out) == (2, "") and "no-such.toml" in err and len(err.splitlines()) == 1


def test_that_a_fault_of_this_program_is_4(
    saved: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(_: object) -> None:
        raise RuntimeError("nothing")

    monkeypatch.setitem(evaluation.RULES, "nec", (broken,))
    status, out, _ = told(capsys, saved())
    assert status == 4 and "This program failed" in out


# JSON


@pytest.mark.parametrize("demo", DEMOS)
def test_that_the_json_has_the_agreed_keys(demo: str, capsys: pytest.CaptureFixture[str]) -> None:
    verdict = data(capsys, str(demo_sites() / f"{demo}.toml"))
    assert verdict["format"] == 1 and verdict["site"] and verdict["rules"]
    assert verdict["circuits"] and verdict["findings"]
    for circuit in verdict["circuits"]:
        assert set(CIRCUIT) <= circuit.keys()
        assert circuit["current"]["unit"] == "A" and circuit["voltage"]["unit"] == "V"
        assert circuit["device"] is None or circuit["device"]["unit"] == "A"
        assert isinstance(circuit["drop"], float) and isinstance(circuit["conductor"], str)
    for finding in verdict["findings"]:
        assert set(FINDING) <= finding.keys()
        assert finding["status"] in {status.word for status in Status}
        assert all(isinstance(line, str) for step in finding["steps"] for line in step)


def test_that_the_json_says_what_the_engine_found(saved: Any, capsys: pytest.CaptureFixture[str]) -> None:
    changes = {"devices.run-breaker.dc_voltage": "100 V", "site.record_low": ""}
    verdict, evaluation = data(capsys, saved(changes)), judged(changes)
    assert [item["rule"] for item in verdict["findings"]] == [item.rule for item in evaluation.findings]
    assert [item["id"] for item in verdict["circuits"]] == list(evaluation.circuits)
    worst = verdict["findings"][0]
    assert (worst["rule"], worst["status"], worst["signal"]) == ("device-voltage", "fails", "DANGER")
    assert worst["value"] == {"value": evaluation.findings[0].value, "unit": "V"}
    assert worst["limit"] == {"value": 100.0, "unit": "V"}
    run = next(item for item in verdict["circuits"] if item["id"] == "south-run")
    assert run["current"] == {"value": evaluation.circuits["south-run"].current, "unit": "A"}
    assert (run["from"], run["to"]) == ("south-combiner", "c")


def test_that_what_is_absent_is_null(saved: Any, capsys: pytest.CaptureFixture[str]) -> None:
    verdict = data(capsys, saved({"site.design_low": "", "circuits.south-run.length": ""}))
    run = next(item for item in verdict["circuits"] if item["id"] == "south-run")
    assert run["voltage"] is run["drop"] is run["voltage_class"] is None
    assert {"site.design_low", "circuits.south-run.length"} <= {item["path"] for item in run["missing"]}


def test_that_every_value_has_the_unit_of_its_limit(saved: Any, capsys: pytest.CaptureFixture[str]) -> None:
    for finding in data(capsys, saved({}, SECOND_ARRAY))["findings"]:
        value, limit = finding["value"], finding["limit"]
        if isinstance(value, dict) and isinstance(limit, dict):
            assert value["unit"] == limit["unit"]
            units.show(value["value"], value["unit"])


# Text


def test_that_the_text_says_whose_rules_it_followed_and_who_decides(
    saved: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    flat = " ".join(told(capsys, saved({"rules": "nec-2020"}))[1].split())
    assert "Test hut" in flat and "nec-2020" in flat and "2020" in flat
    for who in ("authority having jurisdiction", "local code", "instructions", "licensed person"):
        assert who in flat


def test_that_the_worst_findings_come_first_with_mark_word_and_remedy(
    saved: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    out = told(capsys, saved({"devices.run-breaker.supply": "ac", "site.record_low": ""}))[1]
    marks = [line.split()[:2] for line in out.splitlines() if line[:1] in check.MARKS.values()]
    assert marks[0] == ["▲", "fails"] and marks[1] == ["○", "unknown"] and marks[-1] == ["●", "meets"]
    assert "DANGER" in out and "Enter: Record low" in out


def test_that_the_schedule_lines_up(saved: Any, capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(capsys, saved())[1].splitlines()
    start = next(at for at, line in enumerate(lines) if line.startswith("Circuit "))
    head, *rows = lines[start : start + 4]
    at = head.index("Conductor")
    assert [row.split()[0] for row in rows] == ["south-string", "south-run", "c-battery"]
    assert all(row[at - 1] == " " and row[at] != " " for row in rows)


def test_that_the_site_is_shown_in_its_own_units(saved: Any, capsys: pytest.CaptureFixture[str]) -> None:
    bare = {"circuits.south-run.ambient": "", "site.design_high": "35 degC"}
    assert "35 °C" in told(capsys, saved(bare))[1]
    assert "95 °F" in told(capsys, saved({**bare, "units": "us"}))[1]


def test_that_no_piece_of_a_demo_is_left_unjudged(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Not judged here" not in told(capsys, str(demo_sites() / "lake_cabin.toml"))[1]


def test_that_an_empty_site_is_told_what_comes_next(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "empty.toml"
    path.write_text("format = 1\n", encoding="utf-8")
    status, out, _ = told(capsys, str(path))
    assert status == 3 and "Add the loads" in out
    assert out.splitlines()[-1] == "0 fails, 1 unknown, 0 marginal, 0 meets"
