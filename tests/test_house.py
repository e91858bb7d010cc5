"""The house round the program: start.py, the lock, the wheel, the documents, and a guard on Qt's binding."""

from __future__ import annotations

import ast
import os
import re
import runpy
import shutil
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, Signal

import start
from app.__main__ import COMMANDS
from app.bench import Figure
from app.display import NO_DISPLAY, no_display
from app.places import assets, demo_sites

HERE = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((HERE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
LOCK = (HERE / "requirements.lock").read_text(encoding="utf-8")
DOCUMENTS = [HERE / "README.md", HERE / "DEVELOPERS.md"]


def plain(requirement: str) -> str:
    """A requirement's name as indexes compare names (PEP 503)."""
    match = re.match(r"[\w.-]+", requirement)
    assert match, requirement
    return re.sub(r"[-_.]+", "-", match[0]).lower()


# The lock


def test_that_every_locked_package_carries_hashes() -> None:
    blocks = re.split(r"^(?=[a-z0-9])", LOCK, flags=re.MULTILINE)[1:]
    assert len(blocks) > 20
    for block in blocks:
        assert re.match(r"[a-z0-9.-]+==\S+ ", block), block
        assert "--hash=sha256:" in block, block


def test_that_the_lock_names_no_registry() -> None:
    assert not re.search(r"://|--(extra-)?index|--find-links|\bfile:", LOCK)


def test_that_the_lock_holds_everything_that_the_project_asks_for() -> None:
    asked = PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]
    locked = {plain(line) for line in LOCK.splitlines() if re.match(r"[a-z0-9]", line)}
    assert {plain(requirement) for requirement in asked} <= locked


# start.py


@pytest.fixture
def no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)


def test_that_help_needs_nothing_installed() -> None:
    command = [sys.executable, "-S", str(HERE / "start.py"), "--help"]
    done = subprocess.run(command, capture_output=True, text=True, cwd="/")
    assert done.returncode == 0
    assert all(word in done.stdout for word in (*COMMANDS, "test", "bench"))


def test_that_start_imports_the_standard_library_only() -> None:
    nodes = list(ast.walk(ast.parse((HERE / "start.py").read_text(encoding="utf-8"))))
    named = {alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names}
    named |= {str(node.module) for node in nodes if isinstance(node, ast.ImportFrom)}
    assert {name.split(".")[0] for name in named - {"app.display"}} <= sys.stdlib_module_names


@pytest.mark.parametrize("version", [(3, 6), (3, 10), (3, 15)])
def test_that_another_python_is_refused_in_one_sentence(
    version: tuple[int, int], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ast.parse((HERE / "start.py").read_text(encoding="utf-8"), feature_version=(3, 7))
    monkeypatch.setattr(sys, "version_info", (*version, 0, "final", 0))
    with pytest.raises(SystemExit) as caught:
        runpy.run_path(str(HERE / "start.py"), run_name="__main__")
    assert caught.value.code == 2
    got = capsys.readouterr().err
    assert got == f"start.py: got Python {version[0]}.{version[1]}, need Python 3.11 to 3.14.\n"


@pytest.mark.usefixtures("no_screen")
@pytest.mark.parametrize("args", [[], ["cabin.toml"]])
def test_that_a_window_without_a_display_is_refused_in_one_sentence(
    args: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert start.main(args) == 2
    assert capsys.readouterr().err == f"start.py: {NO_DISPLAY}\n"
    assert all(command in NO_DISPLAY for command in COMMANDS)


def test_that_a_display_or_another_system_lets_the_window_open() -> None:
    assert no_display("linux", {"DISPLAY": ":0"}) == ""
    assert no_display("linux", {"WAYLAND_DISPLAY": "wayland-0"}) == ""
    assert no_display("linux", {"QT_QPA_PLATFORM": "offscreen"}) == ""
    assert no_display("linux", {"DISPLAY": ""}) == NO_DISPLAY
    assert no_display("darwin", {}) == no_display("win32", {}) == ""


@pytest.mark.usefixtures("no_screen")
def test_that_only_commands_that_draw_ask_the_system_for_libraries(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Sequence[str]] = []
    monkeypatch.setattr(start, "is_loadable", lambda library: False)
    monkeypatch.setattr(start, "get_system_packages", asked.append)
    monkeypatch.setattr(start, "is_ready", lambda: True)
    for command in start.WITHOUT_QT:
        assert command in COMMANDS
        start.prepare([command])
    assert not asked
    start.prepare(["picture", "cabin.toml"])
    assert set(asked.pop()) >= set(start.QT_LIBRARIES.values())
    monkeypatch.setenv("DISPLAY", ":0")
    start.prepare([])
    assert set(asked.pop()) >= set((start.QT_LIBRARIES | start.WINDOW_LIBRARIES).values())


def test_that_someone_who_is_not_root_is_told_the_one_command(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(start, "is_debian", lambda: True)
    monkeypatch.setattr(os, "geteuid", lambda: 1000, raising=False)
    with pytest.raises(start.Refusal, match=r"sudo apt-get install -y libgl1 libegl1$"):
        start.get_system_packages(["libgl1", "libegl1"])
    monkeypatch.setattr(start, "is_debian", lambda: False)
    with pytest.raises(start.Refusal, match="libgl1"):
        start.get_system_packages(["libgl1"])


def test_that_the_environment_is_made_again_when_the_lock_changes(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name in ("LOCK", "PYTHON", "STAMP"):
        monkeypatch.setattr(start, name, tmp_path / name)
    start.LOCK.write_text("first")
    assert not start.is_ready()
    start.PYTHON.touch()
    start.STAMP.write_text(start.stamp())
    assert start.is_ready()
    start.LOCK.write_text("second")
    assert not start.is_ready()


def test_that_a_failed_install_says_what_failed_and_how_to_go_on() -> None:
    failing = [sys.executable, "-c", "print('no route to host'); raise SystemExit(1)"]
    with pytest.raises(start.Refusal, match=r"could not install:\n    no route to host\n.*start again"):
        start.quietly(failing, "pip could not install")
    with pytest.raises(start.Refusal, match="could not install"):
        start.quietly([str(HERE / "no-such-program")], "pip could not install")


@pytest.mark.parametrize(("failing", "status"), [("", 0), ("ruff", 1), ("mypy", 1), ("pytest", 1)])
def test_that_one_failed_check_fails_the_whole_run_and_tests_come_last(
    failing: str, status: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ran: list[list[str]] = []

    def call(command: list[str], environment: dict[str, str], folder: Path) -> int:
        assert environment["QT_QPA_PLATFORM"]
        ran.append(command)
        return int(failing in command)

    monkeypatch.setattr(start, "call", call)
    assert start.test(["--fast", "-k", "cold"]) == status
    assert [command[2] for command in ran] == ["ruff", "ruff", "mypy", "pytest"]
    assert ran[-1][-4:] == ["-m", "not slow", "-k", "cold"]
    assert ("failed" in capsys.readouterr().out) == (failing in ("ruff", "mypy"))


# What lies beside the code


def test_that_the_top_of_the_tree_holds_what_was_agreed() -> None:
    git = shutil.which("git")
    if git is None or not (HERE / ".git").exists():
        pytest.skip("not a git checkout, or no git here")
    command = [git, "-c", "safe.directory=*", "-C", str(HERE), "ls-files"]
    listed = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()
    agreed = "pyproject.toml README.md DEVELOPERS.md app engine tests assets demo_sites start.py"
    agreed += " requirements.lock .ci .gitignore"
    assert {name.split("/")[0] for name in listed} <= set(agreed.split())


def test_that_the_tree_has_its_assets_and_demo_sites() -> None:
    assert (assets() / "farstead.svg").is_file()
    assert list(demo_sites().glob("*.toml"))


@pytest.mark.slow
def test_that_a_wheel_carries_every_file_and_finds_them_when_installed(tmp_path: Path) -> None:
    wheel = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--wheel-dir", str(tmp_path), str(HERE)]
    done = subprocess.run(wheel, capture_output=True, text=True)
    if done.returncode and re.search(r"(No matching distribution|Could not find).*hatchling", done.stderr):
        pytest.skip("the build backend cannot be fetched here")
    assert done.returncode == 0, done.stderr
    (built,) = tmp_path.glob("farstead-*.whl")
    with zipfile.ZipFile(built) as archive:
        carried = set(archive.namelist())
        archive.extractall(tmp_path / "installed")
    moved = {"demo_sites": "app/demo_sites", "assets": "app/assets"}
    for folder in ("app", "engine", *moved):
        for path in (HERE / folder).rglob("*.*"):
            if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".pyc":
                assert f"{moved.get(folder, folder)}/{path.relative_to(HERE / folder).as_posix()}" in carried
    ask = "from app.places import *; print(demo_sites(), assets(), sep='\\n')"
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "installed")}
    found = subprocess.run(
        [sys.executable, "-P", "-c", ask], capture_output=True, text=True, env=environment, check=True
    )
    inside = (tmp_path / "installed" / "app").resolve()
    assert found.stdout.split() == [str(inside / "demo_sites"), str(inside / "assets")]


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_that_the_documents_name_only_commands_and_files_that_exist(document: Path) -> None:
    text = document.read_text(encoding="utf-8")
    named = set(re.findall(r"(?:start\.py|farstead) ([a-z]+)\b(?!\.)", text))
    assert named <= {*COMMANDS, "test", "bench"}
    paths = re.findall(r"`((?:app|engine|tests|assets|demo_sites|\.ci)/[\w./-]*)`", text)
    assert [path for path in paths if not (HERE / path).exists()] == []


# The bench


def test_that_a_figure_on_its_goal_is_met_and_beyond_it_missed() -> None:
    at_most = [Figure("time", value, "ms", 5).met for value in (4.9, 5, 5.1)]
    at_least = [Figure("rate", value, "a second", 5, more_is_better=True).met for value in (4.9, 5, 5.1)]
    assert at_most == [True, True, False]
    assert at_least == [False, True, True]
    assert str(Figure("solver", 0.9, "ms", 5)).split() == "solver 0.9 ms at most 5 met".split()


# Qt's binding


def test_that_qt_calls_give_back_as_many_references_as_they_take() -> None:
    """PySide6 6.12.0 on Python before 3.12 lost one reference to None a call, and aborted after thousands."""

    class Bell(QObject):
        rung = Signal(bool)

    bell = Bell()
    heard: list[None] = []
    bell.rung.connect(lambda on: heard.clear())
    before = sys.getrefcount(None), sys.getrefcount(True)
    for _ in range(400):
        bell.setObjectName("bell")
        bell.rung.emit(True)
    assert abs(sys.getrefcount(None) - before[0]) < 100
    assert abs(sys.getrefcount(True) - before[1]) < 100
