"""Devices in hot air: what a breaker or fuse still carries in a box hotter than its rating was taken at."""

from __future__ import annotations

from typing import NamedTuple

from engine.sources import Source
from engine.tables import table
from engine.tables.lookup import linear
from engine.worksheet import Output, quantity, word, worksheet

RATED_AT = 40.0  # degC, the air that ratings are commonly taken at


class DeviceInHeat(NamedTuple):
    factor: float
    current: float


@worksheet(
    id="device-in-heat",
    subject="Devices and earthing",
    title="What a device carries in hot air",
    inputs=(
        quantity("rating", "A", "rated current", "63 A", above=0, high=6000, symbol="I_n"),
        quantity("ambient", "degC", "air about the device", "60 degC", low=-40, high=90),
        word("kind", "kind of device", ("breaker", "fuse"), "breaker"),
    ),
    outputs=(
        Output("factor", "carried over rated", "1"),
        Output("current", "what it carries there", "A"),
    ),
    expression=("factor = table by ambient, between rows; 1 up to 40 degC", "current = factor * rating"),
    source=Source(
        "Photovoltaic Power Systems and the National Electrical Code: Suggested Practices",
        "Sandia National Laboratories and New Mexico State University",
        "2005",
        "overcurrent devices in hot boxes",
    ),
    validity="Thermal-magnetic breakers and fuses rated at 40 degC, to 70 degC. The maker's curve decides.",
)
def device_in_heat(*, rating: float, ambient: float, kind: str = "breaker") -> DeviceInHeat:
    """Current that a device carries for ever in air at ``ambient``: ``factor * rating``.

    Args: rating [A]; ambient [degC]; kind, breaker or fuse. Returns: factor [0..1], current [A].
    Raises OutsideTable above 70 degC.

    >>> round(device_in_heat(rating=63, ambient=60).current, 2)
    53.55

    Source: Suggested Practices, Sandia National Laboratories and New Mexico State University, 2005 (from
    memory): 0.85 x 63 A = 53.5 A; the other rows by common practice.
    """
    factor = 1.0 if ambient <= RATED_AT else linear(table("device_heat"), "ambient_C", ambient, kind)
    return DeviceInHeat(factor, factor * rating)
