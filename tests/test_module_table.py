"""The open module table: found, filtered and put into a design without what it does not hold."""

from __future__ import annotations

import json

import pytest

from app.__main__ import main
from engine import module_table
from engine.design import Module
from engine.edit import add, empty, set_fields
from engine.module_table import DATA_FROM, Row, find, texts


def as_module(row: Row, id: str) -> Module:
    """The row as a record of a design, filled in as the window does."""
    design, _ = add(empty(), "modules", id=id)
    return set_fields(design, {f"modules.{id}.{name}": text for name, text in texts(row).items()}).modules[0]


def test_that_every_word_must_be_in_a_row() -> None:
    mono, both = find(["mono"]), find(["MONO", "72"])
    assert 0 < len(both) < len(mono)
    assert set(both) <= set(mono)
    assert all("mono" in row.technology.lower() or "mono" in row.name.lower() for row in mono)
    assert find(["no such module at all"]) == ()
    assert find(["mono"], 3) == mono[:3]


def test_that_rows_agree_with_pvlibs_own_reading_of_the_table() -> None:
    pvsystem = pytest.importorskip("pvlib.pvsystem")
    table = pvsystem.retrieve_sam("CECMod")
    rows = find([])
    assert len(rows) == table.shape[1]
    for at in (0, 1000, len(rows) - 1):
        theirs, ours = table.iloc[:, at], rows[at]
        assert (ours.voc, ours.isc) == (theirs["V_oc_ref"], theirs["I_sc_ref"])
        assert (ours.vmp, ours.imp) == (theirs["V_mp_ref"], theirs["I_mp_ref"])
        assert (ours.beta_voc, ours.alpha_isc) == (theirs["beta_oc"], theirs["alpha_sc"])
        assert (ours.gamma_pmp, ours.cells) == (theirs["gamma_r"], theirs["N_s"])


def test_that_a_row_becomes_a_module_whose_fuse_and_system_voltage_stay_unknown() -> None:
    row = find(["mono-c-si"])[0]
    module = as_module(row, "m1")
    assert (module.id, module.label, module.voc) == ("m1", row.name, row.voc)
    assert module.beta_voc.relative(row.voc) == pytest.approx(row.beta_voc / row.voc)
    assert module.gamma_pmp.relative(1) == pytest.approx(row.gamma_pmp / 100)
    assert module.silicon is True
    assert module.series_fuse is None
    assert module.system_voltage is None
    assert module.data_from == DATA_FROM
    assert set(texts(row)) <= set(module.specs())


def test_that_thin_film_is_not_taken_for_silicon() -> None:
    assert as_module(find(["cdte"])[0], "m").silicon is False


def test_that_nearly_every_row_makes_a_sound_module() -> None:
    rows = find([])[::50]
    refused = 0
    for row in rows:
        try:
            as_module(row, "m")
        except ValueError:
            refused += 1
    assert refused <= len(rows) / 100


def test_that_the_command_prints_aligned_rows(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["modules", "cigs"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split()[:3] == ["module", "technology", "power"]
    assert len({len(line) for line in lines[: lines.index("")]}) == 1
    assert "maker's sheet decides" in lines[-1]


def test_that_the_command_speaks_json_with_units(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["modules", "cigs", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["count"] == len(data["modules"]) == len(find(["cigs"]))
    first = data["modules"][0]
    assert first["voc"] == {"value": find(["cigs"])[0].voc, "unit": "V"}
    assert first["gamma_pmp"]["unit"] == "1/K"
    assert -0.01 < first["gamma_pmp"]["value"] < 0


@pytest.mark.parametrize("words", [[], [" "], ["no such module at all"]])
def test_that_no_words_or_no_match_is_bad_input(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    try:
        status = main(["modules", *words])
    except SystemExit as stop:
        status = int(str(stop.code))
    assert status == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert "modules" in streams.err


def test_that_a_missing_table_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module_table, "find_spec", lambda name: None)
    with pytest.raises(ValueError, match="no such table"):
        module_table._file()
