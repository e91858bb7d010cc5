"""Relays: contacts that stand what they switch, sensible thresholds, no chatter, a safe state at rest."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Relay
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, over, under, unknown
from engine.sections.diverting import means_beside
from engine.sections.relays import RelayResult
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE
from engine.units import Quantity

VOLTS = ("battery voltage", "state of charge")
RISING = (*VOLTS, "temperature", "source voltage")


def _each(case: Case) -> Iterator[tuple[Relay, str, RelayResult]]:
    for relay in case.design.relays:
        result = case.relays.get(relay.id)
        if result is not None:
            yield relay, f"relays.{relay.id}", result


def contact_voltage(case: Case) -> Iterator[Finding]:
    """A contact parts a direct current only up to its dc rating; above it the arc does not go out."""
    for relay, where, result in _each(case):
        value, limit = result.contact_voltage, relay.contact_voltage
        if value is None or limit is None:
            missing = (*ask(where, relay, "contact_voltage"), *result.missing)
            title = f"{result.label}: not known whether its contact parts the voltage"
            yield unknown("relay-contact-voltage", where, title, missing, COMMON_PRACTICE, Signal.WARNING)
            continue
        yield at_most(
            rule="relay-contact-voltage",
            where=where,
            field=f"{where}.contact_voltage",
            signal=Signal.WARNING,
            title=f"{result.label}: its contact is rated for {case.show(limit, 'V')} dc, "
            f"{case.show(value, 'V')} stand on it",
            remedy="A contact rated for this dc voltage: above it the arc burns on.",
            value=value,
            limit=limit,
            unit="V",
            source=COMMON_PRACTICE,
        )


def contact_current(case: Case) -> Iterator[Finding]:
    """A contact makes and breaks the most that its load draws, surges included."""
    for relay, where, result in _each(case):
        value, limit = result.contact_current, relay.contact_current
        if value is None or limit is None:
            missing = (*ask(where, relay, "contact_current"), *result.missing)
            title = f"{result.label}: not known whether its contact stands the current"
            yield unknown("relay-contact-current", where, title, missing, COMMON_PRACTICE, Signal.WARNING)
            continue
        motor, worse, said = result.contact_if_motor, Status.FAILS, ""
        if motor is not None and over(motor, limit) and not over(value, limit):
            value, worse, said = motor, Status.MARGINAL, " if its load is a motor, of which nobody said"
        yield at_most(
            rule="relay-contact-current",
            where=where,
            field=f"{where}.contact_current",
            worse=worse,
            signal=Signal.WARNING,
            title=(
                f"{result.label}: its contact is rated for {case.show(limit, 'A')} dc, "
                f"{case.show(value, 'A')} run through it{said}"
            ),
            remedy="A larger contact, or a contactor that this relay only drives: it welds or burns.",
            value=value,
            limit=limit,
            unit="A",
            source=COMMON_PRACTICE,
        )


def solid_state(case: Case) -> Iterator[Finding]:
    """A solid-state relay made for ac waits for a zero of the current, which dc never has."""
    for relay, where, result in _each(case):
        pulses = bool(relay.use("pulse_width"))
        if relay.solid_state is None or (relay.solid_state and relay.solid_state_dc is None):
            missing = ask(where, relay, "solid_state" if relay.solid_state is None else "solid_state_dc")
            title = f"{result.label}: not known whether it lets go of a direct current"
            yield unknown("relay-solid-state", where, title, missing, COMMON_PRACTICE, Signal.WARNING)
            continue
        stuck = relay.solid_state and not relay.solid_state_dc
        worn = pulses and not relay.solid_state
        yield Finding(
            rule="relay-solid-state",
            where=where,
            field=f"{where}.{'solid_state_dc' if stuck else 'solid_state'}",
            status=Status.FAILS if stuck or worn else Status.MEETS,
            signal=Signal.WARNING if stuck or worn else Signal.NONE,
            title=f"{result.label}: {_solid_state_told(bool(relay.solid_state), bool(stuck), worn)}",
            remedy="A solid-state relay made for dc: this one never lets go."
            if stuck
            else "A solid-state relay made for dc: a contact that pulses is worn out within days."
            if worn
            else "",
            value="made for ac" if stuck else "contact" if worn else "sound",
            limit="made for dc",
            source=COMMON_PRACTICE,
        )


def _solid_state_told(solid: bool, stuck: bool, worn: bool) -> str:
    if stuck:
        return "a solid-state relay made for ac on a direct current"
    if worn:
        return "a mechanical contact is to pulse"
    return "a solid-state relay made for dc" if solid else "a mechanical contact"


def thresholds(case: Case) -> Iterator[Finding]:
    """On and off must differ, in the order that its use wants, and be reached by this battery."""
    for relay, where, result in _each(case):
        wanted = ask(where, relay, "purpose", "watches", "on_at", "off_at", "rest_state")
        if wanted or result.closes is None or result.opens is None or result.use is None:
            title = f"{result.label}: not known when it switches"
            yield unknown("relay-thresholds", where, title, wanted, COMMON_PRACTICE, result_signal(result))
            continue
        fault, name = _threshold_fault(case, relay, result)
        both = (relay.on_at, relay.off_at)
        closes, opens = both if relay.rest_state == "open" else both[::-1]
        yield Finding(
            rule="relay-thresholds",
            where=where,
            field=f"{where}.{name}",
            status=Status.FAILS if fault else Status.MEETS,
            signal=result_signal(result) if fault else Signal.NONE,
            title=f"{result.label}: its contact closes at {closes}, opens at {opens}",
            remedy=fault,
            value=str(relay.on_at),
            limit=str(relay.off_at),
            source=COMMON_PRACTICE,
        )


def result_signal(result: RelayResult) -> Signal:
    """How badly people can be hurt where it does not do its work: the worse of stuck shut and stuck open."""
    return Signal.WARNING if result.use is None else min(result.use.open_signal, result.use.shut_signal)


def _threshold_fault(case: Case, relay: Relay, result: RelayResult) -> tuple[str, str]:
    """What is wrong with a relay's thresholds, and the field to mend."""
    closes, opens, use, bank = result.closes, result.opens, result.use, case.design.bank
    low, high = bank.lowest_voltage, bank.highest_voltage
    opening, closing = ("off_at", "on_at") if relay.rest_state == "open" else ("on_at", "off_at")
    if closes == opens:
        return "Two different thresholds: with no hysteresis it chatters.", "off_at"
    if not isinstance(closes, Quantity) or not isinstance(opens, Quantity) or use is None:
        return "", "on_at"
    if relay.watches in RISING and use.rises != (closes > opens):
        order = "above" if use.rises else "below"
        return (
            f"Its contact must close {order} where it opens: exchange the two, or the state at rest.",
            "on_at",
        )
    drops = relay.purpose == "low-voltage disconnect"
    if relay.watches == "battery voltage":
        if drops and low is not None and under(opens, low):
            return f"Drop the loads at {case.show(low, 'V')} or above, the bank's lowest.", opening
        if not use.rises and low is not None and under(closes, low):
            return f"Come on at {case.show(low, 'V')} or above: below, the loads are cut off.", closing
        if use.rises and high is not None and over(closes, high):
            return f"Close at {case.show(high, 'V')} or below, the highest that the bank reaches.", closing
    if relay.watches == "state of charge" and bank.depth is not None:
        least = 1 - float(bank.depth)
        if drops and under(opens, least):
            return f"Drop the loads at {case.show(least, '%')} or above, the bank's allowed depth.", opening
        if not use.rises and under(closes, least):
            return f"Come on at {case.show(least, '%')} or above, the bank's allowed depth.", closing
    return "", "on_at"


def chatter(case: Case) -> Iterator[Finding]:
    """A relay whose own load swings the voltage through its hysteresis may not cycle too fast."""
    for relay, where, result in _each(case):
        if relay.watches != "battery voltage" or relay.use("pulse_width"):
            continue
        found = result.chatter
        if found is None or result.use is None:
            title = f"{result.label}: not known whether it chatters"
            missing = result.chatter_missing
            yield unknown("relay-chatter", where, title, missing, COMMON_PRACTICE, Signal.CAUTION)
            continue
        limit = result.use.shortest
        told = "through" if found.swings_through else "within"
        yield Finding(
            rule="relay-chatter",
            where=where,
            field=f"{where}.least_on",
            status=Status.FAILS if found.chatters else Status.MEETS,
            signal=Signal.CAUTION if found.chatters else Signal.NONE,
            title=(
                f"{result.label}: its load swings the battery by {case.show(found.swing, 'V')}, {told} its "
                f"hysteresis; a cycle takes {case.show(found.cycle, 's')}"
            ),
            remedy=(
                f"A least on-time of {case.show(found.least_on_needed, 's')}, or a hysteresis wider than "
                f"{case.show(found.swing, 'V')}: chatter welds contacts and harms what they drive."
                if found.chatters
                else ""
            ),
            value=float(found.cycle) if found.swings_through else float(limit),
            limit=float(limit),
            unit="s",
            source=COMMON_PRACTICE,
            steps=(result.steps["chatter"],),
        )


def rest_state(case: Case) -> Iterator[Finding]:
    """A relay that has lost its power must not leave people or battery without protection."""
    for relay, where, result in _each(case):
        wanted = ask(where, relay, "purpose", "rest_state")
        use = result.use
        if wanted or use is None:
            title = f"{result.label}: not known what it leaves behind without power"
            yield unknown("relay-rest-state", where, title, wanted, COMMON_PRACTICE, result_signal(result))
            continue
        safe = relay.rest_state == use.protects
        left = use.open if use.protects == "closed" else use.shut
        danger = use.open_signal if use.protects == "closed" else use.shut_signal
        beside = means_beside(case.design, relay, case.controllers, case.relays) if not safe else ""
        grave = relay.purpose in ("brake", "diversion load") and not beside
        bad = not safe and not beside
        told = ", its safe state" if safe else f"; without power {beside} protects" if beside else ""
        yield Finding(
            rule="relay-rest-state",
            where=where,
            field=f"{where}.rest_state",
            status=Status.FAILS if bad and grave else Status.MARGINAL if bad else Status.MEETS,
            signal=danger if bad else Signal.NONE,
            title=f"{result.label}: {relay.rest_state} at rest{told}",
            remedy=f"{left} Let it protect at rest: {use.protects} without power." if bad else "",
            value=str(relay.rest_state),
            limit=use.protects,
            source=COMMON_PRACTICE,
        )
