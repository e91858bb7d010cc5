"""Whether a device in hand may go into each circuit of a design: what the rules say with it put there."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

from engine.design import Circuit, Design, Device
from engine.evaluation import PROGRAM, Evaluation, evaluate
from engine.finding import Finding, Signal, Status, worst_first
from engine.in_hand.printed import ID
from engine.in_hand.sayings import against, number, saying
from engine.physics.altitude import MADE_FOR
from engine.sections.memory import Memory
from engine.sections.results import CircuitResult
from engine.units import show

Group = tuple[tuple[str, ...], Mapping[tuple[str, str], Status]]
"""Circuits that are judged together, and what the rules say at each place while no device stands in them."""

_GROUPS: Memory[tuple[Group, ...]] = Memory(4)
_RECORDS: Memory[Circuit] = Memory(1024)


class Fit(IntEnum):
    """Worst first."""

    UNFIT = 0
    UNKNOWN = 1
    FIT = 2

    @property
    def word(self) -> str:
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Verdict:
    """A device in one circuit.

    ``reasons`` are the findings that the rules make of it there, worst first; ``decides`` the one of them
    that settles it (for a fit the one with the least room), ``number`` its value against its limit. ``lacks``
    names what is not printed, ``asks`` the fields of the design that are not entered. ``disconnect`` where
    the circuit needs no overcurrent device, so that it only has to open and carry. ``beside`` is the end of
    ``says``: what to mind though it fits.
    """

    circuit: str
    title: str
    fit: Fit
    reasons: tuple[Finding, ...] = ()
    decides: Finding | None = None
    number: str = ""
    says: str = ""
    lacks: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    disconnect: bool = False
    beside: str = ""

    @property
    def word(self) -> str:
        """The verdict in words."""
        if self.fit is not Fit.UNKNOWN:
            return "fit, with a warning" if self.status is Status.MARGINAL else self.fit.word
        return "not enough printed on it to say" if self.lacks else "not enough known of the circuit to say"

    @property
    def status(self) -> Status:
        """The verdict as a status, for its mark."""
        if self.fit is Fit.UNFIT:
            return Status.FAILS
        if self.fit is Fit.UNKNOWN:
            return Status.UNKNOWN
        return min((reason.status for reason in self.reasons), default=Status.MEETS)


def judge(evaluation: Evaluation, device: Device) -> tuple[Verdict, ...]:
    """One verdict for each circuit of the design, in the order of the line."""
    return judge_all(evaluation, (device,))[0]


def judge_all(evaluation: Evaluation, devices: Iterable[Device]) -> tuple[tuple[Verdict, ...], ...]:
    """The verdicts on several devices, each judged alone, beside the devices the design has elsewhere."""
    groups = _GROUPS.recall((evaluation,), lambda: tuple(_grouped(evaluation)))
    return tuple(_verdicts(evaluation, groups, device) for device in devices)


def _grouped(evaluation: Evaluation) -> Iterator[Group]:
    for ids in _apart(evaluation.circuits):
        yield ids, _by_place(evaluate(_put(evaluation.design, ids, None)))


def _apart(circuits: Mapping[str, CircuitResult]) -> tuple[tuple[str, ...], ...]:
    """The circuits in groups in which none feeds another, so that a device put into all of a group never
    stands behind itself."""
    groups: dict[int, list[str]] = {}
    for id in circuits:
        groups.setdefault(_depth(circuits, id) % 2, []).append(id)
    return tuple(tuple(ids) for ids in groups.values())


def _depth(circuits: Mapping[str, CircuitResult], id: str) -> int:
    """How many circuits feed one, one behind the other."""
    above: list[str] = []
    while (id := circuits[id].behind) in circuits and id not in above:
        above.append(id)
    return len(above)


def somewhere(verdicts: Iterable[Verdict]) -> Fit:
    """The best of the verdicts: fit where it fits at least one circuit, unfit where it fits none."""
    return max((verdict.fit for verdict in verdicts), default=Fit.UNKNOWN)


def tally(verdicts: Sequence[Verdict]) -> str:
    """In how many circuits it fits, and what shuts it out of the others."""
    fits = sum(verdict.fit is Fit.FIT for verdict in verdicts)
    told = f"Fits {fits} of {len(verdicts)} circuits."
    shut = [item.decides.rule for item in verdicts if item.fit is Fit.UNFIT and item.decides is not None]
    if shut:
        told += f" Against it: {against(shut)}."
    open_ = sum(verdict.fit is Fit.UNKNOWN for verdict in verdicts)
    return f"{told} Not known: {open_}." if open_ else told


def worst(fits: Iterable[Fit]) -> Fit:
    """The worst of several; fit where there is none."""
    return min(fits, default=Fit.FIT)


def _verdicts(evaluation: Evaluation, groups: Iterable[Group], device: Device) -> tuple[Verdict, ...]:
    design = evaluation.design
    device = device if device.id == ID else dataclasses.replace(device, id=ID)
    habit = str(design.about.use("units"))
    found: dict[str, Verdict] = {}
    for ids, before in groups:
        with_it = evaluate(_put(design, ids, device))
        for id in (id for id in ids if id in with_it.circuits):
            reasons = tuple(_of(with_it, id, device, before))
            verdict = _verdict(with_it.circuits[id], reasons, device, habit)
            high = verdict.fit is Fit.FIT and design.site.elevation is None
            found[id] = _with_elevation_asked(verdict, habit) if high else verdict
    return tuple(found[id] for id in evaluation.circuits if id in found)


def _with_elevation_asked(verdict: Verdict, habit: str) -> Verdict:
    """A verdict that says what it holds for, where nobody entered the elevation."""
    note = f"Its ratings hold up to {show(MADE_FOR, 'm', habit)}: the elevation is not entered."
    says, beside = (f"{text} {note}".strip() for text in (verdict.says, verdict.beside))
    return dataclasses.replace(verdict, says=says, beside=beside)


def _put(design: Design, ids: Iterable[str], device: Device | None) -> Design:
    """The design with one device in each of these circuits, or with none in any."""
    held = tuple(item for item in design.devices if item.id != ID)
    circuits = {item.id: item for item in design.circuits}
    for id in ids:
        circuits[id] = _holding(design.circuit(id), None if device is None else device.id)
    devices = held if device is None else (*held, device)
    return dataclasses.replace(design, circuits=tuple(circuits.values()), devices=devices)


def _holding(record: Circuit, device: str | None) -> Circuit:
    """A circuit's record with that device; the same one each time, so that it is computed once."""
    return _RECORDS.recall((record, device), lambda: dataclasses.replace(record, device=device))


def _by_place(evaluation: Evaluation) -> dict[tuple[str, str], Status]:
    """The worst status of each rule at each place."""
    found: dict[tuple[str, str], Status] = {}
    for finding in evaluation.findings:
        key = (finding.rule, finding.where)
        found[key] = min(finding.status, found.get(key, finding.status))
    return found


def _of(
    evaluation: Evaluation, circuit: str, device: Device, before: Mapping[tuple[str, str], Status]
) -> Iterator[Finding]:
    """What the device brings into a circuit: what the rules say of devices there, and what gets worse by it,
    there and for the devices that it feeds.

    That a fuse is no disconnect is said beside the verdict: a switch next to it mends that.
    """
    fed = {f"circuits.{item.id}" for item in evaluation.circuits.values() if item.behind == circuit}
    for finding in evaluation.findings:
        here = finding.where == f"circuits.{circuit}" or finding.rule == "program-failed"
        here = here or (finding.rule.startswith("selectivity") and finding.where in fed)
        if not here or finding.rule in ("device-rating", BESIDE[device.kind == "fuse"]):
            continue
        was = before.get((finding.rule, finding.where))
        if finding.rule.startswith(OF_DEVICES) or was is None or finding.status < was:
            yield finding


def _verdict(circuit: CircuitResult, found: tuple[Finding, ...], device: Device, habit: str) -> Verdict:
    reasons = worst_first(found)
    lacks = _lacks(device, circuit, reasons)
    fails = any(reason.status is Status.FAILS for reason in reasons)
    open_ = not reasons or lacks or any(reason.status is Status.UNKNOWN for reason in reasons)
    fit = Fit.UNFIT if fails else Fit.UNKNOWN if open_ else Fit.FIT
    decides = _deciding(reasons, fit)
    verdict = Verdict(
        circuit=circuit.id,
        title=circuit.title,
        fit=fit,
        reasons=reasons,
        decides=decides,
        number=number(decides, _highest(circuit), habit) if decides is not None else "",
        lacks=lacks,
        asks=_asks(reasons),
        disconnect=not circuit.device_needed,
    )
    if fit is Fit.UNKNOWN:
        return dataclasses.replace(verdict, says=_open_question(verdict, device))
    beside = " ".join(_beside(verdict, circuit, device))
    told = _deciding_words(decides, circuit, habit) if decides is not None else ""
    return dataclasses.replace(verdict, says=f"{told} {beside}".strip(), beside=beside)


def _highest(circuit: CircuitResult) -> float | None:
    known = [volts for volts in (circuit.voltage, circuit.voltage_record) if volts is not None]
    return max(known, default=None)


def _deciding(reasons: tuple[Finding, ...], fit: Fit) -> Finding | None:
    """The worst reason; of a fit device the one with the least room left."""
    if fit is not Fit.FIT or (reasons and reasons[0].status is not Status.MEETS):
        return reasons[0] if reasons else None
    measured = [reason for reason in reasons if reason.margin is not None and reason.unit in ("V", "A")]
    return min(measured, key=lambda reason: reason.margin or 0.0, default=reasons[0] if reasons else None)


OF_ARRAY = ("string", "run")  # circuits of an array up to its controller
OF_DEVICES = ("device-", "fault-withstand", "selectivity")
"""How rules that speak of a device are called; any other counts where the device makes its answer worse."""
BESIDE = {True: "disconnect", False: ""}

NEEDED = ("supply", "current", "kind", "polarity", "breaking", "poles")
"""What has to be printed on a device before anyone can say that it fits, beside its voltage."""


def _lacks(device: Device, circuit: CircuitResult, reasons: tuple[Finding, ...]) -> tuple[str, ...]:
    """What a device doesn't say of itself: its voltage for the circuit's kind of current, and ``NEEDED``.

    A switch breaks no fault; a fuse has neither poles nor a polarity of its own. What a rule asks of the
    device besides comes too.
    """
    names = [f"{circuit.system}_voltage", *NEEDED]
    if device.kind == "switch":
        names.remove("breaking")
    if device.kind == "fuse":
        names.remove("poles")
        names.remove("polarity")
    if circuit.system == "ac":
        names = [name for name in names if name != "polarity"]
    asked = [path.rpartition(".")[2] for path in _fields(reasons) if path.startswith(f"devices.{ID}.")]
    specs = Device.specs()
    bare = [name for name in dict.fromkeys((*names, *asked)) if getattr(device, name, None) is None]
    return tuple(specs[name].title for name in bare)


def _asks(reasons: tuple[Finding, ...]) -> tuple[str, ...]:
    """The fields of the design that an unknown reason waits for."""
    return tuple(dict.fromkeys(path for path in _fields(reasons) if not path.startswith(f"devices.{ID}")))


def _fields(reasons: tuple[Finding, ...]) -> Iterator[str]:
    return (reason.field for reason in reasons if reason.status is Status.UNKNOWN and reason.field)


def _beside(verdict: Verdict, circuit: CircuitResult, device: Device) -> Iterator[str]:
    """What to know of a device in a circuit besides what decides, as one would tell an apprentice."""
    fits = verdict.fit is Fit.FIT
    by_amps = verdict.decides is not None and verdict.decides.rule == "device-current"
    if verdict.disconnect and fits and device.kind == "fuse":
        yield "This circuit needs no overcurrent device."
    elif verdict.disconnect and fits:
        yield "This circuit needs no overcurrent device: here it serves as the disconnect."
    elif verdict.disconnect and _too_large(verdict):
        yield "No overcurrent device is needed here; a switch of that rating may be the disconnect."
    elif verdict.disconnect and by_amps:
        yield "No overcurrent device is needed here."
    if fits and device.kind != "fuse" and circuit.array is not None and circuit.kind in OF_ARRAY:
        yield "Look on it that it is listed for PV too: its ratings don't say so."
    if fits and device.kind == "fuse" and circuit.kind != "string":
        yield "A fuse is no disconnect: a switch that breaks the load goes beside it."


def _deciding_words(decides: Finding, circuit: CircuitResult, habit: str) -> str:
    """What the deciding reason says; one about a device that this one feeds names that device's circuit."""
    if decides.rule.startswith("selectivity") and decides.where != f"circuits.{circuit.id}":
        return f"{decides.title}. {decides.remedy}".strip()
    return saying(decides, habit)


def _too_large(verdict: Verdict) -> bool:
    """Whether all that speaks against a device is a rating larger than the conductor's."""
    if verdict.decides is None or verdict.decides.rule != "device-current":
        return False
    value, limit = verdict.decides.value, verdict.decides.limit
    return isinstance(value, float) and isinstance(limit, float) and value > limit


def _open_question(verdict: Verdict, device: Device) -> str:
    if verdict.lacks:
        told = f"Not printed on it: {', '.join(lower(name) for name in verdict.lacks)}."
        if device.supply == "ac and dc" and device.dc_voltage is None:
            told += " One number for both kinds does not say which: write it as 240 V ~ / 125 V =."
        return f"{told} Without that nobody can say that it fits."
    if verdict.decides is not None:
        return (
            f"{verdict.decides.title.partition(': ')[2] or verdict.decides.title}. {verdict.decides.remedy}"
        )
    return "Nothing about this circuit can be judged yet."


def lower(title: str) -> str:
    """A field's title inside a sentence; an abbreviation keeps its letters."""
    return title if title[:2].isupper() else title[:1].lower() + title[1:]


def as_finding(verdict: Verdict) -> Finding:
    """A verdict as one finding, for a card: the word first, then what to say, the number and every step.

    A card of what meets shows its title alone, so what is to be minded stands in it.
    """
    decides = verdict.decides
    steps = {step.sheet.id: step for reason in verdict.reasons for step in reason.steps}
    number = f", {verdict.number}" if verdict.number else ""
    minded = f". {verdict.beside}" if verdict.beside and verdict.status is Status.MEETS else ""
    return Finding(
        rule=decides.rule if decides is not None else "device",
        where=f"circuits.{verdict.circuit}",
        status=verdict.status,
        title=f"{verdict.title}: {verdict.word}{number}{minded}",
        source=decides.source if decides is not None else PROGRAM,
        value=decides.value if decides is not None else None,
        limit=decides.limit if decides is not None else None,
        unit=decides.unit if decides is not None else "",
        margin=decides.margin if decides is not None else None,
        signal=decides.signal if decides is not None and verdict.fit is not Fit.UNKNOWN else Signal.NONE,
        remedy=verdict.says.removesuffix(verdict.beside).strip() if minded else verdict.says,
        steps=tuple(steps.values()),
        field=next(iter(verdict.asks), f"circuits.{verdict.circuit}.device"),
    )
