"""Whether there is a screen for a window. Standard library only: start.py asks before it installs."""

from __future__ import annotations

from collections.abc import Mapping

NO_DISPLAY = (
    "there is no display for a window (neither DISPLAY nor WAYLAND_DISPLAY is set); "
    "new, check, work, device, turbine, compare, settings, verify, modules and picture do without one."
)


def no_display(platform: str, environment: Mapping[str, str]) -> str:
    """The sentence that says why no window can open, or "" where one can.

    ``platform`` is ``sys.platform``. Qt's own QT_QPA_PLATFORM, if set, is taken to know better.
    """
    if not platform.startswith("linux"):
        return ""
    names = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    return "" if any(environment.get(name) for name in names) else NO_DISPLAY
