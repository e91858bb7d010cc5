"""The bank in the verdict's JSON: what it needs and has, its currents, its housing, its mass and cost."""

from __future__ import annotations

from typing import Any

from engine import units
from engine.evaluation import Evaluation


def as_json(evaluation: Evaluation) -> dict[str, Any]:
    """The bank as the contract's JSON: quantities with their units, ``null`` where a datum is missing."""
    bank, result = evaluation.design.bank, evaluation.bank
    size, currents, house, body = result.capacity, result.currents, result.housing, result.body
    cost, floor = body.cost, body.floor

    def energy(value: float | None) -> Any:
        return units.as_json(value, "Wh")

    def amps(value: float | None) -> Any:
        return units.as_json(value, "A")

    return {
        "chemistry": bank.chemistry,
        "series": bank.series,
        "strings": bank.strings,
        "capacity": units.as_json(size.capacity, "Ah"),
        "installed": energy(size.installed),
        "usable": energy(size.usable),
        "needed": energy(size.needed),
        "needed_new": energy(size.needed_new),
        "needed_strings": size.needed_strings,
        "chain": [
            {"name": stage.name, "factor": stage.why or None, "energy": energy(stage.energy)}
            for stage in size.chain
        ],
        "carried": units.as_json(size.carried, "h"),
        "carried_new": units.as_json(size.carried_new, "h"),
        "peak_time": units.as_json(size.peak_time, "h"),
        "charge_least": amps(currents.least),
        "charge_sources": amps(currents.sources),
        "charge_all": amps(currents.all),
        "charge_limit": amps(bank.charge_current),
        "drawn": amps(currents.drawn),
        "discharge_limit": amps(bank.discharge_current),
        "freezing": units.as_json(result.freezing, "degC"),
        "airflow": units.as_json(house.airflow, "m^3/h"),
        "opening": units.as_json(house.opening, "cm^2"),
        "spark_distance": units.as_json(house.distance, "m"),
        "mass": units.as_json(None if floor is None else floor.mass, "kg"),
        "floor": units.as_json(None if floor is None else floor.pressure, "Pa"),
        "price": body.price,
        "per_stored_kwh": None if cost is None else cost.per_stored,
        "per_usable_kwh": None if cost is None else cost.per_usable,
        "per_cycled_kwh": None if cost is None else cost.per_cycled,
        "missing": [{"path": item.path, "title": item.title} for item in size.missing],
        "assumed": [
            {"path": item.path, "title": item.title, "value": item.text, "why": item.why}
            for item in size.assumed
        ],
    }
