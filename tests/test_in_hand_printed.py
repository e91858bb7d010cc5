"""What is printed on a device, as people type it, and order lists of such devices."""

from __future__ import annotations

import pytest

from engine.in_hand import facts, read, read_list
from engine.problems import Problems


def printed(**texts: str) -> tuple[object, ...]:
    """Supply, dc voltage and ac voltage as they are read."""
    device = read({"volts": texts.pop("volts"), **texts})
    return device.supply, device.dc_voltage, device.ac_voltage


def problem(key: str, **texts: str) -> str:
    """The one problem that these texts have, told about that key."""
    with pytest.raises(Problems) as caught:
        read({name.replace("class_", "class"): text for name, text in texts.items()})
    (found,) = caught.value.problems
    assert found.where == key
    return str(found)


@pytest.mark.parametrize(
    "volts",
    [
        "400 V ~",
        "400V~",
        "~ 400 V",
        "400 VAC",
        "400 V AC",
        "400 V a.c.",
        "400 V ~ 50 Hz",
        "AC 400 V",
        "0.4 kV ~",
    ],
)
def test_that_a_wave_or_the_letters_ac_mean_ac(volts: str) -> None:
    assert printed(volts=volts) == ("ac", None, 400)


@pytest.mark.parametrize("volts", ["250 V=", "250 VDC", "250 V DC", "= 250 V", "250 V ⎓", "250 V d.c."])
def test_that_two_lines_or_the_letters_dc_mean_dc(volts: str) -> None:
    assert printed(volts=volts) == ("dc", 250, None)


def test_that_each_of_two_voltages_keeps_its_kind() -> None:
    assert printed(volts="240 V ~ / 125 V =") == ("ac and dc", 125, 240)
    assert printed(volts="125 VDC, 240 VAC") == ("ac and dc", 125, 240)
    assert printed(volts="250 V AC/DC") == ("ac and dc", 250, 250)


def test_that_a_slash_rating_counts_by_its_lower_number() -> None:
    """UL 489 and IEC 60947-2: the higher holds only between lines that stand no more than the lower from
    earth (from memory)."""
    assert printed(volts="120/240 V ~") == ("ac", None, 120)


def test_that_a_bare_voltage_takes_its_kind_from_the_word() -> None:
    assert printed(volts="250 V", kind="dc") == ("dc", 250, None)
    assert printed(volts="250 V", kind="ac breaker") == ("ac", None, 250)


def test_that_a_bare_voltage_alone_is_not_marked_for_dc() -> None:
    assert printed(volts="250 V")[0] is None


def test_that_one_bare_voltage_for_both_kinds_is_not_taken_for_the_dc_one() -> None:
    assert printed(volts="250 V", kind="both") == ("ac and dc", None, None)
    assert printed(volts="400 V ~", kind="both") == ("ac and dc", None, 400)


def test_that_a_kind_against_the_mark_is_refused() -> None:
    assert '"400 V ~" is marked for ac' in problem("kind", volts="400 V ~", kind="dc")
    assert "marked for dc" in problem("kind", volts="250 V=", kind="ac")


def test_that_a_breaking_capacity_for_ac_says_nothing_about_dc() -> None:
    both = {"volts": "240 V ~ / 125 V ="}
    assert read({**both, "breaking": "10 kA ~"}).breaking is None
    assert read({**both, "breaking": "10 kA ~ / 5 kA ="}).breaking == 5000
    assert read({**both, "breaking": "5 kA"}).breaking == 5000


def test_that_a_number_in_a_box_is_refused_with_the_reason() -> None:
    """IEC 60898-1 prints the ac short-circuit capacity in amperes, without a unit, in a rectangle."""
    assert "60898-1" in problem("breaking", breaking="6000")


def test_that_voltages_a_pole_are_never_added() -> None:
    assert "never a sum of poles" in problem("volts", volts="250 V per pole", poles="2")


def test_that_a_curve_stands_before_the_amps() -> None:
    device = read({"amps": "C63"})
    assert (device.current, device.curve) == (63, "C")


def test_that_a_class_of_fuse_makes_it_a_fuse() -> None:
    device = read({"volts": "125 VDC", "class": "class T", "amps": "200 A"})
    assert (device.kind, device.curve, device.supply) == ("fuse", "T", "dc")


def test_that_a_gpv_fuse_is_for_dc_and_others_have_to_say_so() -> None:
    """IEC 60269-6 makes gPV for dc alone (from memory)."""
    assert printed(volts="1000 V", **{"class": "gPV"}) == ("dc", 1000, None)
    assert printed(volts="600 V", **{"class": "J"})[0] is None
    assert printed(volts="600 V", kind="fuse gG")[0] is None


def test_that_what_prints_a_breaking_capacity_opens_by_itself() -> None:
    assert read({"breaking": "10 kA"}).kind == "breaker"
    assert read({"amps": "63 A"}).kind is None


@pytest.mark.parametrize(
    ("typed", "read_as"), [("none", "none"), ("marked", "marked"), ("+ and -", "marked"), ("+/-", "marked")]
)
def test_that_plus_and_minus_are_a_polarity(typed: str, read_as: str) -> None:
    assert read({"polarity": typed}).polarity == read_as


def test_that_nothing_typed_is_nothing_printed() -> None:
    device = read({"volts": " ", "amps": ""})
    assert device.current is device.dc_voltage is device.supply is device.polarity is device.breaking is None


@pytest.mark.parametrize(
    ("key", "text", "needed"),
    [
        ("volts", "250", "250 V="),
        ("volts", "250 A", "250 V="),
        ("volts", "1,000 V=", "comma"),
        ("volts", "250 V= 400 V=", "one voltage of each kind"),
        ("volts", "-250 V", "250 V="),
        ("volts", "9 kV=", "up to 3000 V"),
        ("amps", "63", "unit"),
        ("amps", "63 V", "current"),
        ("kind", "steam", "breaker"),
        ("breaking", "10 kV", "10 kA"),
        ("poles", "9", "1 to 4"),
        ("polarity", "perhaps", "none or marked"),
        ("continuous", "often", "yes or no"),
        ("volt", "250 V", "volts"),
    ],
)
def test_that_bad_text_is_told_with_what_is_accepted(key: str, text: str, needed: str) -> None:
    message = problem(key, **{key: text})
    assert needed in message and "got" in message and "need" in message


def test_that_all_problems_come_together() -> None:
    with pytest.raises(Problems) as caught:
        read({"volts": "x", "amps": "y", "poles": "z"})
    assert [item.where for item in caught.value.problems] == ["volts", "amps", "poles"]


def test_that_what_was_read_is_told_back() -> None:
    device = read({"volts": "250 V=", "amps": "80 A", "breaking": "10 kA", "poles": "2", "polarity": "none"})
    assert facts(device) == (
        "breaker",
        "marked for dc",
        "80 A",
        "250 V dc",
        "breaks 10 kA",
        "2 poles",
        "no + and -",
    )
    assert "not said whether dc" in facts(read({"volts": "250 V"}))[0]


# Order lists

ORDER = """label,kind,volts,amps,breaking,poles,polarity,circuit
Array breaker,breaker,300 V=,40 A,5 kA,2,none,south-run
House breaker,breaker,400 V ~,63 A,10 kA,2,,
"""


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_that_a_list_is_read_with_any_usual_delimiter(delimiter: str) -> None:
    found = read_list("\ufeff" + ORDER.replace(",", delimiter), ["south-run"])
    assert found.problems == ()
    assert [(item.line, item.device.label, item.circuit) for item in found.lines] == [
        (2, "Array breaker", "south-run"),
        (3, "House breaker", ""),
    ]
    assert [item.device.supply for item in found.lines] == ["dc", "ac"]


def test_that_a_bad_line_is_told_by_its_number_and_the_others_are_read() -> None:
    bad = "Odd,breaker,abc,63,,,,north-run\n\nFuse,fuse gPV,1000 V,15 A,20 kA,,,south-run\n"
    found = read_list(ORDER + bad, ["south-run"])
    assert [(problem.line, problem.where) for problem in found.problems] == [
        (4, "circuit"),
        (4, "volts"),
        (4, "amps"),
    ]
    assert [item.line for item in found.lines] == [2, 3, 6]


def test_that_a_strange_column_is_named_and_a_misspelt_one_is_refused() -> None:
    found = read_list("volts,amps,shelf\n250 V=,80 A,B3\n", [])
    assert (found.ignored, len(found.lines)) == (("shelf",), 1)
    found = read_list("volts,amps,poels\n250 V=,80 A,2\n", [])
    assert found.lines == () and "poles" in str(found.problems[0])


def test_that_quantities_are_counted_and_nonsense_is_refused() -> None:
    assert read_list("volts,quantity\n250 V=,3\n", []).lines[0].quantity == 3
    assert read_list("volts,quantity\n250 V=,many\n", []).problems[0].where == "quantity"


@pytest.mark.parametrize("text", ["", "\n\n", "hello", "a,b\n1,2\n", '"unclosed', "volts,volts\n1 V,2 V\n"])
def test_that_text_without_a_table_is_a_problem_and_no_crash(text: str) -> None:
    found = read_list(text, [])
    assert found.problems and not found.lines


def test_that_more_cells_than_columns_are_refused() -> None:
    assert "cells" in str(read_list("volts,amps\n1,000 V=,80 A\n", []).problems[0])
