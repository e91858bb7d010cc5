"""What a worksheet is: one formula, described so that it can be run, printed, tested and traced alone.

``@worksheet(...)`` stands on the formula itself, attaches a description and returns the function
unchanged. The function takes exactly the inputs named in the description, as keyword arguments in their
canonical units, and returns a ``NamedTuple`` whose fields are exactly the outputs. Nothing registers by
being imported: ``engine.physics.worksheets`` lists them all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from engine.sources import Source

Formula = TypeVar("Formula", bound=Callable[..., Any])


class _Required:
    def __repr__(self) -> str:
        return "required"


REQUIRED = _Required()


class CannotCalculate(ValueError):
    """Inputs that are each fine but have no answer together; names the input to change."""

    def __init__(self, name: str, got: str, need: str) -> None:
        super().__init__(f"{name}: got {got}, need {need}")
        self.name, self.got, self.need = name, got, need


@dataclass(frozen=True, slots=True)
class Input:
    """One input: its canonical unit, range, default and a typical value as a person would type it.

    ``kind`` is ``quantity``, ``count``, ``flag``, ``word``, ``size``, ``family``, ``coefficient`` (a
    relative temperature coefficient in 1/K; typed per kelvin absolutely it is divided by the input ``of``),
    ``quantities`` or ``sizes`` (lists). ``default`` is in canonical units, ``None`` where the input may be
    absent, ``REQUIRED`` where it may not. ``low`` and ``high`` are inclusive.
    """

    name: str
    title: str
    example: str
    unit: str = ""
    kind: str = "quantity"
    default: Any = REQUIRED
    low: float | None = None
    high: float | None = None
    above: float | None = None
    words: tuple[str, ...] = ()
    of: str = ""
    symbol: str = ""

    @property
    def required(self) -> bool:
        return self.default is REQUIRED


@dataclass(frozen=True, slots=True)
class Output:
    """One output; ``unit`` is ``""`` for a word, a flag, a size or a count."""

    name: str
    title: str
    unit: str = ""
    symbol: str = ""


@dataclass(frozen=True, slots=True)
class Worksheet:
    """The description of a formula; ``expression`` holds one ``output = ...`` text a line, in input names.

    ``one_of`` lists groups of inputs of which one must be given.
    """

    id: str
    subject: str
    title: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    expression: tuple[str, ...]
    source: Source
    validity: str
    one_of: tuple[tuple[str, ...], ...]
    function: Callable[..., Any]

    def input(self, name: str) -> Input:
        return next(item for item in self.inputs if item.name == name)

    def output(self, name: str) -> Output:
        return next(item for item in self.outputs if item.name == name)


def quantity(
    name: str,
    unit: str,
    title: str,
    example: str,
    default: Any = REQUIRED,
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    symbol: str = "",
) -> Input:
    """An input with a unit (``"1"`` for a fraction or plain number); ``above`` is an exclusive lower end."""
    return Input(name, title, example, unit, default=default, low=low, high=high, above=above, symbol=symbol)


def count(
    name: str, title: str, example: str, default: Any = REQUIRED, *, low: int = 1, high: int = 100_000
) -> Input:
    """A whole number."""
    return Input(name, title, example, "1", "count", default, low, high)


def flag(name: str, title: str, default: Any = REQUIRED) -> Input:
    """Yes or no."""
    return Input(name, title, "yes", kind="flag", default=default)


def word(name: str, title: str, words: tuple[str, ...], default: Any = REQUIRED, example: str = "") -> Input:
    """One of a few words."""
    return Input(name, title, example or words[0], kind="word", default=default, words=words)


def size(name: str, title: str, example: str = "10 AWG", default: Any = REQUIRED) -> Input:
    """A conductor size."""
    return Input(name, title, example, kind="size", default=default)


def family(default: str = "nec-2023") -> Input:
    """The rule family, always called ``rules``; the formula receives the loaded family."""
    return Input(
        "rules",
        "rule family",
        default,
        kind="family",
        default=default,
        words=("nec-2023", "nec-2020", "nec-2017", "iec"),
    )


def coefficient(name: str, of: str, absolute: str, title: str, example: str, *, symbol: str = "") -> Input:
    """A temperature coefficient: relative (%/K), or absolute in ``absolute`` units and divided by ``of``."""
    return Input(name, title, example, absolute, "coefficient", low=-0.02, high=0.02, of=of, symbol=symbol)


def quantities(name: str, unit: str, title: str, example: str, *, low: float | None = None) -> Input:
    """A list of quantities."""
    return Input(name, title, example, unit, "quantities", low=low)


def sizes(name: str, title: str, example: str) -> Input:
    """A list of conductor sizes."""
    return Input(name, title, example, kind="sizes")


def worksheet(
    *,
    id: str,
    subject: str,
    title: str,
    inputs: tuple[Input, ...],
    outputs: tuple[Output, ...],
    expression: tuple[str, ...],
    source: Source,
    validity: str = "",
    one_of: tuple[tuple[str, ...], ...] = (),
) -> Callable[[Formula], Formula]:
    """Attach a description to a formula and return the formula unchanged."""

    def describe(function: Formula) -> Formula:
        sheet = Worksheet(id, subject, title, inputs, outputs, expression, source, validity, one_of, function)
        function.__worksheet__ = sheet  # type: ignore[attr-defined]
        return function

    return describe


def sheet_of(function: Callable[..., Any]) -> Worksheet:
    """The description that stands on a formula."""
    sheet: Worksheet = function.__worksheet__  # type: ignore[attr-defined]
    return sheet


@dataclass(frozen=True, slots=True)
class Worked:
    """One worked step: which worksheet, with which inputs, gave which outputs. Text is made on demand."""

    sheet: Worksheet
    inputs: tuple[tuple[str, Any], ...]
    result: Any

    @property
    def outputs(self) -> Mapping[str, Any]:
        outputs: Mapping[str, Any] = self.result._asdict()
        return outputs


def work(function: Callable[..., Any], **inputs: Any) -> Worked:
    """Run a formula and keep what went in and what came out."""
    return Worked(sheet_of(function), tuple(inputs.items()), function(**inputs))
