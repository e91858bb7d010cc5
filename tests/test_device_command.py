"""``farstead device``: the breaker in hand, an order list and one typed circuit, in text and JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from a_wired_site import wired

from app.__main__ import main
from engine.writer import dumps

GOOD = ("volts=150 V=", "amps=40 A", "breaking=10 kA", "poles=2", "polarity=none")
TYPED = ("isc=14.2 A", "strings=3", "voltage=187 V", "length=40 m", "ambient=58 degC", "place=attic")
WHOLE = (*TYPED, "running=150 V", "series_fuse=25 A", "back_feed=0 A")


@pytest.fixture
def site(tmp_path: Path) -> str:
    """The wired site in a file."""
    path = tmp_path / "hut.toml"
    path.write_text(dumps(wired()), encoding="utf-8")
    return str(path)


@pytest.fixture
def listed(tmp_path: Path) -> Any:
    """Saves an order list; its path as text."""

    def save(text: str) -> str:
        path = tmp_path / "order.csv"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return save


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of ``farstead device``."""
    status = main(["device", *arguments])
    out, err = capsys.readouterr()
    return status, out, err


def data(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """The JSON that it prints, which holds neither NaN nor infinity."""
    out = told(capsys, *arguments, "--json")[1]
    parsed: dict[str, Any] = json.loads(out, parse_constant=pytest.fail)
    return parsed


@pytest.mark.parametrize(
    ("texts", "status", "word"),
    [
        (GOOD, 0, "fit"),
        (("volts=300 V", "amps=40 A", "kind=dc", "breaking=10 kA", "poles=2", "polarity=none"), 0, "fit"),
        (("volts=400 V ~", "amps=C40", "poles=2"), 1, "unfit"),
        (("volts=150 V=", "amps=20 A"), 1, "unfit"),
        (GOOD[:-1], 3, "unknown"),
        (("volts=150 V", *GOOD[1:]), 3, "unknown"),
    ],
)
def test_that_the_named_circuit_decides_the_exit(
    texts: tuple[str, ...], status: int, word: str, site: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told(capsys, site, *texts, "--circuit", "south-run")[0] == status
    verdict = data(capsys, site, *texts, "--circuit", "south-run")
    assert (verdict["verdict"], verdict["circuit"]) == (word, "south-run")
    (only,) = verdict["verdicts"]
    assert (only["circuit"], only["verdict"]) == ("south-run", word)


def test_that_without_a_circuit_all_stand_in_a_table_and_one_fit_is_enough(
    site: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = told(capsys, site, *GOOD)
    assert (status, err) == (0, "")
    rows = {line.split()[0]: line for line in out.splitlines() if line.startswith(("south-", "c-"))}
    assert "● fit" in rows["south-run"] and "▲ unfit" in rows["c-battery"]
    assert "40 A against 35 A" in rows["south-run"] and "690.9(B)" in rows["south-run"]
    assert told(capsys, site, "volts=400 V ~", "amps=40 A")[0] == 1


def test_that_the_json_tells_the_number_the_clause_and_the_reasons(
    site: str, capsys: pytest.CaptureFixture[str]
) -> None:
    verdict = data(capsys, site, "volts=100 V=", *GOOD[1:], "--circuit", "south-run")
    assert (verdict["format"], verdict["site"], verdict["rules"]) == (1, "Test hut", "nec-2023")
    assert verdict["printed"]["dc_voltage"] == {"value": 100.0, "unit": "V"}
    (only,) = verdict["verdicts"]
    assert only["limit"] == {"value": 100.0, "unit": "V"}
    assert (
        only["value"]["value"] == pytest.approx(2 * 49.5 * (1 + 0.0027 * 47)) and only["value"]["unit"] == "V"
    )
    assert only["rule"] == "device-voltage" and "690.9(C)" in only["clause"]
    assert only["reasons"][0]["status"] == "fails"


def test_that_every_reason_of_the_named_circuit_is_told(
    site: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out = told(capsys, site, "volts=100 V=", *GOOD[1:], "--circuit", "south-run")[1]
    for rule in ("device-voltage", "device-current", "device-polarity", "device-breaking", "device-supply"):
        assert rule in out
    assert "Decided by: 111.6 V against 100 V" in out and "DANGER" in out


@pytest.mark.parametrize(
    ("arguments", "told_of"),
    [
        ((), "no circuit"),
        (("SITE",), 'volts="250 V="'),
        (("SITE", *GOOD, "--circuit", "south-rn"), "did you mean south-run?"),
        (("SITE", "volts=lots"), "volts"),
        (("SITE", "volts=400 V ~", "kind=dc"), "kind"),
        (("SITE", "amsp=4 A"), "did you mean amps?"),
        (("SITE", "isc=4 A"), "typed circuit"),
        (("SITE", "amps=4 A", "amps=5 A"), "second value"),
        (("SITE", "amps="), "nothing"),
        (("SITE", "other", "amps=4 A"), "one site file"),
        (("no-such.toml", "amps=4 A"), "no-such.toml"),
        (("isc=4 A",), "voltage"),
        ((*TYPED, "--circuit", "output"), "run or string"),
        ((*TYPED, "--list", "x.csv"), "site"),
        (("isc=4 A", "voltage=30 V", "--circuit", "string", *GOOD), "more than one string"),
        (("SITE", *GOOD, "--list", "x.csv"), "either a list or one device"),
    ],
)
def test_that_bad_input_ends_with_2_and_says_what_is_needed(
    arguments: tuple[str, ...], told_of: str, site: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = told(capsys, *(site if item == "SITE" else item for item in arguments))
    assert (status, out) == (2, "")
    assert told_of in err and "got" in err and "need" in err and "Traceback" not in err


# An order list

HEAD = "label,volts,amps,breaking,poles,polarity,circuit\n"
LINE_GOOD = "Array breaker,150 V=,40 A,10 kA,2,none,south-run\n"
LINE_AC = "House breaker,400 V ~,40 A,10 kA,2,,south-run\n"
LINE_BARE = "Old breaker,150 V=,40 A,,2,none,south-run\n"
LINE_ANYWHERE = "Spare,150 V=,40 A,10 kA,2,none,\n"


@pytest.mark.parametrize(
    ("lines", "status"),
    [
        (LINE_GOOD + LINE_ANYWHERE, 0),
        (LINE_GOOD + LINE_BARE, 3),
        (LINE_GOOD + LINE_BARE + LINE_AC, 1),
    ],
)
def test_that_the_worst_line_of_a_list_decides(
    lines: str, status: int, site: str, listed: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told(capsys, site, "--list", listed(HEAD + lines))[0] == status
    rows = data(capsys, site, "--list", listed(HEAD + lines))["lines"]
    assert [row["line"] for row in rows] == list(range(2, 2 + lines.count("\n")))
    assert rows[0]["verdict"] == "fit"


def test_that_a_bad_line_is_told_and_the_good_ones_are_judged_all_the_same(
    site: str, listed: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = told(capsys, site, "--list", listed(HEAD + "X,much,40 A,,,,\n" + LINE_GOOD))
    assert status == 2 and "volts (line 2)" in err and "line 3, Array breaker, in south-run" in out


def test_that_a_list_without_a_device_is_bad_input(
    site: str, listed: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told(capsys, site, "--list", listed(HEAD))[0] == 2
    assert told(capsys, site, "--list", "no-such.csv")[0] == 2


# One typed circuit


def test_that_a_typed_circuit_has_wire_device_and_class(capsys: pytest.CaptureFixture[str]) -> None:
    """By hand in test_in_hand_typed.py."""
    answer = data(capsys, *WHOLE, "allowed_drop=5 %")
    assert answer["site"] is None and answer["conductor"] == "4 AWG"
    assert answer["device"] == {"value": 70.0, "unit": "A"}
    assert answer["voltage_class"] == {"value": 250.0, "unit": "V"}
    assert {step["worksheet"] for step in answer["worked"]} >= {"device-rating", "wire-for-circuit"}
    status, out, err = told(capsys, *WHOLE, "allowed_drop=5 %")
    assert (status, err) == (0, "")
    assert "4 AWG" in out and "70 A" in out and "250 V" in out and "source:" in out


def test_that_a_typed_circuit_with_gaps_ends_with_3_and_asks(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = told(capsys, *TYPED)
    assert status == 3 and "Type also, to have the rest: running=, back_feed=, series_fuse=" in out


@pytest.mark.parametrize(
    ("texts", "circuit", "status"),
    [
        (("volts=250 V=", "amps=70 A", *GOOD[2:]), "run", 0),
        (("volts=250 V=", "amps=70 A", *GOOD[2:]), "string", 1),
        (("volts=250 V ~", "amps=70 A", *GOOD[2:]), "run", 1),
        (("volts=125 V=", "amps=70 A", *GOOD[2:]), "run", 1),
        (("volts=250 V=", "amps=70 A", "breaking=10 kA", "poles=2"), "run", 3),
        (("volts=1000 V", "class=gPV", "amps=25 A", "breaking=20 kA"), "string", 0),
    ],
)
def test_that_a_device_is_judged_on_the_typed_circuit(
    texts: tuple[str, ...], circuit: str, status: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told(capsys, *WHOLE, "allowed_drop=5 %", *texts, "--circuit", circuit)[0] == status
    if circuit == "run":
        assert told(capsys, *WHOLE, "allowed_drop=5 %", *texts)[0] == status
