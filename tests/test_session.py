"""The session: one setter, undo and redo of every kind of edit, and signals that tell of a true state."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.places import demo_sites
from app.session import Session
from engine import edit, evaluate, load, module_table
from engine.design import Design
from engine.edit import FieldError
from engine.problems import Problems
from engine.weather.offer import offers, take
from engine.weather.read import read

CABIN = demo_sites() / "lake_cabin.toml"
CLINIC = demo_sites() / "tropical_clinic.toml"


@pytest.fixture
def session(qtbot: QtBot) -> Session:
    return Session(load(CABIN), CABIN)


class Heard:
    """Counts a session's signals, with what was true when each came."""

    def __init__(self, session: Session) -> None:
        self.changed: list[tuple[Design, bool]] = []
        self.evaluated: list[Design] = []
        self.looked = 0
        self._session = session
        session.changed.connect(self._changed)
        session.evaluated.connect(self._evaluated)
        session.looked.connect(self._looked)

    def _changed(self) -> None:
        self.changed.append((self._session.design, self._session.dirty))

    def _evaluated(self) -> None:
        self.evaluated.append(self._session.evaluation.design)

    def _looked(self) -> None:
        self.looked += 1


def _weather(session: Session) -> None:
    reading = read(Path(__file__).parent / "data" / "port_header.epw")
    session.replace(take(session.design, reading, offers(reading)), "take a weather file")


def _module(session: Session) -> None:
    row = module_table.find(["mono"], 1)[0]
    texts = {f"modules.m400.{name}": text for name, text in module_table.texts(row).items()}
    session.replace(edit.set_fields(session.design, texts), "take a module")


EDITS: dict[str, Callable[[Session], object]] = {
    "a field": lambda session: session.edit("arrays.south.modules", "3"),
    "a cleared field": lambda session: session.edit("site.record_low", ""),
    "a circuit's first field": lambda session: session.edit("circuits.sun-charger-battery.size", "4/0 AWG"),
    "an added record": lambda session: session.add("arrays", "Porch"),
    "a record added where it is pointed at": lambda session: session.add(
        "modules", "", into="arrays.south.module"
    ),
    "a removal": lambda session: session.remove("controllers.sun-charger"),
    "a module taken": _module,
    "a weather file": _weather,
    "recovered work": lambda session: session.replace(load(CLINIC), "recover unsaved work"),
    "the rule family": lambda session: session.edit("rules", "iec"),
}


@pytest.mark.parametrize("kind", EDITS)
def test_that_every_edit_is_done_undone_and_done_again(session: Session, kind: str) -> None:
    before, heard = session.design, Heard(session)
    EDITS[kind](session)
    after = session.design
    assert after != before and session.dirty and session.undo_stack.count() == 1
    assert heard.changed[-1] == (after, True)
    session.undo_stack.undo()
    assert session.design is before and not session.dirty and heard.changed[-1] == (before, False)
    session.undo_stack.redo()
    assert session.design is after and session.dirty and heard.changed[-1] == (after, True)
    assert all(dirty == (design is not before) for design, dirty in heard.changed)
    assert session.undo_stack.undoText() or kind == ""


def test_that_a_refused_text_changes_nothing_and_is_no_step(session: Session) -> None:
    before, heard = session.design, Heard(session)
    for path, text in (("arrays.south.modules", "two"), ("modules.m400.vmp", "60 V"), ("rules", "nec")):
        with pytest.raises(FieldError):
            session.edit(path, text)
    assert session.design is before and not session.dirty
    assert not heard.changed and session.undo_stack.count() == 0


def test_that_an_edit_that_changes_nothing_is_no_step(session: Session) -> None:
    session.edit("arrays.south.modules", "2")
    session.edit("circuits.south-run.length", edit.shown(session.design, "circuits.south-run.length", "us"))
    assert session.undo_stack.count() == 0 and not session.dirty


def test_that_the_steps_of_one_drag_are_one_step_to_undo(session: Session) -> None:
    before = session.design
    for tilt in range(30, 50):
        session.edit("arrays.south.tilt", f"{tilt} deg", drag="drag")
    assert session.undo_stack.count() == 1
    session.edit("arrays.south.azimuth", "170 deg", drag="drag")
    session.edit("arrays.south.tilt", "12 deg")
    assert session.undo_stack.count() == 3
    session.undo_stack.undo()
    session.undo_stack.undo()
    assert edit.typed(session.design, "arrays.south.tilt") == "49 deg"
    session.undo_stack.undo()
    assert session.design is before


def test_that_a_drag_does_not_swallow_what_was_saved(session: Session, tmp_path: Path) -> None:
    session.edit("arrays.south.tilt", "40 deg", drag="drag")
    session.save(tmp_path / "site.toml")
    session.edit("arrays.south.tilt", "41 deg", drag="drag")
    assert session.dirty
    session.undo_stack.undo()
    assert not session.dirty and edit.typed(session.design, "arrays.south.tilt") == "40 deg"


def test_that_a_burst_of_edits_is_evaluated_once_and_the_last_wins(session: Session, qtbot: QtBot) -> None:
    heard = Heard(session)
    for modules in (3, 4, 5, 1):
        session.edit("arrays.south.modules", str(modules))
    assert heard.evaluated == []
    qtbot.waitUntil(lambda: bool(heard.evaluated))
    assert heard.evaluated == [session.design]
    assert session.evaluation.findings == evaluate(session.design).findings


def test_that_an_evaluation_is_never_of_an_earlier_design(session: Session) -> None:
    sound = session.evaluation
    session.edit("arrays.south.modules", "3")
    assert session.evaluation.design is session.design and session.evaluation is not sound
    assert session.evaluation is session.evaluation
    session.undo_stack.undo()
    assert session.evaluation.findings == sound.findings


def test_that_opening_another_site_leaves_nothing_of_the_one_before(session: Session) -> None:
    heard = Heard(session)
    session.edit("arrays.south.modules", "3")
    session.select("arrays.south")
    session.look(cell=-30.0)
    session.hold(True)
    session.swap_habit()
    session.open(CLINIC)
    assert session.path == CLINIC and not session.dirty and session.undo_stack.count() == 0
    assert session.selected == "" and session.held is None and session.habit == "metric"
    assert session.conditions.battery == session.design.bank.voltage and session.conditions.cell == 25
    assert heard.evaluated[-1] is session.design
    assert heard.changed[-1] == (session.design, False)


def test_that_a_copy_has_no_file_to_be_saved_over(session: Session) -> None:
    session.open(CLINIC, as_copy=True)
    assert session.path is None and session.design.about.name


def test_that_a_file_that_is_refused_leaves_the_session_alone(session: Session, tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\n[site]\nlatitude = 3\n")
    session.edit("arrays.south.modules", "3")
    before = session.design
    with pytest.raises(Problems):
        session.open(bad)
    assert session.design is before and session.path == CABIN and session.undo_stack.count() == 1


def test_that_a_piece_that_is_gone_is_selected_no_more(session: Session) -> None:
    session.select("wind.mast")
    session.remove("wind.mast")
    assert session.selected == ""
    session.undo_stack.undo()
    session.select("bank")
    session.remove("wind.mast")
    assert session.selected == "bank"


def test_that_saving_cleans_and_undoing_past_it_is_unsaved_again(session: Session, tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    session.edit("arrays.south.modules", "3")
    session.save(file)
    assert session.path == file and not session.dirty and load(file) == session.design
    session.undo_stack.undo()
    assert session.dirty
    session.undo_stack.redo()
    assert not session.dirty


def test_that_comments_survive_an_edit_an_undo_and_two_saves(session: Session, tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    session.edit("arrays.south.tilt", "40 deg")
    session.save(file)
    assert "# steep: sheds snow" in file.read_text("utf-8")
    session.undo_stack.undo()
    session.save(file)
    assert file.read_bytes() == CABIN.read_bytes()


def test_that_a_save_that_fails_leaves_the_work_unsaved(session: Session, tmp_path: Path) -> None:
    session.edit("arrays.south.modules", "3")
    with pytest.raises(OSError, match=r"nowhere"):
        session.save(tmp_path / "nowhere" / "site.toml")
    assert session.dirty and session.path == CABIN


def test_that_looking_in_other_units_changes_no_file_and_no_undo(session: Session) -> None:
    before, heard = session.design, Heard(session)
    told = session.evaluation.findings
    session.swap_habit()
    assert session.habit == "metric" and session.design is before and not session.dirty
    assert not heard.changed and len(heard.evaluated) == 1
    assert session.evaluation.design.about.units == "metric"
    assert [f.value for f in session.evaluation.findings] == [f.value for f in told]
    session.edit("site.design_low", "-34 degC")
    assert session.design.about.units == "us"
    session.edit("units", "us")
    assert session.habit == "us"


def test_that_an_error_names_the_range_in_the_units_looked_in(session: Session) -> None:
    with pytest.raises(FieldError, match="ft"):
        session.edit("circuits.south-run.length", "9000 mi")
    session.swap_habit()
    with pytest.raises(FieldError, match="5000 m"):
        session.edit("circuits.south-run.length", "9000 mi")


def test_that_conditions_and_selection_are_not_in_the_undo_stack(session: Session) -> None:
    heard = Heard(session)
    session.look(cell=-30.0, battery=22.0)
    session.select("arrays.south")
    session.select("arrays.south")
    session.hold(True)
    session.look(cell=0.0)
    assert session.held is not None and session.held.cell == -30
    assert heard.looked == 4 and not heard.changed and not session.dirty
    session.hold(False)
    assert session.held is None


def test_that_the_battery_looked_at_follows_the_bank_until_it_is_moved(session: Session) -> None:
    session.edit("bank.voltage", "26 V")
    assert session.conditions.battery == 26
    session.look(battery=28.0)
    session.edit("bank.voltage", "25 V")
    assert session.conditions.battery == 28


def test_that_300_edits_and_undos_leave_no_growing_pile(session: Session) -> None:
    for tilt in range(300):
        session.edit("arrays.south.tilt", f"{tilt % 90} deg", drag="drag")
        session.settle()
    assert session.undo_stack.count() == 1
    for modules in range(300):
        session.edit("arrays.south.modules", str(1 + modules % 3))
    while session.undo_stack.canUndo():
        session.undo_stack.undo()
    assert session.design == load(CABIN) and not session.dirty
