"""The design file: it opens whole or tells every mistake with its line, and a save disturbs nothing."""

from __future__ import annotations

import dataclasses
import os
import stat
import tomllib
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from engine import codec, edit, writer
from engine.codec import BadFile, load, loads
from engine.design import KEYED, SINGLE, Design
from engine.problems import Problem
from engine.toml_places import Places
from engine.writer import dump, dumps, equal
from tests.a_design import designs

SMALL = """# kept
format = 1
name = "Small" # kept too

[site]
record_low = "-20 degF"

# the only module
[modules.m]
voc = "49.5 V"
vmp = "41.2 V"
imp = "9.7 A"

[arrays.south]
module = "m" # by the barn
strings = 2
"""

LAYOUTS = {
    "plain": SMALL,
    "windows": SMALL.replace("\n", "\r\n"),
    "marked": "\ufeff" + SMALL,
    "no last line end": SMALL.rstrip("\n"),
    "dotted": 'format = 1\nsite.latitude = "3 deg"\nmodules.m.voc = "9 V"\n[arrays]\n  south.module = "m"\n',
    "inline": "format = 1\narrays = { south = { strings = 2 }, north = { modules = 3 } }\n[wind]\na = {}\n",
    "quoted": "format = 1\n[arrays.\"south\"]\n'strings' = 2\n[site]\nsun = [\n"
    + '"1 Wh/m^2", # one\n' * 12
    + "]",
    "strings": (
        'format = 1\nstory = """\na = 1\n[site]\n""\\""""\nname = \'\'\'x = """\'\'\'\n'
        '[bank]\nlabel = "] # {"\n'
    ),
}


def problems(text: str) -> dict[str, Problem]:
    """What is wrong with a text, by where."""
    with pytest.raises(BadFile) as caught:
        loads(text)
    return {problem.where: problem for problem in caught.value.problems}


def one_problem(text: str) -> Problem:
    found = problems(text)
    assert len(found) == 1
    return next(iter(found.values()))


# Reading


def test_that_a_file_reads_into_canonical_values_and_keeps_its_texts() -> None:
    design = loads(SMALL)
    assert design.site.record_low == pytest.approx(-28.8889, abs=5e-5)
    assert design.site.record_low.text == "-20 degF"
    assert (design.arrays[0].id, design.arrays[0].module, design.arrays[0].strings) == ("south", "m", 2)
    assert design.arrays[0].tilt is None


def test_that_every_mistake_is_told_at_once_with_its_line() -> None:
    found = problems(
        'format = 1\nrules = "nec-2032"\n[site]\nlatitude = 48.1\ndesign_low = "-20 V"\n'
        '[arrays.south]\nmodul = "m"\nmodule = "m1"\nstrings = 2.5\nmodules = 900\non_building = 3\n'
        '[modules.m]\nvoc = "40 V"\nvmp = "44 V"\nsystem_voltage = "1000 VAC"\n'
        '[circuits.soth-run]\nsize = "10"\nlength = "0 m"\n'
    )
    assert {where: problem.line for where, problem in found.items()} == {
        "rules": 2,
        "site.latitude": 4,
        "site.design_low": 5,
        "arrays.south.modul": 7,
        "arrays.south.module": 8,
        "arrays.south.strings": 9,
        "arrays.south.modules": 10,
        "arrays.south.on_building": 11,
        "modules.m.vmp": 14,
        "modules.m.system_voltage": 15,
        "circuits.soth-run": 16,
        "circuits.soth-run.size": 17,
        "circuits.soth-run.length": 18,
    }
    assert "nec-2023" in found["rules"].hint
    assert found["site.latitude"].got == "48.1"
    assert "unit" in found["site.latitude"].hint
    assert found["arrays.south.modul"].hint == "did you mean module?"
    assert found["circuits.soth-run"].hint == "did you mean south-run?"
    assert found["circuits.soth-run.length"].need == "0.1 m to 5000 m"


def test_that_a_problem_prints_as_where_got_and_need() -> None:
    problem = one_problem('format = 1\n[generators.g]\npower = "5 A"\n')
    assert str(problem) == 'generators.g.power (line 3): got "5 A" (a current), need a power such as 300 W'


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("format = 1\nname = x\n", 2),
        ("format = 1\n[site\n", 2),
        ('format = 1\n\nstory = """abc\n', 4),
        ('format = 1\nname = "a"\nname = "b"\n', 3),
        ("format = 1\nsun = 1,5\n", 2),
    ],
)
def test_that_a_syntax_error_names_its_line(text: str, line: int) -> None:
    assert one_problem(text).line == line


def test_that_a_newer_file_is_refused_as_newer() -> None:
    assert one_problem("format = 2\nstrange = 1\n").hint == "written by a newer Farstead: format 2"


@pytest.mark.parametrize("version", ["true", '"1"', "1.0", "0", "-1", "1979-05-27"])
def test_that_a_format_that_is_no_whole_number_is_refused(version: str) -> None:
    assert one_problem(f"format = {version}\n").where == "format"


def test_that_foreign_toml_is_told_apart_from_a_file_without_its_format() -> None:
    assert "some other file" in one_problem('[project]\nversion = "1"\n').hint
    assert one_problem('[site]\nlatitude = "1 deg"\n').where == "format"
    assert "empty" in one_problem("# nothing\n").hint


@pytest.mark.parametrize(
    "text",
    ["format = 1\na = " + "[" * 5000, "format = 1\na = " + "9" * 5000, "a = {" * 3000],
    ids=["deep", "long number", "deep tables"],
)
def test_that_absurd_texts_are_refused_and_not_crashed_on(text: str) -> None:
    one_problem(text)


def test_that_ids_may_not_repeat_among_the_pieces_of_the_line() -> None:
    found = one_problem("format = 1\n[arrays.south]\nstrings = 1\n[controllers.South]\nstandby = '1 W'\n")
    assert (found.where, found.line) == ("controllers.South", 4)
    assert loads("format = 1\n[modules.a]\n[arrays.a]\n").arrays[0].id == "a"


@pytest.mark.parametrize("id", ["a b", "sö", "", "a.b", "x" * 41])
def test_that_a_malformed_id_is_refused(id: str) -> None:
    assert "letters" in one_problem(f'format = 1\n[arrays."{id}"]\n').need


@pytest.mark.parametrize(
    ("table", "raw"),
    [
        ("site", "3"),
        ("arrays", "[1]"),
        ("arrays", "{ south = 3 }"),
        ("site", '{ latitude = ["1 deg"] }'),
        ("site", "{ latitude = 1979-05-27 }"),
        ("site", "{ weather_file = 3 }"),
        ("site", '{ sun = ["1 Wh/m^2"] }'),
        ("site", "{ sun = 3 }"),
        ("wind", '{ a = { power_points = [["3 m/s", "1 W"], ["2 m/s", "2 W"]] } }'),
        ("wind", '{ a = { power_points = [["3 m/s", "1 W", "x"]] } }'),
        ("wind", '{ a = { power_points = [["3 m/s", "1 W"]] } }'),
        ("arrays", "{ a = { on_building = 1 } }"),
        ("arrays", '{ a = { modules = "two" } }'),
        ("arrays", "{ a = { modules = true } }"),
        ("arrays", "{ a = { mounting = 3 } }"),
        ("arrays", "{ a = { losses = nan } }"),
        ("arrays", "{ a = { losses = 12 } }"),
        ("loads", "{ a = { surge_factor = inf } }"),
        ("modules", "{ a = { beta_voc = -0.28 } }"),
        ("modules", '{ a = { beta_voc = "0.28 %/K" } }'),
        ("wires", "{ a = { price = -1 } }"),
    ],
)
def test_that_a_value_of_the_wrong_kind_is_refused_at_its_place(table: str, raw: str) -> None:
    found = one_problem(f"format = 1\n{table} = {raw}\n")
    assert found.where.split(".")[0] == table
    assert found.line == 2


def test_that_plain_numbers_need_no_quotes() -> None:
    design = loads("format = 1\n[loads.a]\nsurge_factor = 3.50\nnumber = 4\ndays_a_week = 5\n")
    assert (design.loads[0].surge_factor.text, design.loads[0].number) == ("3.50", 4)


def test_that_files_that_are_no_text_file_are_refused(tmp_path: Path) -> None:
    huge, latin, gone = tmp_path / "huge", tmp_path / "latin", tmp_path / "gone"
    huge.write_bytes(b"#" * 2_000_001)
    latin.write_bytes(b"format = 1\nname = '\xe9t\xe9'\n")
    for path, word in ((huge, "2 MB"), (latin, "UTF-8"), (gone, "no such file"), (tmp_path, "folder")):
        with pytest.raises(BadFile) as caught:
            load(path)
        assert word in str(caught.value)
    assert codec.BadFile is BadFile
    with pytest.raises(BadFile, match="null"):
        load("a\0b")


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a device file")
def test_that_an_endless_file_is_refused() -> None:
    with pytest.raises(BadFile, match="device"):
        load("/dev/zero")


@given(st.text(st.sampled_from("format = 1[]{}\"'.,#\n\\abc-_2"), max_size=80))
@example("format = 1\n[[arrays]]\n")
def test_that_any_text_opens_or_is_refused_with_reasons(text: str) -> None:
    try:
        loads(text)
    except BadFile as error:
        assert error.problems
        assert all(problem.need for problem in error.problems)


# Places


@pytest.mark.parametrize("layout", LAYOUTS)
def test_that_places_hold_exactly_the_values_that_the_parser_reads(layout: str) -> None:
    text = LAYOUTS[layout].removeprefix("\ufeff").replace("\r\n", "\n")
    data = tomllib.loads(text)
    places = Places(text)
    assert places.all
    for place in places.all:
        value = data
        for key in place.keys:
            value = value[key]
        if not place.header:
            assert tomllib.loads(f"v = {text[place.value : place.value_end]}")["v"] == value
        assert text[place.start : place.end].strip()


def test_that_lines_are_found_for_keys_tables_and_what_is_in_them() -> None:
    places = Places(SMALL)
    lines = SMALL.split("\n")
    assert lines[places.line(("modules", "m", "vmp")) - 1].startswith("vmp")
    assert lines[places.line(("modules", "m")) - 1] == "[modules.m]"
    assert lines[places.line(("modules", "m", "nothing")) - 1] == "[modules.m]"
    assert places.line(("nothing",)) is None


# Saving


@pytest.mark.parametrize("layout", LAYOUTS)
def test_that_an_unchanged_design_saves_byte_for_byte(layout: str, tmp_path: Path) -> None:
    before = LAYOUTS[layout].encode("utf-8")
    (tmp_path / "a.toml").write_bytes(before)
    dump(load(tmp_path / "a.toml"), tmp_path / "b.toml")
    assert (tmp_path / "b.toml").read_bytes() == before


@given(designs())
def test_that_what_is_written_reads_back_with_every_text(design: Design) -> None:
    text = dumps(design)
    back = loads(text)
    assert equal(back, design)
    assert dumps(back) == text


@settings(max_examples=30)
@given(designs(), designs())
def test_that_no_change_needs_the_file_to_be_written_anew(first: Design, second: Design) -> None:
    text = dumps(first)
    assert equal(loads(writer._changed(text, loads(text), second)), second)


@settings(max_examples=30)
@given(st.sampled_from(sorted(LAYOUTS)), designs())
def test_that_any_design_can_follow_a_file_of_any_layout(layout: str, design: Design) -> None:
    text = dumps(dataclasses.replace(design, origin=LAYOUTS[layout]))
    assert equal(loads(text), design)
    assert ("\r\n" in text) == (layout == "windows")


def test_that_one_edit_changes_one_line() -> None:
    text = dumps(edit.set_field(loads(SMALL), "arrays.south.module", ""))
    assert text == SMALL.replace('module = "m" # by the barn\n', "")
    text = dumps(edit.set_field(loads(SMALL), "arrays.south.strings", "3"))
    assert text == SMALL.replace("strings = 2", "strings = 3")
    text = dumps(edit.set_field(loads(SMALL), "modules.m.isc", "10.4 A"))
    assert text == SMALL.replace('voc = "49.5 V"\n', 'voc = "49.5 V"\nisc = "10.4 A"\n')
    text = dumps(edit.set_field(loads(SMALL), "site.latitude", "4 deg"))
    assert text == SMALL.replace("[site]\n", '[site]\nlatitude = "4 deg"\n')


def test_that_a_new_record_stands_behind_its_fellows_and_an_old_one_goes_with_its_comments() -> None:
    design, _ = edit.add(loads(SMALL), "modules", "Second")
    assert dumps(design) == SMALL.replace(
        'imp = "9.7 A"\n', 'imp = "9.7 A"\n\n[modules.second]\nlabel = "Second"\n'
    )
    gone = dumps(edit.remove(loads(SMALL), "modules.m"))
    assert gone == SMALL[: SMALL.index("# the only")] + "[arrays.south]\nstrings = 2\n"


def test_that_comments_survive_edits_in_every_layout() -> None:
    design = edit.set_field(loads(LAYOUTS["windows"]), "modules.m.vmp", "40 V")
    for comment in ("# kept\r\n", "# kept too\r\n", "# the only module\r\n", "# by the barn\r\n"):
        assert comment in dumps(design)


def test_that_retyping_a_value_in_another_unit_is_a_change() -> None:
    design = edit.set_field(loads("format = 1\n[site]\nelevation = '100 m'\n"), "site.elevation", "0.1 km")
    assert 'elevation = "0.1 km"' in dumps(design)


def test_that_a_save_keeps_permissions_and_leaves_nothing_beside(tmp_path: Path) -> None:
    path = tmp_path / "site.toml"
    path.write_text(SMALL)
    path.chmod(0o640)
    saved = dump(edit.set_field(load(path), "name", "Other"), path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640 or os.name == "nt"
    assert [item.name for item in tmp_path.iterdir()] == ["site.toml"]
    assert saved.origin == path.read_text()
    assert load(path) == saved


def test_that_a_save_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "site.toml"
    path.write_text(SMALL)

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="space"):
        dump(edit.set_field(load(path), "name", "Other"), path)
    assert path.read_text() == SMALL
    assert [item.name for item in tmp_path.iterdir()] == ["site.toml"]


def test_that_every_table_of_a_design_has_a_class_of_its_own() -> None:
    names = {item.name for item in dataclasses.fields(Design)}
    assert names == {"about", "origin", *SINGLE, *KEYED}
