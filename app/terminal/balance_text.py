"""The balance of the months in ``farstead check``: its JSON, and its schedule in text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine import units
from engine.sections.balance import Balance, BalanceMonth


def as_json(balance: Balance) -> dict[str, Any]:
    """The twelve months as JSON, none where a datum is missing; energies are of a day of the month."""
    return {
        "worst_month": None if balance.worst is None else balance.months[balance.worst].name,
        "months": [_month(balance, at, month) for at, month in enumerate(balance.months)],
        "generator": balance.generator or None,
        "generator_hours": units.as_json(balance.hours, "h") if balance.months else None,
        "generator_energy": units.as_json(balance.made, "Wh") if balance.months else None,
        "generator_cost": balance.cost,
        "missing": [{"path": item.path, "title": item.title} for item in balance.missing],
    }


def _month(balance: Balance, at: int, month: BalanceMonth) -> dict[str, Any]:
    return {
        "month": month.name,
        "sources": [
            {
                "source": source.path,
                "given": units.as_json(source.months[at].given, "Wh"),
                "links": [{"name": link.name, "share": link.share} for link in source.months[at].links],
                "bank": units.as_json(source.months[at].bank, "Wh"),
            }
            for source in balance.sources
        ],
        "demand": units.as_json(month.demand, "Wh"),
        "surplus": units.as_json(month.surplus, "Wh"),
        "generator_hours": units.as_json(month.generator, "h"),
    }


def rows(balance: Balance, habit: str) -> list[tuple[str, ...]]:
    """The months as a table, heads first; the worst month is marked."""
    heads = ("Month", *(source.label for source in balance.sources), "Loads", "Surplus", "Generator")
    lines = [heads]
    for at, month in enumerate(balance.months):
        energies = (*month.sources, month.demand, month.surplus)
        run = "unknown" if month.generator is None else units.show(month.generator, "h", habit, 3)
        if month.generator is None and not balance.generator_missing:
            run = "none"
        name = f"{month.name}, the worst" if at == balance.worst else month.name
        lines.append((name, *(units.show(each, "Wh", habit, 3) for each in energies), run))
    return lines


def told(balance: Balance, habit: str) -> Iterator[str]:
    """The chain of each source in the worst month, a line each."""
    if balance.worst is None:
        return
    for source in balance.sources:
        chain = source.months[balance.worst]
        links = ", ".join(f"{link.name} {units.show(link.share, '%', habit, 3)}" for link in chain.links)
        begins = f"{units.show(chain.given, 'Wh', habit, 3)} of {source.begins}"
        name, ends = balance.months[balance.worst].name, units.show(chain.bank, "Wh", habit, 3)
        yield f"{source.label}, {name}: {begins}; {links}; {ends} counts at the battery."
