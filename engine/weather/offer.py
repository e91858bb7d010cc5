"""What a weather file offers a site: each number, what the site has now, and those taken as one edit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from engine.design import Design, Site
from engine.edit import get, set_fields
from engine.units import show
from engine.weather import summary
from engine.weather.header import Found
from engine.weather.hours import Weather
from engine.weather.read import Reading

HEAD = (
    ("latitude", "deg"),
    ("longitude", "deg"),
    ("elevation", "m"),
    ("design_low", "degC"),
    ("record_low", "degC"),
    ("design_high", "degC"),
)
SEVERE = {
    "design_low": -1,
    "record_low": -1,
    "design_high": 1,
    "elevation": 1,
}  # the way to the stricter side
FROM = {
    "design_low": "design_low_from",
    "record_low": "record_low_from",
    "design_high": "design_high_from",
    "sun": "sun_from",
    "air_temperature": "air_temperature_from",
    "wind_speed": "wind_from",
    "wind_months": "wind_from",
    "wind_shape": "wind_from",
    "wind_height": "wind_from",
}


@dataclass(frozen=True, slots=True)
class Offer:
    """One number or twelve that a file has for a field of the site, in the field's unit; ``origin`` says
    where it is from. ``values`` is empty where the file has none, and ``reason`` says why."""

    name: str
    title: str
    unit: str
    values: tuple[float, ...] = ()
    origin: str = ""
    reason: str = ""

    def text(self, habit: str = "metric") -> str:
        """What the file says: a number, or the least and the greatest of twelve."""
        if not self.values:
            return self.reason
        ends = dict.fromkeys(show(end(self.values), self.unit, habit) for end in (min, max))
        return " to ".join(ends)

    def every(self, habit: str = "metric") -> str:
        """All its numbers, for a tooltip."""
        return "; ".join(show(value, self.unit, habit) for value in self.values)


def offers(reading: Reading) -> tuple[Offer, ...]:
    """Everything that a file says of a site, in the order of its fields."""
    return (*_head(reading), *(() if reading.weather is None else _hours(reading.weather)))


def _head(reading: Reading) -> Iterator[Offer]:
    specs = Site.specs()
    for name, unit in HEAD:
        found: Found = getattr(reading.header, name)
        values = () if found.value is None else (found.value,)
        yield Offer(name, specs[name].title, unit, values, found.origin, found.reason)


def _hours(weather: Weather) -> Iterator[Offer]:
    """Rounded to where the answer is not milder: less sun, warmer air, less and evener wind."""
    hours = f"{weather.source}, means of its hours"
    sun = _down(summary.months_of_sun(weather), 10)
    air = _up(summary.months_of(weather, weather.air), 0.1)
    winds = _down(summary.months_of(weather, weather.wind), 0.01)
    mean, fit = summary.mean_wind(weather), summary.weibull(weather.wind)
    yield _offer("sun", "Wh/m^2", sun, hours)
    yield _offer("air_temperature", "degC", air, hours)
    yield _offer("wind_speed", "m/s", _down((mean,), 0.01), hours)
    if winds:
        yield Offer("wind_height", _title("wind_height"), "m", (weather.wind_height,), hours)
    yield _offer("wind_months", "m/s", winds, hours)
    if fit is not None and winds and 1 <= fit.shape <= 5:
        fitted = f"{weather.source}, fitted to its hours, {show(fit.calm, '%', digits=2)} calm hours left out"
        yield _offer("wind_shape", "1", _up((fit.shape,), 0.01), fitted)
    else:
        yield Offer("wind_shape", _title("wind_shape"), "1", reason="no Weibull distribution of 1 to 5 fits")


def _offer(name: str, unit: str, values: tuple[float, ...], origin: str) -> Offer:
    reason = "" if values else "the file has not nearly all hours of a year"
    return Offer(name, _title(name), unit, values, origin, reason)


def _title(name: str) -> str:
    return Site.specs()[name].title


def _down(values: Iterable[float | None], step: float) -> tuple[float, ...]:
    """All values rounded down to a step; none where one is not known."""
    return _all(values, lambda value: math.floor(value / step + 1e-9) * step)


def _up(values: Iterable[float | None], step: float) -> tuple[float, ...]:
    return _all(values, lambda value: math.ceil(value / step - 1e-9) * step)


def _all(values: Iterable[float | None], rounded: Callable[[float], float]) -> tuple[float, ...]:
    found = []
    for value in values:
        if value is None:
            return ()
        found.append(round(rounded(value), 6))
    return tuple(found)


def now(design: Design, offer: Offer, habit: str = "metric") -> str:
    """What the site has in the field of an offer, as shown; empty where nothing was entered."""
    value = get(design, f"site.{offer.name}")
    if value is None:
        return ""
    if isinstance(value, tuple):
        ends = dict.fromkeys(show(float(end(value)), offer.unit, habit) for end in (min, max))
        return " to ".join(ends)
    return show(float(value), offer.unit, habit)


def differs(design: Design, offer: Offer) -> bool:
    """Whether taking an offer would change what the site has."""
    value = get(design, f"site.{offer.name}")
    has = () if value is None else tuple(map(float, value)) if isinstance(value, tuple) else (float(value),)
    return len(has) != len(offer.values) or any(
        abs(a - b) > 1e-9 for a, b in zip(has, offer.values, strict=True)
    )


def milder(design: Design, offer: Offer) -> bool:
    """Whether the file's temperature is milder than the one that the site has, or its station lower, so that
    taking it needs a person's word."""
    value = get(design, f"site.{offer.name}")
    if value is None or not offer.values or offer.name not in SEVERE:
        return False
    return SEVERE[offer.name] * (offer.values[0] - float(value)) < 0


def take(design: Design, reading: Reading, chosen: Iterable[Offer]) -> Design:
    """The site with the chosen offers, each with where it is from, and the file named.

    Raises ``FieldError`` where a value contradicts one that stays.
    """
    texts: dict[str, str] = {}
    for offer in chosen:
        if not offer.values:
            continue
        unit = "" if offer.unit == "1" else f" {offer.unit}"
        texts[f"site.{offer.name}"] = "; ".join(f"{value:.10g}{unit}" for value in offer.values)
        if offer.name in FROM:
            texts.setdefault(f"site.{FROM[offer.name]}", offer.origin)
    if not texts:
        return design
    return set_fields(design, {**texts, "site.weather_file": reading.header.file})
