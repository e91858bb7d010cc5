"""Generators: what their ac reaches, and that no panel is fed by two sources at once."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, unknown
from engine.sections.results import ask


def generator_transfer(case: Case) -> Iterator[Finding]:
    """A generator on the panel that an inverter feeds destroys the inverter, and can shock a person."""
    source = case.family.clause("transfer")
    for generator in case.design.generators:
        where, feeds = f"generators.{generator.id}", generator.feeds
        if feeds is None:
            title, missing = (
                f"{label(generator)}: not known what its ac reaches",
                ask(where, generator, "feeds"),
            )
            yield unknown("generator-transfer", where, title, missing, source, Signal.DANGER)
            continue
        bad = feeds == "the panel" and bool(case.design.inverters)
        yield Finding(
            rule="generator-transfer",
            where=where,
            field=f"{where}.feeds",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.DANGER if bad else Signal.NONE,
            title=f"{label(generator)}: feeds {feeds}{', which the inverter feeds too' if bad else ''}",
            remedy="A transfer switch, or its ac to a charger only: two sources may never meet."
            if bad
            else "",
            value=feeds,
            limit="a transfer switch",
            source=source,
        )
