"""``farstead work`` and the statuses of the command line: what is printed where, and how it ends."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from app.__main__ import main
from engine.physics.worksheets import WORKSHEETS

HERE = Path(__file__).resolve().parent.parent
# "PV System Components, Voltage, and Current Calculations", open electrical-training curriculum on the 2023
# code, worked example 1.
COLD = ("pv-cold-voltage", "voc=49.5 V", "beta_voc=-0.27 %/K", "temperature=-10 degC", "modules=11")


def told(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of ``farstead work``."""
    status = main(["work", *argv])
    out, err = capsys.readouterr()
    return status, out, err


def data(capsys: pytest.CaptureFixture[str], *argv: str) -> Any:
    status, out, err = told(capsys, *argv, "--json")
    assert (status, err) == (0, "")
    return json.loads(out, parse_constant=pytest.fail)


# The list and the description


def test_that_the_list_has_every_worksheet_under_its_subject(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys)
    assert (status, err) == (0, "")
    listed = [line.split()[0] for line in out.splitlines() if line.startswith("  ")]
    subjects = [line for line in out.splitlines() if line and not line.startswith(" ")]
    assert listed == [sheet.id for sheet in WORKSHEETS]
    assert subjects == list(dict.fromkeys(sheet.subject for sheet in WORKSHEETS))


def test_that_the_list_as_json_names_id_subject_and_title(capsys: pytest.CaptureFixture[str]) -> None:
    listed = data(capsys)
    assert [row["worksheet"] for row in listed] == [sheet.id for sheet in WORKSHEETS]
    assert {key for row in listed for key in row} == {"worksheet", "subject", "title"}


@pytest.mark.parametrize("sheet", WORKSHEETS, ids=lambda sheet: sheet.id)
def test_that_a_description_tells_inputs_outputs_ranges_and_source(
    sheet: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = told(capsys, sheet.id, "--about")
    assert (status, err) == (0, "")
    assert out.splitlines()[0] == f"{sheet.id}: {sheet.title}"
    assert out.splitlines()[-1] == f"source: {sheet.source}"
    for item in sheet.inputs:
        assert f"  {item.name} " in out and item.title in out and item.example in out
    for item in sheet.outputs:
        assert f"  {item.name} " in out
    for line in sheet.expression:
        assert line in out
    about = data(capsys, sheet.id, "--about")
    assert [item["name"] for item in about["inputs"]] == [item.name for item in sheet.inputs]
    assert [item["name"] for item in about["outputs"]] == [item.name for item in sheet.outputs]


def test_that_a_description_says_which_inputs_stand_for_each_other(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "give one of size, resistance" in told(capsys, "voltage-drop", "--about")[1]


# A run


def test_that_a_run_prints_the_worked_step(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, *COLD)
    assert (status, err) == (0, "")
    assert "  = 54.18 V" in out.splitlines()
    assert "°F" not in out
    assert "14 °F (-10 °C)" in told(capsys, *COLD, "--units", "us")[1]


def test_that_json_has_the_five_promised_keys_with_unrounded_values(
    capsys: pytest.CaptureFixture[str],
) -> None:
    got = data(capsys, *COLD)
    assert list(got) == ["worksheet", "inputs", "outputs", "steps", "source"]
    assert got["outputs"]["module_voltage"]["unit"] == "V"
    assert got["outputs"]["module_voltage"]["value"] == pytest.approx(49.5 * (1 + 0.0027 * 35), rel=1e-14)
    assert got["outputs"]["factor"] == pytest.approx(1.0945, rel=1e-14)
    assert got["inputs"]["voc"] == {"value": 49.5, "unit": "V"}
    assert got["inputs"]["modules"] == 11
    assert all(isinstance(line, str) for line in got["steps"])


def test_that_sizes_words_and_nothing_have_their_forms_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    # NFPA 70, Table 310.16 and 240.4(D): 10 AWG copper, 40 A at 90 degC, has no more than a 30 A device.
    got = data(capsys, "device-limit", "size=10 AWG", "insulation=90 degC")["outputs"]
    assert got["rating"] == {"value": 30.0, "unit": "A"}
    got = data(capsys, "device-limit", "size=2 AWG", "insulation=75 degC")["outputs"]
    assert got["rating"] == {"value": 125.0, "unit": "A"} and got["ceiling"] is None
    got = data(capsys, "wire-for-drop", "current=18 A", "length=190 ft", "voltage=120 V", "allowed=3 %")
    assert got["outputs"]["size"] == "6 AWG"
    got = data(capsys, "cycle-count", "history=[-2, 1, -3, 5, -1, 3, -4, 4, -2]")
    assert got["outputs"]["ranges"] == [3, 4, 6, 8, 9]


def test_that_lists_are_toml_arrays(capsys: pytest.CaptureFixture[str]) -> None:
    run = ("wire-saving", "current=10 A", "length=500 ft", "voltage=350 V", "prices=[620, 950]")
    assert told(capsys, *run, 'sizes=["12 AWG", "10 AWG"]')[0] == 0
    status, out, err = told(capsys, *run, "sizes=12 AWG, 10 AWG")
    assert (status, out) == (2, "")
    assert err.startswith("wire-saving.sizes: got ")


# Bad input


@pytest.mark.parametrize(
    ("argv", "where"),
    [
        (("pv-cold",), 'work: got "pv-cold", need the id of a worksheet (did you mean pv-cold-voltage?)'),
        (("zzz",), 'work: got "zzz", need the id of a worksheet (farstead work lists them)'),
        ((COLD[0], "voc"), 'pv-cold-voltage: got "voc", need name=value'),
        ((*COLD, "voc=50 V"), "pv-cold-voltage.voc: got a second value, need one value"),
        ((*COLD, "temp=-10 degC"), "pv-cold-voltage.temp: got an unknown input, need one of voc"),
        ((*COLD[:2], "beta_voc=-0.27", *COLD[3:]), 'pv-cold-voltage.beta_voc: got "-0.27", need '),
        ((COLD[0], "voc=49.5 A", *COLD[2:]), 'pv-cold-voltage.voc: got "49.5 A"'),
        ((*COLD[:3], "temperature=-300 degC"), 'pv-cold-voltage.temperature: got "-300 degC"'),
        ((*COLD[:4], "modules=0"), 'pv-cold-voltage.modules: got "0", need 1 or more'),
        (("voltage-drop", "length=1 m", "current=1 A", "voltage=9 V"), "voltage-drop.size: got nothing"),
        (
            ("wire-ampacity", "size=9 AWG", "insulation=90 degC"),
            'wire-ampacity: nec_310_16: got "9 AWG", need one of 14 AWG ... ',
        ),
        (
            ("wire-ampacity", "size=10 AWG", "insulation=90 degC", "ambient=86 degC"),
            'wire-ampacity: nec_ambient_correction_30C: got "86", need ',
        ),
        (
            ("device-voltage-class", "voltage=1600 V"),
            'device-voltage-class: dc_voltage_classes: got "1600"',
        ),
        (
            ("wire-ampacity", "size=10 AWG", "insulation=90 degC", "rules=nec-1999"),
            "wire-ampacity.rules: got",
        ),
    ],
)
def test_that_bad_input_is_status_2_and_one_line_on_standard_error(
    argv: tuple[str, ...], where: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = told(capsys, *argv)
    assert (status, out) == (2, "")
    assert len(err.splitlines()) == 1
    assert err.startswith(where), err


def test_that_every_problem_has_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, "pv-cold-voltage", "voc=49.5 A", "modules=1.5", "colour=red")
    assert (status, out) == (2, "")
    wheres = [line.partition(":")[0] for line in err.splitlines()]
    names = ("beta_voc", "colour", "modules", "temperature", "voc")
    assert sorted(wheres) == [f"pv-cold-voltage.{name}" for name in names]
    assert all(": got " in line and ", need " in line for line in err.splitlines())


def test_that_bad_input_is_told_the_same_with_json(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, "pv-cold-voltage", "--json")
    assert (status, out) == (2, "") and len(err.splitlines()) == 3


def test_that_bad_usage_is_status_2_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["work", *COLD, "--units", "imperial"])
    assert caught.value.code == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_that_numbers_beyond_calculation_are_refused_without_a_traceback(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status, out, err = told(
        capsys, "battery-fault-current", "voltage=1e300 V", "resistance=1e-300 ohm", "series=1", "strings=1"
    )
    assert (status, out) == (2, "")
    assert err.startswith("battery-fault-current: got inputs too large or too small")


def test_that_a_fault_of_this_program_is_status_4_without_a_traceback(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise KeyError("broken")

    monkeypatch.setattr("app.terminal.work.run_worksheet", fail)
    status, out, err = told(capsys, *COLD)
    assert (status, out) == (4, "")
    assert len(err.splitlines()) == 1 and "this program failed" in err and "Traceback" not in err


def test_that_the_module_runs_from_a_shell_with_the_statuses_of_the_contract() -> None:
    environment = {**os.environ, "PYTHONPATH": str(HERE), "PYTHONIOENCODING": "ascii"}
    for argv, status in ((COLD, 0), (COLD[:2], 2)):
        done = subprocess.run(
            [sys.executable, "-m", "app", "work", *argv], capture_output=True, text=True, env=environment
        )
        assert done.returncode == status
        assert bool(done.stdout) is (status == 0) and bool(done.stderr) is (status != 0)
