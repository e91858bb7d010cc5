"""Several chargers on one bank: the same set points, one that leads, one shunt; and a voltage set by hand."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Controller, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_below, unknown
from engine.rules.shared.charging import set_up
from engine.sections.charging import FIELDS, Charging, usual
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE

APART = (
    0.005  # share of the bank's set point that a charger's own may differ (common practice: 0.1 V at 24 V)
)


def charger_setpoints(case: Case) -> Iterator[Finding]:
    """What a charger is set to by itself against the set points of the bank."""
    found = set_up(case)
    if found is None:
        return
    for item in case.chargers:
        given = [
            (name, float(volts))
            for name, path in FIELDS.items()
            if (volts := getattr(item, path)) is not None and found.stage(name) is not None
        ]
        if given:
            yield _own(case, found, item, given)


def _own(case: Case, found: Charging, item: Controller, given: list[tuple[str, float]]) -> Finding:
    def apart(pair: tuple[str, float]) -> float:
        stage = found.stage(pair[0])
        return 0.0 if stage is None else (pair[1] - stage.volts) / stage.volts

    name, value = max(given, key=lambda pair: abs(apart(pair)))
    stage = found.stage(name)
    limit = 0.0 if stage is None else stage.volts
    differs = over(abs(apart((name, value))), APART)
    never = usual(str(found.chemistry), "never_above")
    bad = never is not None and any(over(volts, never * (found.cells or 1)) for _, volts in given)
    path = f"controllers.{item.id}"
    return Finding(
        rule="charger-setpoints",
        where=path,
        field=f"{path}.{FIELDS[name]}",
        status=Status.FAILS if bad else Status.MARGINAL if differs else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.CAUTION if differs and value > limit else Signal.NONE,
        title=(
            f"{label(item)} is set to {name} {case.show(value, 'V')}, the bank's is {case.show(limit, 'V')}"
        ),
        remedy=(
            "Give all chargers of one bank the same set points: the highest overcharges, and the others stop "
            "early and take it for full."
            if bad or differs
            else ""
        ),
        value=value,
        limit=limit,
        unit="V",
        margin=room_below(value, limit),
        source=COMMON_PRACTICE,
    )


def charger_lead(case: Case) -> Iterator[Finding]:
    """Of several chargers one decides on the stage; two that do hold each other up."""
    held = case.chargers
    if set_up(case) is None or len(held) < 2:
        return
    leading = [item for item in held if item.leads]
    alone = [item for item in held if not item.network]
    good = len(leading) == 1 and not alone
    if len(leading) > 1:
        title = f"{len(leading)} chargers lead: {', '.join(label(item) for item in leading)}"
        remedy = "Let one lead and the others follow it."
    elif not leading:
        title = f"None of the {len(held)} chargers leads: each goes to float by itself"
        remedy = "Join them by data and let one lead, or set absorption by time, equal in all."
    elif alone:
        title = f"{label(leading[0])} leads, but {label(alone[0])} is not joined to it by data"
        remedy = "Join it, or set it to the same stages by time."
    else:
        title, remedy = f"{label(leading[0])} leads the other chargers by data", ""
    yield Finding(
        rule="charger-lead",
        where="bank",
        field=f"controllers.{(leading or held)[-1].id}.leads",
        status=Status.MEETS if good else Status.MARGINAL,
        signal=Signal.NONE if good else Signal.NOTICE,
        title=title,
        remedy=remedy,
        value=float(len(leading)),
        limit=1.0,
        unit="1",
        source=COMMON_PRACTICE,
    )


def charge_shunt(case: Case) -> Iterator[Finding]:
    """With several chargers the end current is the bank's, and only a shunt at the bank sees it."""
    held, bank = case.chargers, case.design.bank
    if set_up(case) is None or len(held) + len(case.design.generators) < 2:
        return
    if bank.shunt is None:
        title = "Not known where the bank's charge current is measured"
        yield unknown("charge-shunt", "bank", title, ask("bank", bank, "shunt"), COMMON_PRACTICE)
        return
    good = bank.shunt == "at the bank"
    told = {
        "at the bank": "A shunt at the bank sees all that goes in and out",
        "at one charger": "The shunt sees one charger's current, not the bank's",
        "none": "Nothing measures the bank's current",
    }
    yield Finding(
        rule="charge-shunt",
        where="bank",
        field="bank.shunt",
        status=Status.MEETS if good else Status.MARGINAL,
        signal=Signal.NONE if good else Signal.NOTICE,
        title=told[bank.shunt],
        remedy=(
            ""
            if good
            else "A shunt in the bank's one lead, beside its device; until then end absorption by time."
        ),
        value=bank.shunt,
        limit="at the bank",
        source=COMMON_PRACTICE,
    )


def nominal_choice(case: Case) -> Iterator[Finding]:
    """A charger that finds the nominal voltage by itself takes a drained 24 V bank for one of 12 V."""
    for item in case.design.controllers:
        if item.nominal_choice is None:
            continue
        path, good = f"controllers.{item.id}", item.nominal_choice == "set by hand"
        yield Finding(
            rule="controller-nominal",
            where=path,
            field=f"{path}.nominal_choice",
            status=Status.MEETS if good else Status.MARGINAL,
            signal=Signal.NONE if good else Signal.CAUTION,
            title=(
                f"{label(item)}: the battery's nominal voltage is set by hand"
                if good
                else f"{label(item)} looks for the battery's nominal voltage at each start"
            ),
            remedy=(
                ""
                if good
                else "Set it by hand, and read it again after every loss of power: a drained bank is taken "
                "for a smaller one and charged at half its volts."
            ),
            value=item.nominal_choice,
            limit="set by hand",
            source=COMMON_PRACTICE,
        )
