"""What every test has: no screen needed, and examples that are the same on each run.

Unexpected Qt messages and Python warnings fail a test; pyproject.toml names the only noise let through.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator

import pytest
from hypothesis import settings

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
settings.register_profile("house", deadline=None, max_examples=60, derandomize=True)
settings.load_profile("house")


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol() -> Iterator[None]:
    """Take down the windows of a test that is over: Qt puts it off until an event loop that no test runs."""
    yield
    if "PySide6.QtWidgets" in sys.modules:
        from PySide6.QtCore import QCoreApplication, QEvent

        if QCoreApplication.instance() is not None:
            QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
