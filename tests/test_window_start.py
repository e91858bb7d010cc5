"""How the window starts and ends: what it imports, what it opens, and what it leaves behind."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.__main__ import main
from app.places import demo_sites

HERE = Path(__file__).resolve().parent.parent
HEAVY = ("pvlib", "scipy", "pandas", "pint", "tomlkit")


def start(tmp_path: Path, script: str) -> subprocess.CompletedProcess[str]:
    """Run Python with the project, a state folder of its own and no screen."""
    return subprocess.run(
        [sys.executable, "-c", script],
        cwd=HERE,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "FARSTEAD_STATE": str(tmp_path / "state")},
        capture_output=True,
        text=True,
        timeout=120,
    )


def test_that_nothing_heavy_is_imported_before_the_first_paint(tmp_path: Path) -> None:
    script = f"""
import sys
from app.run import first_window, make_application
application = make_application()
window = first_window(None)
window.show()
application.processEvents()
print([name for name in {HEAVY} if name in sys.modules])
"""
    done = start(tmp_path, script)
    assert done.returncode == 0 and done.stdout == "[]\n", done.stderr


OPENED = """
import sys
from PySide6.QtCore import QTimer
from app import run
made = run.make_application
def make():
    application = made()
    QTimer.singleShot(300, act)
    return application
def act():
    from PySide6.QtWidgets import QApplication
    from app.window import Window
    (window,) = [each for each in QApplication.topLevelWidgets() if isinstance(each, Window)]
    print(window.session.design.about.name, window.session.path, window.isVisible())
    EDIT
    END
run.make_application = make
sys.exit(run.open_window(SITE))
"""


def test_that_without_a_site_a_demo_opens_that_has_no_file(tmp_path: Path) -> None:
    script = OPENED.replace("EDIT", "pass").replace("END", "window.close()").replace("SITE", "None")
    done = start(tmp_path, script)
    assert (done.returncode, done.stdout, done.stderr) == (0, "Lake cabin None True\n", "")


def test_that_a_program_that_ends_without_leave_keeps_the_unsaved_work(tmp_path: Path) -> None:
    site = tmp_path / "site.toml"
    site.write_bytes((demo_sites() / "lake_cabin.toml").read_bytes())
    script = (
        OPENED.replace("EDIT", "window.session.edit('arrays.south.tilt', '37.5 deg')")
        .replace("END", "QApplication.exit(0)")
        .replace("SITE", repr(str(site)))
    )
    done = start(tmp_path, script)
    assert done.returncode == 0, done.stderr
    (copy,) = (tmp_path / "state").glob("recovery-*.toml")
    assert "37.5 deg" in copy.read_text("utf-8") and "37.5 deg" not in site.read_text("utf-8")


def test_that_a_closed_window_leaves_nothing_behind(tmp_path: Path) -> None:
    script = OPENED.replace("EDIT", "pass").replace("END", "window.close()").replace("SITE", "None")
    start(tmp_path, script)
    assert not list((tmp_path / "state").glob("recovery-*"))


@pytest.mark.parametrize("text", ["", "format = 1\nnmae = 'x'\n", "format = 1\n[site\n"])
def test_that_a_bad_site_is_refused_before_a_window_opens(
    tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))
    site = tmp_path / "site.toml"
    site.write_text(text)
    assert main([str(site)]) == 2
    told = capsys.readouterr().err
    assert told and "Traceback" not in told
    assert main([str(tmp_path / "nowhere.toml")]) == 2
