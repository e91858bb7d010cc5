"""The checklist for the day of commissioning, and what the check command shows of it and of the editions."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from a_wired_site import wired

from app import checklist
from app.__main__ import main
from app.places import demo_sites
from engine import dump, load
from engine.sources import HOWS

FIELD = {
    "rules": "nec-2023",
    "arrays.south.on_building": "no",
    "arrays.south.enters": "no building",
    "arrays.south.arc_fault": "no",
    "circuits.south-string.metal": "yes",
    "circuits.south-run.metal": "yes",
}


def test_that_every_line_says_when_about_what_and_who_says_so() -> None:
    about = {"sun", "wind", "hydro", "battery", "ac", "generator", "devices", "circuits"}
    for line in checklist.lines():
        assert line.when in checklist.STAGES
        assert line.about and set(line.about) <= about
        assert line.text.endswith(".") and line.source.title
        assert line.source.how in HOWS


def test_that_the_lines_stand_in_the_order_of_the_day() -> None:
    stages = [list(checklist.STAGES).index(line.when) for line in checklist.lines()]
    assert stages == sorted(stages)


def test_that_only_lines_about_what_the_design_has_are_shown() -> None:
    sun = {line.id for line in checklist.lines_for(wired())}
    assert "string-voltages" in sun and "connectors" in sun
    assert not sun & {"turbine-held", "labels-turbine", "transfer-tried", "residual-test"}
    farm = {line.id for line in checklist.lines_for(load(demo_sites() / "mountain_farm.toml"))}
    assert {"turbine-held", "transfer-tried", "residual-test", "gas-acid"} <= farm


def test_that_labels_discharge_and_torque_are_on_the_list() -> None:
    texts = " ".join(line.text for line in checklist.lines())
    for word in ("Labels", "torque", "zero current", "clamp meter", "spark", "brake", "bonded"):
        assert word in texts


@pytest.fixture
def field(tmp_path: Path) -> Path:
    path = tmp_path / "field.toml"
    dump(wired(FIELD), path)
    return path


def test_that_check_shows_where_the_editions_differ(field: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(field)])
    text = " ".join(capsys.readouterr().out.split())
    told = text.partition("Editions of this code answer differently:")[2]
    assert "Arc-fault protection of arrays away from buildings (arrays.south)" in told
    assert "nec-2017 ▲ fails" in told and "nec-2023 ● meets" in told
    assert text.endswith("meets")


def test_that_check_gives_editions_and_checklist_as_json(
    field: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["check", str(field), "--json"])
    data = json.loads(capsys.readouterr().out)
    (arc,) = [each for each in data["editions"] if each["rule"] == "arc-fault"]
    assert arc["where"] == "arrays.south" and arc["strictest"] == ["nec-2017", "nec-2020"]
    answers = {each["rules"]: each for each in arc["answers"]}
    assert {name: each["status"] for name, each in answers.items()} == {
        "nec-2017": "fails",
        "nec-2020": "fails",
        "nec-2023": "meets",
    }
    assert "690.11" in answers["nec-2017"]["source"] and answers["nec-2023"]["says"]
    assert {"id", "when", "text", "source"} == set(data["checklist"][0])


def test_that_a_code_with_one_edition_shows_no_difference(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(demo_sites() / "tropical_clinic.toml")])
    out = capsys.readouterr().out
    assert "Editions" not in out
    assert "Before any power, on the place:" in out
