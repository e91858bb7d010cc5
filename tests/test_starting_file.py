"""The starting file opens as it is, and each of its examples would be taken."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from app.__main__ import main
from engine import starting_file
from engine.codec import load, loads
from engine.design import FAMILIES, KEYED, SINGLE, Design
from engine.sizes import parse_size


@pytest.mark.parametrize("rules", FAMILIES)
def test_that_it_opens_with_nothing_entered_but_its_head(rules: str) -> None:
    design = loads(starting_file.text(rules))
    assert design.rules == rules
    assert Design(about=design.about) == design


@pytest.mark.parametrize("rules", FAMILIES)
def test_that_every_example_is_taken_once_its_mark_is_away(rules: str) -> None:
    text = re.sub(r"(?m)^#(?! [^ ])", "", starting_file.text(rules))
    design = loads(text)
    assert all(getattr(design, table) for table in KEYED)
    assert all(getattr(design, table) != kind() for table, kind in SINGLE.items())
    assert design.circuits[0].size == parse_size("25 mm2" if rules == "iec" else "4 AWG")


def test_that_every_example_stands_beside_its_fields_title() -> None:
    table = ""
    for line in starting_file.text().splitlines():
        assert len(line) <= 120
        if header := re.match(r"#?\[([a-z]+)", line):
            table = header[1]
        elif field := re.match(r"#([a-z_]+) = ", line):
            assert f"# {(SINGLE.get(table) or KEYED[table]).specs()[field[1]].title}" in line


def test_that_the_command_writes_it_and_never_overwrites(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "site.toml"
    assert main(["new", str(path), "--rules", "iec"]) == 0
    assert load(path).rules == "iec"
    before = path.read_bytes()
    assert main(["new", str(path)]) == 2
    assert path.read_bytes() == before
    assert "nothing is overwritten" in capsys.readouterr().err


def test_that_a_place_that_can_not_be_written_is_bad_input(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", str(tmp_path / "no" / "site.toml")]) == 2
    assert main(["new", str(tmp_path)]) == 2
    assert main(["new", "a\0b"]) == 2
    assert "Traceback" not in capsys.readouterr().err
    with pytest.raises(SystemExit) as stop:
        main(["new", str(tmp_path / "x.toml"), "--rules", "nec-1999"])
    assert stop.value.code == 2
