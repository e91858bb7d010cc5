"""What the pictures of a place say, each in a sentence or two."""

from __future__ import annotations

from engine.sections.place import Place
from engine.units import show

MONTHS = "January February March April May June July August September October November December".split()
READ = "Read a weather file to see it by the hour."


def sun_path(place: Place) -> str:
    """How high the sun stands at noon, and how long it shines."""
    if not place.arcs:
        return ""
    june, _, december = place.arcs
    long, short = (show(arc.daylight, "h", digits=3) for arc in (june, december))
    return (
        f"At noon the sun stands {_altitude(june.noon)} on 21 June and {_altitude(december.noon)} on"
        f" 21 December; it is up {long} and {short}."
        " Solar time, level horizon: trees and hills come on top."
    )


def _altitude(noon: float) -> str:
    return f"{noon:.0f}° high" if noon > 0 else "below the horizon"


def air(place: Place, habit: str) -> str:
    """The span of the air, and what no typical year shows."""
    known = [(name, month) for name, month in zip(MONTHS, place.air, strict=False) if month is not None]
    if known:
        name, cold = min(known, key=lambda each: each[1].day_low)
        lowest, highest = min(m.lowest for _, m in known), max(m.highest for _, m in known)
        return (
            f"From {show(lowest, 'degC', habit, 3)} to {show(highest, 'degC', habit, 3)} in the hours of"
            f" {place.file}; nights of {name} reach {show(cold.day_low, 'degC', habit, 3)} on average."
            " A typical year's coldest hour is no record: voltages are judged by the lines."
        )
    if place.air_months:
        low, high = (end(place.air_months) for end in (min, max))
        coldest = MONTHS[place.air_months.index(low)]
        return (
            f"Monthly means from {show(low, 'degC', habit, 3)} in {coldest} to"
            f" {show(high, 'degC', habit, 3)}. Means hide nights and noons. {READ}"
        )
    return ""


def wind(place: Place, habit: str) -> str:
    """Mean, shape, and where both are from."""
    winds = place.winds
    if winds is None:
        return ""
    text = f"Mean {show(winds.mean, 'm/s', habit, 3)} at {show(winds.height, 'm', habit, 3)} over ground,"
    text += f" Weibull shape {winds.shape:.2f}" + (", assumed." if winds.shape_assumed else ".")
    if winds.calm is not None:
        calm = show(winds.calm, "%", digits=2)
        return f"{text} Bars: hours of {place.file}, {calm} of them calm. Line: what was fitted."
    return f"{text} The line follows from these two. {READ}"


def dark(place: Place, habit: str) -> str:
    """The days with least sun, and how they compare with their month."""
    days = place.days
    if days is not None and days.darkest is not None:
        found = days.darkest
        year = "" if days.year is None else f" {days.year}"
        first, last = (f"{day} {MONTHS[month - 1]}" for month, day in (found.first, found.last))
        share = show(found.mean / days.mean, "%", digits=2) if days.mean else "none"
        return (
            f"{first} to {last}{year} has least sun: {_sun(found.mean, habit)} a day, {share} of the year's"
            f" mean of {_sun(days.mean, habit)}. By {place.file}; other years have darker ones."
        )
    if place.sun:
        least = min(place.sun)
        said = f", a {place.sun_assumed}" if place.sun_assumed else " by the sun of the months"
        return (
            f"{MONTHS[place.sun.index(least)]} has least sun, {_sun(least, habit)} a day{said}."
            f" Which fortnight is darkest only hours show. {READ}"
        )
    return ""


def _sun(energy: float, habit: str) -> str:
    return show(energy, "Wh/m^2", habit, 3)


def empty(view: str) -> str:
    """What to do where there is nothing to show."""
    return {
        "sun path": "Enter the latitude to see the sun's way over the sky, or read a weather file.",
        "air": "Enter the air by month, under More, or read a weather file.",
        "wind": "Enter the mean wind speed, under More, or read a weather file.",
        "dark": "Enter the sun by month, or latitude and longitude for a coarse default,"
        " or read a weather file.",
    }[view]
