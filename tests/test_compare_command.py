"""``farstead compare``: text, JSON and exit status."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app.__main__ import main
from app.places import demo_sites

CABIN = str(demo_sites() / "lake_cabin.toml")


@pytest.fixture
def longer(tmp_path: Path) -> str:
    """The cabin with strings that are too long for their controller."""
    text = Path(CABIN).read_text("utf-8")
    assert text.count("\nmodules = 2") == 1
    file = tmp_path / "longer.toml"
    file.write_text(text.replace("\nmodules = 2", "\nmodules = 4"), "utf-8")
    return str(file)


def data_of(capsys: pytest.CaptureFixture[str], *sites: str) -> dict[str, Any]:
    main(["compare", *sites, "--json"])
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_that_a_site_against_itself_says_that_nothing_differs(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", CABIN, CABIN]) == 0
    assert "No field, verdict, size or total differs." in capsys.readouterr().out
    data = data_of(capsys, CABIN, CABIN)
    assert data["same"] and not any(data[part] for part in ("fields", "findings", "circuits", "totals"))


def test_that_the_graver_of_both_gives_the_exit_status(longer: str) -> None:
    assert main(["compare", CABIN, longer]) == main(["compare", longer, CABIN]) == 1


def test_that_the_text_names_field_verdict_size_and_total(
    longer: str, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["compare", CABIN, longer])
    told = " ".join(capsys.readouterr().out.split())
    for part in (
        "Modules in a string: 2 → 4",
        "standoff limit: meets → fails",
        "voltage class: 125 V → 250 V",
        "arrays, at standard conditions: 2.4 kW → 4.8 kW",
        "not an approval",
    ):
        assert part in told


def test_that_the_json_mirrors_itself_the_other_way_round(
    longer: str, capsys: pytest.CaptureFixture[str]
) -> None:
    here, there = data_of(capsys, CABIN, longer), data_of(capsys, longer, CABIN)
    assert here["format"] == 1 and not here["same"]
    for part in ("fields", "findings", "circuits", "totals"):
        assert here[part]
        for one, two in zip(here[part], there[part], strict=True):
            assert (one["this"], one["that"]) == (two["that"], two["this"])
    power = next(item for item in here["totals"] if item["name"] == "arrays, at standard conditions")
    assert power["that"]["unit"] == "W"
    assert power["that"]["value"] == pytest.approx(2 * power["this"]["value"])


def test_that_every_bad_file_is_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\n[site]\nlatitude = 3\n")
    assert main(["compare", str(bad), str(tmp_path / "none.toml")]) == 2
    told = capsys.readouterr()
    assert told.out == "" and "site.latitude" in told.err and "none.toml" in told.err
