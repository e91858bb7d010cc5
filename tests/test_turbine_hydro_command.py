"""``farstead turbine`` for a hydro turbine: its water, its curve, its months, its exit statuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from a_hydro_site import hydro_site

from app.__main__ import main
from app.places import demo_sites
from engine import dump

FARM = str(demo_sites() / "mountain_farm.toml")


def site(folder: Path, **texts: str) -> str:
    """The brook with fields of its turbine otherwise, as a file."""
    dump(hydro_site(texts), folder / "site.toml")
    return str(folder / "site.toml")


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    main(["turbine", *words, "--json"])
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_that_the_mountain_farms_turbine_fails_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["turbine", FARM, "--id", "creek"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    for words in ("Hazen and Williams", "Tracking gives", "Without load it runs at", "In a year", "decide"):
        assert words in text


def test_that_the_heads_and_the_year_add_up(capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, FARM)
    lost = found["pipe_loss"]["value"] + found["fitting_loss"]["value"]
    assert found["gross_head"]["value"] - lost == pytest.approx(found["net_head"]["value"])
    assert sum(month["energy"]["value"] for month in found["months"]) == pytest.approx(found["year"]["value"])
    assert found["gain"] == pytest.approx(found["year"]["value"] / found["year_direct"]["value"])
    for row in found["curve"]:
        watts = row["voltage"]["value"] * row["current"]["value"]
        assert row["power"] == {"value": pytest.approx(watts), "unit": "W"}
        assert row["power"]["value"] <= found["tracked_power"]["value"] * (1 + 1e-9)


@pytest.mark.parametrize(
    ("texts", "status"),
    [({}, 0), ({"largest_speed": "2000 rpm"}, 1), ({"largest_speed": ""}, 3), ({"efficiency": ""}, 3)],
)
def test_that_the_exit_status_is_that_of_its_findings(
    tmp_path: Path, texts: dict[str, str], status: int, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = {"circuits.brook-run.surge": "both ends", "circuits.brook-run.surge_voltage": "400 V"}
    complete = {"bank.system_earthing": "negative", "circuits.brook-run.wet": "yes"} | whole
    assert main(["turbine", site(tmp_path, **complete, **texts)]) == status
    if "efficiency" in texts:
        assert "Enter: Wheel and drive efficiency" in " ".join(capsys.readouterr().out.split())


def test_that_a_hydro_turbine_has_no_load_curve(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "curve.csv"
    assert main(["turbine", FARM, "--load-curve", str(file)]) == 2
    error = capsys.readouterr().err
    assert "--load-curve" in error and "best held at" in error
    assert not file.exists()


def test_that_an_unknown_id_is_refused_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["turbine", FARM, "--id", "crek"]) == 2
    assert "creek" in capsys.readouterr().err
