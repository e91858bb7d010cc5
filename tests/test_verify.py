"""Published cases run through the worksheets: the shipped ones, and files that a person writes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.__main__ import main
from engine.physics.worksheets import BY_ID
from engine.problems import Problems
from engine.verify import Row, read, shipped, verify

# "PV System Components, Voltage, and Current Calculations", open electrical-training curriculum on the 2023
# code, worked example 1: 49.5 V, -0.27 %/K, -10 degC, 11 modules.
COLD = """
[[case]]
id = "cold"
worksheet = "pv-cold-voltage"
inputs = {voc = "49.5 V", beta_voc = "-0.27 %/K", temperature = "-10 degC", modules = 11}
expected = {EXPECTED}
within = {WITHIN}
source = {title = "a training lesson"}
how = "read"
"""


def case(expected: str = 'module_voltage = "54.18 V"', within: str = 'module_voltage = "0.005 V"') -> str:
    return COLD.replace("EXPECTED", expected).replace("WITHIN", within)


def rows(text: str) -> tuple[Row, ...]:
    return verify(read(text, "mine.toml"))


def faults(text: str) -> list[str]:
    with pytest.raises(Problems) as caught:
        read(text, "mine.toml")
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("row", verify(shipped()), ids=lambda row: f"{row.id}:{row.output}")
def test_that_a_shipped_case_is_within(row: Row) -> None:
    assert row.ok, f"expected {row.expected}, got {row.got} {row.reason}"


def test_that_shipped_cases_have_ids_of_their_own_and_a_source() -> None:
    cases = shipped()
    assert len(cases) >= 70
    assert len({one.id for one in cases}) == len(cases)
    for one in cases:
        assert one.source.title and one.source.how, one.id


def test_that_a_value_on_the_edge_of_its_tolerance_is_within_and_beyond_it_missed() -> None:
    # 49.5 V (1 + 0.0027 * 35) = 54.17775 V exactly.
    for expected, ok in (("54.17875 V", True), ("54.17675 V", True), ("54.1788 V", False)):
        (row,) = rows(case(f'module_voltage = "{expected}"', 'module_voltage = "1 mV"'))
        assert row.ok is ok, expected


def test_that_an_output_without_a_tolerance_must_be_equal() -> None:
    assert [row.ok for row in rows(case('module_voltage = "54.17775 V"', ""))] == [True]
    assert [row.ok for row in rows(case('module_voltage = "54.1778 V"', ""))] == [False]


def test_that_a_tolerance_of_a_temperature_is_a_difference() -> None:
    text = """
[[case]]
id = "cell"
worksheet = "pv-cell-temperature"
inputs = {ambient = "86 degF", irradiance = "1 kW/m^2", noct = "45 degC"}
expected = {temperature = "143 degF"}
within = {temperature = "WITHIN"}
source = "a sheet of paper"
how = "computed"
"""
    # 30 degC + 1000 * 25 / 800 K = 61.25 degC = 142.25 degF.
    assert rows(text.replace("WITHIN", "0.42 K"))[0].ok
    assert rows(text.replace("WITHIN", "0.75 degF"))[0].ok
    assert not rows(text.replace("WITHIN", "0.74 degF"))[0].ok


@pytest.mark.parametrize(
    ("worksheet", "inputs", "expected"),
    [
        ("cycle-count", "history = [-2, 1, -3, 5, -1, 3, -4, 4, -2]", "ranges = [3, 4, 6, 8, 9]"),
        ("device-limit", 'size = "2 AWG", insulation = "75 degC"', 'rating = "125 A"'),
        ("device-limit", 'size = "2 AWG", insulation = "75 degC"', 'ceiling = "none"'),
        (
            "wire-for-drop",
            'current = "18 A", length = "190 ft", voltage = "120 V", allowed = "3 %"',
            'size = "6 AWG"',
        ),
        ("pv-string-fuse", 'isc = "10 A", module_fuse = "15 A", strings = 2', "required = false"),
    ],
)
def test_that_lists_sizes_words_and_nothing_are_compared(worksheet: str, inputs: str, expected: str) -> None:
    text = f"""
[[case]]
id = "one"
worksheet = "{worksheet}"
inputs = {{{inputs}}}
expected = {{{expected}}}
source = {{title = "ASTM E1049; NFPA 70, 240.4(D), 240.6(A); Ohm's law"}}
how = "from memory"
"""
    assert [row.ok for row in rows(text)] == [True]
    for wrong in ("[3, 4, 6, 8]", '"1 A"', '"8 AWG"', "true", '"nothing"'):
        name = expected.partition(" = ")[0]
        other = text.replace(f"{{{expected}}}", f"{{{name} = {wrong}}}")
        assert [row.ok for row in rows(other)] == [False], wrong


@pytest.mark.parametrize("share", ["0.4", '"40 %"', '"0.4"'])
def test_that_a_share_may_be_written_as_a_fraction_or_in_percent(share: str) -> None:
    text = f"""
[[case]]
id = "drop"
worksheet = "voltage-drop"
inputs = {{resistance = "1 ohm/m", length = "2 m", current = "1 A", voltage = "10 V"}}
expected = {{fraction = {share}}}
within = {{fraction = 0.001}}
source = "Ohm's law"
how = "computed"
"""
    assert rows(text)[0].ok  # 2 * 2 m * 1 A * 1 ohm/m = 4 V of 10 V


def test_that_an_element_of_a_list_has_the_tolerance_of_the_list() -> None:
    text = """
[[case]]
id = "cycles"
worksheet = "cycle-count"
inputs = {history = [-2, 1, -3, 5, -1, 3, -4, 4, -2]}
expected = {ranges = [3.05, 4, 6, 8, 8.95], counts = [0.5, 1.5, 0.5, 1, 0.5]}
within = {ranges = WITHIN}
source = {title = "ASTM E1049-85, 5.4.4"}
how = "read"
"""
    for within, ok in (("0.06", True), ("0.04", False), ("[0.06, 0, 0, 0, 0.06]", True), ("[0.1]", False)):
        got = {row.output: row.ok for row in rows(text.replace("WITHIN", within))}
        assert got == {"ranges": ok, "counts": True}, within


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("pv-cold-voltage", "pv-warm-voltage", "no worksheet pv-warm-voltage"),
        ("beta_voc", "beta", "beta"),
        ("modules = 11", "modules = 0", "modules"),
        ("module_voltage =", "modul_voltage =", "no output modul_voltage"),
        ('"49.5 V"', '"49.5 A"', "voc"),
        ('"0.005 V"', '"0.005 A"', "0.005 A"),
        ('"0.005 V"', '"-1 V"', "0 or more"),
        ('"54.18 V"', "54.18", "54.18"),
    ],
)
def test_that_what_no_worksheet_knows_is_a_miss_that_says_why(before: str, after: str, told: str) -> None:
    (row,) = rows(case().replace(before, after))
    assert not row.ok and told in row.reason
    assert "\n" not in row.reason


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("", "mine.toml: got no case"),
        ("case = 3", "mine.toml: got case"),
        (case() + "\n[other]\nx = 1", "mine.toml: got case, other"),
        ("case = [3]", "mine.toml: case 1: got 3"),
        ("[[case]\n", "mine.toml: got"),
        ("case = " + "[" * 5000, "mine.toml: got"),
        (case().replace('id = "cold"', "id = 7"), "mine.toml: case 1.id: got 7"),
        (case().replace('how = "read"', ""), "mine.toml: case 1 (cold).how"),
        (case().replace('how = "read"', 'how = "read"\nseen = 3'), "mine.toml: case 1 (cold).seen"),
        (case().replace("source = {", "inputs2 = {}\nsource2 = {"), "mine.toml: case 1 (cold).inputs2"),
        (case().replace('{title = "a training lesson"}', "{}"), "mine.toml: case 1 (cold).source"),
        (case(""), "mine.toml: case 1 (cold).expected: got nothing"),
        (case("module_voltage = nan"), "mine.toml: case 1 (cold).expected.module_voltage: got nan"),
        (case(within="module_voltage = inf"), "mine.toml: case 1 (cold).within.module_voltage: got inf"),
        (case().replace("modules = 11", "modules = 2020-01-01"), "mine.toml: case 1 (cold).inputs.modules"),
        (case(within="").replace("within = {}", "within = 3"), "mine.toml: case 1 (cold).within: got 3"),
    ],
)
def test_that_a_malformed_file_is_refused_with_the_place(text: str, where: str) -> None:
    assert any(fault.startswith(where) for fault in faults(text)), faults(text)


def test_that_every_fault_of_a_file_is_told_at_once() -> None:
    text = case().replace('how = "read"', "") + case().replace('id = "cold"', "id = 7")
    assert len(faults(text)) == 2


# The command


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    status = main(["verify", *argv])
    told = capsys.readouterr()
    return status, told.out, told.err


def test_that_the_shipped_cases_are_all_within_and_counted(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys)
    count = len(shipped())
    assert (status, err) == (0, "")
    assert out.splitlines()[-1] == f"{count} of {count} cases within"


def test_that_json_holds_a_row_for_each_output(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "--json")
    got = json.loads(out)["cases"]
    assert status == 0
    assert [set(row) for row in got] == [
        {"id", "worksheet", "output", "expected", "got", "within", "ok"}
    ] * len(got)
    assert [(row["id"], row["output"]) for row in got] == [
        (one.id, output) for one in shipped() for output in one.expected
    ]
    for row in got:
        unit = BY_ID[row["worksheet"]].output(row["output"]).unit
        assert isinstance(row["got"], dict) is (
            unit not in ("", "1", "%") and not isinstance(row["got"], list)
        )


def test_that_a_miss_is_status_1_and_counted_by_case(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(
        case() + case('module_voltage = "50 V", voltage = "596 V"') + case().replace("cold-", "x-")
    )
    status, out, err = run(capsys, str(file))
    assert (status, err) == (1, "")
    assert out.splitlines()[-1] == "1 of 3 cases within"
    assert sum(line.startswith("MISSED") for line in out.splitlines()) == 3
    status, out, _ = run(capsys, str(file), "--json")
    assert status == 1
    assert [row["ok"] for row in json.loads(out)["cases"]] == [True, False, False, False]
    assert json.loads(out)["cases"][-1]["got"] is None


def test_that_bad_input_is_status_2_and_told_a_line_each_on_standard_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(case().replace('how = "read"', "") + case().replace('id = "cold"', "id = 7"))
    status, out, err = run(capsys, str(file))
    assert (status, out) == (2, "")
    assert len(err.splitlines()) == 2
    assert all(": got " in line and ", need " in line for line in err.splitlines())
    for path in (str(tmp_path / "none.toml"), str(tmp_path)):
        status, out, err = run(capsys, path)
        assert (status, out) == (2, "") and path in err
    file.write_bytes(b"\xff\xfe\x00")
    assert run(capsys, str(file))[0] == 2
