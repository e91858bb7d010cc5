"""The README says what is true: its commands run as they stand, its pictures are this program's own."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtGui import QImage

from app.__main__ import COMMANDS, main
from app.places import assets, demo_sites

HERE = Path(__file__).resolve().parent.parent
README = (HERE / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (HERE / "DEVELOPERS.md").read_text(encoding="utf-8")
LARGEST = 150_000  # bytes of a picture, so that a clone stays small


def commands(text: str) -> Iterator[list[str]]:
    """The words behind ``start.py`` on each line of a document that is a command."""
    for line in re.findall(r"^    python3 start\.py (.+)$", text, flags=re.MULTILINE):
        yield shlex.split(line, comments=True)


def test_that_every_command_runs_as_it_stands_in_the_readme(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "demo_sites").mkdir()
    for site in demo_sites().glob("*.toml"):
        (tmp_path / "demo_sites" / site.name).write_bytes(site.read_bytes())
    ran = [words for words in commands(README) if words and words[0] in COMMANDS]
    for words in ran:
        assert main(words) in (0, 1, 3), (words, capsys.readouterr().err)
    assert {words[0] for words in ran} == COMMANDS.keys() - {"modules"}


def test_that_the_readme_lists_every_command() -> None:
    listed = re.findall(r"^\| `python3 start\.py ?(\w*)` \|", README, flags=re.MULTILINE)
    assert sorted(listed) == sorted(["", *COMMANDS, "test", "bench"])


def test_that_every_picture_of_the_readme_is_made_by_a_command_and_small() -> None:
    shown = re.findall(r"!\[[^]]+\]\((assets/pictures/[\w-]+\.png)\)", README)
    made = [words[-1] for words in commands(DEVELOPERS) if words[:1] == ["picture"]]
    assert shown and sorted(shown) == sorted(made)
    assert {HERE / name for name in shown} == set((assets() / "pictures").iterdir())
    for name in shown:
        image = QImage(str(HERE / name))
        assert (image.width(), image.height()) == (1366, 768), name
        assert (HERE / name).stat().st_size < LARGEST, name
