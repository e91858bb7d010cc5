"""What every test has: no screen needed, and examples that are the same on each run.

Unexpected Qt messages and Python warnings fail a test; pyproject.toml names the only noise let through.
"""

from __future__ import annotations

import os

from hypothesis import settings

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
settings.register_profile("house", deadline=None, max_examples=60, derandomize=True)
settings.load_profile("house")
