"""The wire traded against money: what each thicker size costs for each watt that it saves."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from engine.physics.wire import conductor_temperature, material_input, voltage_drop
from engine.sizes import Size
from engine.sources import COMMON_PRACTICE
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Output, count, quantities, quantity, sizes, worksheet
from engine.worksheet import family as family_input


class WireSaving(NamedTuple):
    """Loss of each size [W], the price of each watt saved by the next one, and the drops as fractions.

    ``totals`` are the prices with what it costs to make the losses good by more array, ``best`` the size with
    the least of them; ``None`` without a price of array.
    """

    losses: tuple[float, ...]
    price_per_watt: tuple[float, ...]
    fractions: tuple[float, ...]
    totals: tuple[float, ...] | None
    best: Size | None


@worksheet(
    id="wire-saving",
    subject="Wire",
    title="What a thicker conductor costs for each watt that it saves",
    inputs=(
        quantity("current", "A", "running current", "10 A", above=0, symbol="I"),
        quantity("length", "m", "one-way length", "500 ft", above=0, symbol="L"),
        quantity("voltage", "V", "voltage of the circuit", "350 V", above=0, symbol="U"),
        sizes("sizes", "sizes, small to large", '["12 AWG", "10 AWG", "8 AWG", "6 AWG"]'),
        quantities("prices", "1", "price of the whole run in each size", "[620, 950, 1540, 2370]", low=0),
        quantity("watt", "1", "price of a watt of array", "5", None, low=0),
        count("conductors", "2 for dc or single phase, 3 for three-phase", "2", 2, low=2, high=3),
        conductor_temperature(),
        material_input(),
        family_input(),
    ),
    outputs=(
        Output("losses", "loss of each size", "W"),
        Output("price_per_watt", "price of a watt saved by the next size", "1"),
        Output("fractions", "drop of each size over the voltage", "%"),
        Output("totals", "price with the losses made good by array", "1"),
        Output("best", "size with the least of these"),
    ),
    expression=(
        "losses = conductors * length * current^2 * r of each size",
        "fractions = 2 * length * current * r of each size / voltage, √3 for 2 in three phases",
        "price_per_watt = step in price / step in loss",
        "totals = prices + losses * watt",
    ),
    source=COMMON_PRACTICE,
    validity="worth it while a watt saved costs less than a watt of array (common practice)",
)
def wire_saving(
    *,
    current: float,
    length: float,
    voltage: float,
    sizes: tuple[Size, ...],
    prices: tuple[float, ...],
    rules: Family,
    watt: float | None = None,
    conductors: int = 2,
    temperature: float = 75.0,
    material: str = "copper",
) -> WireSaving:
    """Losses ``n L I² r`` and the price of each further watt saved. Prices in any money.

    ``length`` one way [m], ``conductors`` n of them, ``watt`` the price of a watt of array. A price of a watt
    saved below zero saves money and watts alike. Returns lists: losses [W] and drops of each size, one price
    fewer, and where ``watt`` is given the totals and the size of their least, of equals the thicker. Raises
    ``CannotCalculate`` where the lists differ in length or the sizes do not rise.
    """
    if len(sizes) != len(prices):
        raise CannotCalculate("prices", f"{len(prices)} prices", f"{len(sizes)}, one for each size")
    if any(a.area_mm2 >= b.area_mm2 for a, b in pairwise(sizes)):
        raise CannotCalculate("sizes", ", ".join(each.text for each in sizes), "sizes from small to large")
    drops = tuple(
        voltage_drop(
            length=length,
            current=current,
            voltage=voltage,
            conductors=conductors,
            size=each,
            rules=rules,
            temperature=temperature,
            material=material,
        )
        for each in sizes
    )
    losses = tuple(each.loss for each in drops)
    steps = zip(pairwise(prices), pairwise(losses), strict=True)
    totals, best = None, None
    if watt is not None:
        totals = tuple(price + loss * watt for price, loss in zip(prices, losses, strict=True))
        best = max(
            (each for each, total in zip(sizes, totals, strict=True) if total == min(totals)), default=None
        )
    return WireSaving(
        losses,
        tuple((dearer - price) / (loss - less) for (price, dearer), (loss, less) in steps),
        tuple(each.fraction for each in drops),
        totals,
        best,
    )
