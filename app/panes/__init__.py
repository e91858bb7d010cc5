"""The panes of the window, one a file. They never import each other."""

from __future__ import annotations

from importlib import import_module
from typing import Any

PLACES = (
    ("site", "Site"),
    ("loads", "Loads"),
    ("balance", "Balance"),
    ("sources", "Sources"),
    ("storage", "Storage"),
    ("wiring", "Wiring"),
    ("protection", "Protection"),
    ("setup", "Set-up"),
    ("worksheets", "Worksheets"),
)
"""Name and title of each place that the line leads to, in its order."""

CLASSES = {
    "site": "SitePane",
    "loads": "LoadsPane",
    "sources": "SourcesPane",
    "wind": "WindPane",
    "hydro": "HydroPane",
    "relays": "RelaysPane",
    "piece": "PiecePane",
    "balance": "BalancePane",
    "storage": "StoragePane",
    "wiring": "WiringPane",
    "protection": "ProtectionPane",
    "setup": "SetupPane",
    "worksheets": "WorksheetsPane",
}
"""The class of each pane; its module has the pane's name. Sources has four: by what is selected."""


FIELD_HOMES = {
    **dict.fromkeys(
        (
            *("bank.absorption", "bank.float_voltage", "bank.equalize", "bank.absorption_time"),
            *("bank.end_current", "bank.compensation", "bank.clamp_low", "bank.clamp_high", "bank.shunt"),
            *("bank.equalize_days", "bank.equalize_grace", "bank.equalize_hours"),
            *("controllers.sensor", "controllers.leads", "controllers.network", "controllers.equalize"),
            *("controllers.absorption", "controllers.float_voltage", "controllers.nominal_choice"),
        ),
        "setup",
    )
}
"""The place of a field that is at home elsewhere than its record, by table and name."""


def make(name: str, session: Any) -> Any:
    """Make a pane; its module is imported when it is first looked at, so that the window starts fast."""
    return getattr(import_module(f"app.panes.{name}"), CLASSES[name])(session)
