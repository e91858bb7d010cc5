"""The penstock's diameter against its price: what each gives in a year, and what its water costs a kWh.

Everything but the diameter stays as it is, the nozzles too: through a narrower pipe they pass less. Counted
is what reaches the battery, month by month. The price is that of the pipe alone: trench, joints, anchors and
a thicker wall for its pressure are left out, and a pipe of another wall is to be judged by the rules first.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engine.design import Design, HydroTurbine
from engine.evaluation import Evaluation
from engine.sections import hydro as hydro_section
from engine.sections.results import Floats, Missing, ask
from engine.units import Quantity

LIFE = 20.0  # years that a plastic pipe is written off over (common practice)
PLACES = 17  # diameters of the drawn curve
NARROWER, WIDER = 0.7, 1.4  # its ends, times the narrowest and the widest pipe looked at


@dataclass(frozen=True, slots=True)
class Choice:
    """One pipe that has a price: inside ``diameter`` [mm], ``power`` into the battery at full flow [W],
    ``year`` [Wh], its ``price``, what that is for each kWh of its ``LIFE``, and ``total``: the price with the
    energy made good that the widest pipe gives more, by the generator; ``None`` without that one's price."""

    diameter: float
    power: float
    year: float
    price: float
    per_kwh: float | None
    total: float | None


@dataclass(frozen=True, slots=True, eq=False)
class PipeTrade:
    """``diameters`` [mm] with ``powers`` [W] at full flow and ``years`` [Wh], the ``now`` of the design, the
    ``choices`` from narrow to wide, and the ``best`` of them: of least total, without a generator's price of
    least money a kWh. ``why`` says why there is nothing to compare, ``missing`` what to enter."""

    turbine: str
    diameters: Floats
    powers: Floats
    years: Floats
    now: tuple[float, float, float] | None = None
    choices: tuple[Choice, ...] = ()
    best: Choice | None = None
    by_total: bool = False
    missing: tuple[Missing, ...] = ()
    why: str = ""


def trade(evaluation: Evaluation, id: str) -> PipeTrade | None:
    """Other diameters for the penstock of a hydro turbine; ``None`` where there is none of that id."""
    design = evaluation.design
    turbine, result = design.find("hydro", id), evaluation.hydro.get(id)
    if not isinstance(turbine, HydroTurbine) or result is None:
        return None
    nothing: Floats = np.zeros(0)
    if result.year is None or result.water.pipe is None:
        return PipeTrade(
            id, nothing, nothing, nothing, missing=result.missing, why="The turbine's year first."
        )
    present = result.water.pipe.diameter
    priced = design.prices.pipe_metre or ()
    offered = [float(diameter) for diameter, _ in priced]
    ends = (NARROWER * min([present, *offered]), WIDER * max([present, *offered]))
    places: Floats = np.unique(np.append(np.linspace(*ends, PLACES), present))
    powers, years = _with(evaluation, turbine, places)
    at = int(np.searchsorted(places, present))
    choices = _choices(evaluation, turbine, priced)
    generator = design.prices.generator_kwh
    by_total = generator is not None and bool(choices)
    return PipeTrade(
        turbine=id,
        diameters=places,
        powers=powers,
        years=years,
        now=(present, float(powers[at]), float(years[at])),
        choices=choices,
        best=_best(choices),
        by_total=by_total,
        missing=() if choices and by_total else ask("prices", design.prices, "pipe_metre", "generator_kwh"),
    )


def _with(evaluation: Evaluation, turbine: HydroTurbine, diameters: Floats) -> tuple[Floats, Floats]:
    """Power at full flow [W] and energy of a year [Wh] into the battery with each diameter [mm]."""
    found = []
    for diameter in diameters.tolist():
        other = dataclasses.replace(turbine, pipe_diameter=Quantity(diameter))
        design = dataclasses.replace(evaluation.design, hydro=(other,))
        result = hydro_section.turbines(design, evaluation.controllers, evaluation.circuits)[turbine.id]
        full = result.tracked_output if _tracks(design, turbine) else result.direct_output
        found.append((full or 0.0, result.year or 0.0))
    both: Floats = np.array(found, float).reshape(-1, 2)
    return both[:, 0], both[:, 1]


def _tracks(design: Design, turbine: HydroTurbine) -> bool:
    record = design.find("controllers", turbine.controller)
    return record is not None and record.use("kind") == "tracking"


def _choices(
    evaluation: Evaluation, turbine: HydroTurbine, priced: Sequence[tuple[Quantity, Quantity]]
) -> tuple[Choice, ...]:
    if not priced or turbine.pipe_length is None:
        return ()
    diameters: Floats = np.array([float(diameter) for diameter, _ in priced])
    powers, years = _with(evaluation, turbine, diameters)
    generator, most = evaluation.design.prices.generator_kwh, float(years.max())
    found = []
    for at, (diameter, metre) in enumerate(priced):
        price, year = float(metre) * float(turbine.pipe_length), float(years[at])
        short = LIFE * (most - year) / 1000
        found.append(
            Choice(
                diameter=float(diameter),
                power=float(powers[at]),
                year=year,
                price=price,
                per_kwh=price / (LIFE * year / 1000) if year > 0 else None,
                total=None if generator is None else price + short * float(generator),
            )
        )
    return tuple(found)


def _best(choices: Sequence[Choice]) -> Choice | None:
    totals = [choice for choice in choices if choice.total is not None and choice.year > 0]
    if totals:
        return min(totals, key=lambda choice: choice.total or 0.0)
    cheap = [choice for choice in choices if choice.per_kwh is not None]
    return min(cheap, key=lambda choice: choice.per_kwh or 0.0, default=None)
