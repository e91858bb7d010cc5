"""The balance of the months at the command line: JSON that adds up, and text with every loss."""

from __future__ import annotations

import json
from math import prod

import pytest

from app.__main__ import main
from app.places import demo_sites
from engine.sections.source_yield import MONTHS

CABIN = str(demo_sites() / "lake_cabin.toml")


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    main(["check", *arguments])
    return capsys.readouterr().out


def test_that_the_json_of_each_month_adds_up(capsys: pytest.CaptureFixture[str]) -> None:
    balance = json.loads(told(capsys, CABIN, "--json"))["balance"]
    assert [month["month"] for month in balance["months"]] == MONTHS
    assert balance["missing"] == []
    for month in balance["months"]:
        for source in month["sources"]:
            share = prod(link["share"] for link in source["links"])
            assert source["bank"]["value"] == pytest.approx(share * source["given"]["value"])
        brought = sum(source["bank"]["value"] for source in month["sources"])
        assert month["surplus"]["value"] == pytest.approx(brought - month["demand"]["value"])
        assert {month[name]["unit"] for name in ("demand", "surplus")} == {"Wh"}
        assert month["generator_hours"]["unit"] == "h"
    ratios = [1 + m["surplus"]["value"] / m["demand"]["value"] for m in balance["months"]]
    assert balance["worst_month"] == MONTHS[ratios.index(min(ratios))]


def test_that_the_text_has_every_month_and_names_every_loss(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(told(capsys, CABIN).split())
    assert "By month, the mean day at the battery:" in text
    for word in (
        *MONTHS,
        "the worst",
        "dirt and mismatch",
        "snow",
        "heat",
        "wiring",
        "controller",
        "charging",
    ):
        assert word in text
    assert "counts at the battery." in text
