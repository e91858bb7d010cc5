"""One typed circuit without any site: strings in parallel, one run to a controller, judged as in any design.

A small design is made of what was typed and evaluated by the same sections and rules; nothing is computed
here. What was not typed stays unknown, as everywhere.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from engine import units
from engine.design import FAMILIES, About, Array, Circuit, Controller, Design, Module, Site
from engine.entry import nearest, parse_field
from engine.evaluation import Evaluation, evaluate
from engine.fields import Spec
from engine.finding import Finding, Status
from engine.physics.altitude import MADE_FOR
from engine.problems import Problem, Problems
from engine.rules.shared.conductor import FAILED
from engine.sections.results import CircuitResult, StringFuse
from engine.units import Coefficient, Quantity, UnitError
from engine.worksheet import Worked

NAME = "typed"
RUN, STRING = f"{NAME}-run", f"{NAME}-string"
COLD = Quantity(25.0)  # degC: the typed voltage is the cold one already, so nothing is corrected

OWN: dict[str, Spec] = {
    "isc": dataclasses.replace(Module.specs()["isc"], title="Short-circuit current of a string"),
    "strings": dataclasses.replace(Array.specs()["strings"], title="Strings in parallel"),
    "voltage": Spec("voltage", "quantity", "Cold open-circuit voltage", unit="V", above=0, high=2000),
    "running": Spec("running", "quantity", "Voltage at maximum power", unit="V", above=0, high=2000),
    "series_fuse": dataclasses.replace(
        Module.specs()["series_fuse"], title="Largest series fuse of its modules"
    ),
    "back_feed": Controller.specs()["back_feed"],
    "rules": About.specs()["rules"],
    "units": About.specs()["units"],
}
LAID: dict[str, Spec] = {
    name: Circuit.specs()[name]
    for name in (
        "length",
        "place",
        "method",
        "ambient",
        "device_ambient",
        "above_roof",
        "conductors",
        "grouped",
        "insulation",
        "insulation_voltage",
        "terminal",
        "material",
        "strand",
        "parallel",
        "allowed_drop",
        "size",
        "earthing",
    )
}
FIELDS: dict[str, Spec] = {**OWN, **LAID}
"""What can be typed of a circuit, by its word: its currents and voltages, then how it is laid."""

WORDS = {
    f"modules.{NAME}.isc": "isc",
    f"modules.{NAME}.voc": "voltage",
    f"modules.{NAME}.vmp": "running",
    f"modules.{NAME}.series_fuse": "series_fuse",
    f"controllers.{NAME}-controller.back_feed": "back_feed",
    "site.design_high": "ambient",
    **{f"circuits.{RUN}.{name}": name for name in LAID},
}
"""The word to type for each field of the small design."""

OF_RUN = (
    "conductor",
    "voltage-drop",
    "voltage-class",
    "insulation-voltage",
    "terminal-size",
    "earthing-size",
    "device-",
)
"""How the rules are called that answer for the typed run."""


@dataclass(frozen=True, slots=True)
class Typed:
    """The answers about a typed circuit; ``findings`` worst first, ``string`` where several are parallel."""

    evaluation: Evaluation
    run: CircuitResult
    string: CircuitResult | None
    findings: tuple[Finding, ...]

    @property
    def status(self) -> Status:
        """The worst answer."""
        return min((finding.status for finding in self.findings), default=Status.UNKNOWN)

    @property
    def asks(self) -> tuple[str, ...]:
        """The words that an unknown answer waits for."""
        paths = (item.path for item in (*self.run.missing, *self.run.fault_missing))
        fields = (finding.field for finding in self.findings if finding.status is Status.UNKNOWN)
        return tuple(dict.fromkeys(WORDS[path] for path in (*paths, *fields) if path in WORDS))

    def assumed(self, habit: str) -> tuple[str, ...]:
        """What was taken where nothing was typed, each with its reason."""
        record = self.evaluation.design.circuit(RUN)
        told = [f"{item.title} {item.text} ({item.why})" for item in self.run.assumed]
        if record.device_ambient is None and record.ambient is not None:
            title, text = LAID["device_ambient"].title, units.show(float(record.ambient), "degC", habit)
            told.append(f"{title} {text} (as about the conductor)")
        told.append(f"elevation up to {units.show(MADE_FOR, 'm', habit)} (where ratings hold)")
        return tuple(dict.fromkeys(told))

    @property
    def worked(self) -> tuple[Worked, ...]:
        """The worked steps of the answers; the typed voltage was not worked out."""
        steps = {name: step for name, step in self.run.steps.items() if not name.startswith("voltage_r")}
        steps.pop("voltage", None)
        return tuple(steps.values())

    def answers(self, habit: str) -> tuple[tuple[str, str], ...]:
        """What to buy, by name: conductor, device, class, earthing conductor, drop, fuse of a string."""
        run, fuse = self.run, self.evaluation.arrays[NAME].fuse
        device = (
            _text(run.device, "A", habit) if run.device is not None or run.device_needed else "none needed"
        )
        if run.device_largest is not None and run.device is not None:
            device += f" ({_text(run.device_largest, 'A', habit)} at most)"
        if run.device is not None and not run.device_needed:
            device += ", not needed here: a disconnect is enough"
        fixed = ", fixed" if run.pinned else f", decided by {_why(run)}" if run.governed_by else ""
        rows = [
            ("conductor", f"{run.conductor.text}{fixed}" if run.conductor is not None else "unknown"),
            ("device", device),
            ("dc voltage class", _text(run.voltage_class, "V", habit)),
            ("earthing conductor", run.earthing.text if run.earthing is not None else "unknown"),
            ("voltage drop", _text(run.drop_fraction, "%", habit)),
        ]
        if self.string is not None:
            rows.append(("fuse in each string", _fuse_text(fuse, habit)))
        return tuple(rows)


def _text(value: float | None, unit: str, habit: str) -> str:
    return "unknown" if value is None else units.show(value, unit, habit)


def _why(run: CircuitResult) -> str:
    """What decides the size of the conductor, in the words of the rule that judges it."""
    return FAILED.get(run.governed_by, run.governed_by)


def _fuse_text(fuse: StringFuse | None, habit: str) -> str:
    if fuse is None:
        return "unknown"
    if not fuse.required:
        return "not needed"
    return "needed, and none fits" if fuse.rating is None else units.show(fuse.rating, "A", habit)


def typed_circuit(texts: Mapping[str, str]) -> Typed:
    """Conductor, device and voltage class of a circuit from typed texts, by the words of ``FIELDS``.

    ``isc`` of one string and ``voltage`` (cold open circuit) are asked for; the ambient, the length and the
    rest leave unknown what needs them. Raises ``Problems`` that name the word, what was read and what is
    accepted.
    """
    evaluation = evaluate(_design(_read(texts)))
    circuits = evaluation.circuits
    findings = tuple(_in_own_words(item) for item in evaluation.findings if _asked(item))
    return Typed(evaluation, circuits[RUN], circuits.get(STRING), findings)


def _in_own_words(finding: Finding) -> Finding:
    """A finding that asks for fields by the names that they have here, not in a whole design."""
    if finding.status is not Status.UNKNOWN:
        return finding
    remedy = finding.remedy
    for name, title in (("design_high", LAID["ambient"].title), ("series_fuse", OWN["series_fuse"].title)):
        spec = Site.specs().get(name) or Module.specs()[name]
        remedy = remedy.replace(spec.title, title)
    return dataclasses.replace(finding, remedy=remedy)


def _asked(finding: Finding) -> bool:
    if finding.where == f"circuits.{RUN}":
        return finding.rule.startswith(OF_RUN)
    return finding.rule == "string-fuse"


def _read(texts: Mapping[str, str]) -> dict[str, Any]:
    given = {name: text.strip() for name, text in texts.items() if text.strip()}
    problems = [
        Problem(name, "an unknown word", f"one of {', '.join(FIELDS)}", nearest(name, tuple(FIELDS)))
        for name in given
        if name not in FIELDS
    ]
    for name, example in (("isc", "14.2 A"), ("voltage", "187 V")):
        if name not in given:
            problems.append(Problem(name, "nothing", f"{FIELDS[name].title.lower()}, such as {example}"))
    values: dict[str, Any] = {"strings": 1, "rules": FAMILIES[-2]}
    for name in (name for name in FIELDS if name in given):
        try:
            values[name] = parse_field(FIELDS[name], given[name], str(values.get("units") or "metric"))
        except UnitError as error:
            problems.append(Problem(name, error.got, error.need, error.hint))
    if problems:
        raise Problems(tuple(problems))
    return values


def _design(values: Mapping[str, Any]) -> Design:
    """The small design: the string is one module with the typed voltage, which no temperature changes.

    Where nobody says how hot the device gets, it is as hot as the conductor.
    """
    laid = {name: values[name] for name in LAID if name in values}
    beside = {name: value for name, value in laid.items() if name not in ("length", "size", "earthing")}
    module = Module(
        id=NAME,
        voc=values["voltage"],
        beta_voc=Coefficient(0.0, "1/K"),
        isc=values["isc"],
        imp=values["isc"],  # the most that can run, so that a drop is never told too low
        vmp=values.get("running"),
        series_fuse=values.get("series_fuse"),
    )
    array = Array(
        id=NAME,
        label="Typed circuit",
        module=NAME,
        modules=1,
        strings=values["strings"],
        controller=f"{NAME}-controller",
    )
    return Design(
        about=About(rules=values["rules"], units=values.get("units")),
        site=Site(design_low=COLD, record_low=COLD, design_high=values.get("ambient")),
        modules=(module,),
        arrays=(array,),
        controllers=(Controller(id=f"{NAME}-controller", back_feed=values.get("back_feed")),),
        circuits=(Circuit(id=RUN, **laid), Circuit(id=STRING, **beside)),
    )
