"""The earth electrode: that there is one, how thick its conductor is, and that all electrodes are joined."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_below, unknown
from engine.sections.electrode import SUPPLIES, electrode
from engine.sections.results import ask

APART = "Electrodes that are not joined stand volts apart in a fault or a stroke, and equipment bridges them."


def earth_electrode(case: Case) -> Iterator[Finding]:
    """Frames, tower and one pole or neutral go to an electrode, by a conductor that carries the fault."""
    site, source = case.design.site, case.family.clause("electrode")
    if not case.circuits:
        return
    if site.electrode is None:
        title, missing = "Not known what the system is earthed by", ask("site", site, "electrode")
        yield unknown("earth-electrode", "site", title, missing, source, Signal.WARNING)
        return
    if site.electrode == "none":
        yield Finding(
            rule="earth-electrode",
            where="site",
            field="site.electrode",
            status=Status.FAILS,
            signal=Signal.WARNING,
            title="No earth electrode",
            remedy="An electrode for frames, enclosures and lightning, the system earthed or not.",
            value="none",
            limit="an electrode",
            source=source,
        )
        return
    found = electrode(case.design, case.family, case.circuits)
    if found is None:
        supplies = [each for each in case.circuits.values() if each.kind in sum(SUPPLIES.values(), ())]
        missing = tuple(item for each in supplies if each.conductor is None for item in each.missing)
        title = f"Not known which conductor the earth electrode ({site.electrode}) needs"
        yield unknown("earth-electrode", "site", title, missing, source, Signal.WARNING)
        return
    least, fixed = found[0].result.size, site.electrode_conductor
    thin = fixed is not None and over(least.area_mm2, fixed.area_mm2)
    told = f", fixed at {fixed.text}" if fixed is not None else ""
    yield Finding(
        rule="earth-electrode",
        where="site",
        field="site.electrode_conductor",
        status=Status.FAILS if thin else Status.MEETS,
        signal=Signal.WARNING if thin else Signal.NONE,
        title=f"Earth electrode ({site.electrode}): copper conductor of {least.text} at least{told}",
        remedy="A larger conductor to the electrode." if thin else "",
        value=least.area_mm2,
        limit=None if fixed is None else fixed.area_mm2,
        unit="mm^2",
        margin=None if fixed is None else room_below(least.area_mm2, fixed.area_mm2),
        source=source,
        steps=found,
    )


def electrodes_joined(case: Case) -> Iterator[Finding]:
    """Where a source or generator stands apart, its electrode and the house's must be one system."""
    design, source = case.design, case.family.clause("electrodes")
    fields = [array for array in design.arrays if array.on_building is False]
    if not (fields or design.wind or design.hydro or design.generators):
        return
    joined = design.site.electrodes_joined
    if joined is None:
        title = "Not known whether all earth electrodes are joined"
        missing = ask("site", design.site, "electrodes_joined")
        yield unknown("electrodes-joined", "site", title, missing, source, Signal.WARNING)
        return
    yield Finding(
        rule="electrodes-joined",
        where="site",
        field="site.electrodes_joined",
        status=Status.MEETS if joined else Status.FAILS,
        signal=Signal.NONE if joined else Signal.WARNING,
        title="All earth electrodes are joined" if joined else "The earth electrodes are not joined",
        remedy="" if joined else f"{APART} A bonding conductor between all of them, with the run.",
        value="joined" if joined else "apart",
        limit="joined",
        source=source,
    )
