"""``farstead picture``: exact pixels, the same on every machine, of the window as it is."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from app.__main__ import main
from app.panes import PLACES
from app.places import demo_sites

HERE = Path(__file__).resolve().parent.parent
CABIN = str(demo_sites() / "lake_cabin.toml")


def draw(file: Path, *arguments: str, site: str = CABIN) -> QImage:
    assert main(["picture", site, *arguments, "-o", str(file)]) == 0
    return QImage(str(file))


def same(one: QImage, other: QImage) -> float:
    """The share of equal pixels, on a grid."""
    places = [(x, y) for x in range(0, one.width(), 7) for y in range(0, one.height(), 7)]
    return sum(one.pixel(*at) == other.pixel(*at) for at in places) / len(places)


@pytest.mark.parametrize("size", ["1366x768", "1920x1080", "400x300", "1001x603"])
def test_that_a_picture_has_exactly_the_pixels_asked_for(qtbot: QtBot, tmp_path: Path, size: str) -> None:
    image = draw(tmp_path / "a.png", "--pane", "sources", "--size", size)
    assert f"{image.width()}x{image.height()}" == size


@pytest.mark.parametrize("pane", [name for name, _ in PLACES])
@pytest.mark.parametrize("look", ["light", "dark", "projector"])
def test_that_every_pane_is_drawn_in_every_look(qtbot: QtBot, tmp_path: Path, pane: str, look: str) -> None:
    image = draw(tmp_path / "a.png", "--pane", pane, "--look", look)
    colours = {image.pixel(x, y) for x in range(0, 1366, 11) for y in range(0, 768, 11)}
    assert len(colours) > 12


def test_that_a_small_picture_is_a_smaller_file_of_the_same_sight(qtbot: QtBot, tmp_path: Path) -> None:
    full, small = tmp_path / "a.png", tmp_path / "b.png"
    one, other = draw(full, "--pane", "sources"), draw(small, "--pane", "sources", "--small")
    assert one.size() == other.size() and other.colorCount() <= 256
    assert small.stat().st_size < full.stat().st_size / 2
    places = [(x, y) for x in range(0, one.width(), 5) for y in range(0, one.height(), 5)]
    pairs = [(one.pixelColor(*at), other.pixelColor(*at)) for at in places]
    assert max(abs(ours.red() - theirs.red()) for ours, theirs in pairs) < 64  # a quarter of the way to black
    assert sum(abs(ours.lightness() - theirs.lightness()) for ours, theirs in pairs) < len(pairs)


def test_that_too_small_a_picture_shows_the_whole_window_smaller(qtbot: QtBot, tmp_path: Path) -> None:
    small = draw(tmp_path / "a.png", "--pane", "sources", "--size", "420x236")
    large = draw(tmp_path / "b.png", "--pane", "sources", "--size", "840x472")
    shrunk = large.scaled(
        small.size(), Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
    )
    places = [(x, y) for x in range(0, 420, 5) for y in range(0, 236, 5)]
    apart = [abs(small.pixelColor(*at).lightness() - shrunk.pixelColor(*at).lightness()) for at in places]
    assert sum(apart) / len(apart) < 8


def test_that_piece_conditions_and_look_are_seen(qtbot: QtBot, tmp_path: Path) -> None:
    plain = draw(tmp_path / "a.png", "--pane", "sources")
    for extra in (
        ("--piece", "mast"),
        ("--set", "cell=-30degC", "--set", "irradiance=400 W/m^2"),
        ("--set", "battery=29 V"),
        ("--look", "dark"),
    ):
        assert same(plain, draw(tmp_path / "b.png", "--pane", "sources", *extra)) < 1


@pytest.mark.slow
def test_that_two_runs_give_the_same_bytes_at_any_scale_of_the_screen(tmp_path: Path) -> None:
    files = []
    for name, scale in (("a", "1"), ("b", "2")):
        file = tmp_path / f"{name}.png"
        command = [sys.executable, "-m", "app", "picture", CABIN, "--pane", "sources", "-o", str(file)]
        done = subprocess.run(
            command,
            cwd=HERE,
            env={**os.environ, "QT_SCALE_FACTOR": scale, "QT_QPA_PLATFORM": "offscreen"},
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0 and done.stdout == done.stderr == ""
        files.append(file.read_bytes())
    assert files[0] == files[1]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--pane", "sorces"), '--pane: got "sorces", need the name of a pane: site, loads'),
        (("--pane", "sources", "--size", "huge"), '--size: got "huge"'),
        (("--pane", "sources", "--size", "9999x9999"), "7680x4320"),
        (("--pane", "sources", "--set", "cel=3 degC"), "cell, irradiance, wind, flow, battery"),
        (("--pane", "sources", "--set", "cell=3"), '--set cell: got "3"'),
        (("--pane", "sources", "--set", "battery=9 kV"), "0 V to 1500 V"),
        (("--pane", "sources", "--piece", "nix"), '--piece: got "nix"'),
        (("--pane", "sources", "--look", "pink"), "light"),
    ],
)
def test_that_bad_arguments_are_refused_with_what_is_known(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], told: str
) -> None:
    file = tmp_path / "a.png"
    try:
        status = main(["picture", CABIN, *arguments, "-o", str(file)])
    except SystemExit as ended:
        status = int(str(ended.code))
    assert status == 2 and told in capsys.readouterr().err and not file.exists()


def test_that_several_mistakes_are_told_together(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\n[site]\nlatitude = 3\n")
    arguments = ["picture", str(bad), "--pane", "x", "--size", "1x1", "-o", str(tmp_path / "a.jpg")]
    assert main(arguments) == 2
    told = capsys.readouterr().err
    assert all(name in told for name in ("--pane", "--size", "-o", "site.latitude"))


def test_that_a_file_that_can_not_be_written_is_refused(
    qtbot: QtBot, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["picture", CABIN, "--pane", "site", "-o", str(tmp_path / "nowhere" / "a.png")]
    assert main(arguments) == 2
    assert "a file that can be written" in capsys.readouterr().err
