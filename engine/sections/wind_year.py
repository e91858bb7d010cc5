"""What a wind turbine gives in a year: straight on the battery, tracked, and on the load curve entered."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from engine.design import Design, WindTurbine
from engine.physics.load_curve import entered_curve
from engine.physics.wind import weibull_energy
from engine.sections.results import Floats
from engine.sections.wind_states import WINDS, on_curve


def year(design: Design, turbine: WindTurbine, values: Mapping[str, Any]) -> dict[str, Any]:
    """Energies of a year [Wh], what tracking gains, and the steady states on the load curve entered.

    ``values``: its controller's kind, the machine, its steady states over ``WINDS``, and the mean wind
    with its shape.
    """
    mean, shape, found = values.get("mean_wind"), values["shape"], dict[str, Any]()
    tied, best = values.get("tied"), values.get("best")
    controller = design.find("controllers", turbine.controller)
    if turbine.load_points is not None and best is not None and values["kind"] == "tracking":
        found |= {
            "load": entered_curve(turbine.load_points),
            "on_load": on_curve(values["machine"], turbine.load_points, values["battery"]),
        }
    if not mean:
        return found

    def energy(power: Floats) -> float:
        return weibull_energy(power, WINDS, mean, shape)

    if turbine.power_points is not None:
        speeds, watts = zip(*turbine.power_points, strict=True)
        found["energy_maker"] = energy(np.interp(WINDS, speeds, watts, left=0.0, right=0.0))
    if tied is None or best is None:
        return found
    found |= {"energy_direct": energy(tied.power), "energy_tracked": energy(best.power)}
    into, held = found["energy_tracked"], best
    if "on_load" in found:
        held = found["on_load"]
        into = found["energy_load"] = energy(held.power)
    points = getattr(controller, "efficiency_points", None)
    if points:
        ratios, shares = zip(*points, strict=True)
        share = np.interp(held.voltage / values["battery"], ratios, shares)
        into = found["energy_battery"] = energy(held.power * share)
    if found["energy_direct"] > 0:
        found["gain"] = into / found["energy_direct"]
    return found
