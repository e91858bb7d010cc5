"""What a field of the design is: its kind, unit, range, default and help, declared once beside the field.

Forms, the file's reader, error messages and edits are all made from these descriptions. A field that was
not entered holds ``None``; ``Record.use`` then gives its default. A field without a default is unknown
until someone enters it.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import cache
from typing import Any


@dataclass(frozen=True, slots=True)
class Spec:
    """The description of one field.

    ``unit`` is the canonical unit (for ``coefficient`` the absolute alternative to 1/K; for ``points`` the
    unit of the first of each pair, ``unit2`` of the second). ``low`` and ``high`` are inclusive, ``above``
    exclusive. ``to`` names the table a ``ref`` points into. ``length`` fixes how many ``quantities``.
    ``why`` says where a default comes from, ``example`` is typed where that of the unit misleads.
    ``advanced`` fields stand in the lower part of a form, a ``long`` text takes several lines.
    """

    name: str
    kind: str
    title: str
    unit: str = ""
    unit2: str = ""
    help: str = ""
    low: float | None = None
    high: float | None = None
    above: float | None = None
    words: tuple[str, ...] = ()
    to: str = ""
    length: int | None = None
    default: Any = None
    why: str = ""
    advanced: bool = False
    long: bool = False
    example: str = ""


def _field(kind: str, title: str, **more: Any) -> Any:
    return dataclasses.field(default=None, metadata={"spec": Spec("", kind, title, **more)})


def quantity(unit: str, title: str, **more: Any) -> Any:
    """A number with a unit, kept as it was typed."""
    return _field("quantity", title, unit=unit, **more)


def count(title: str, *, low: int = 1, high: int = 10_000, **more: Any) -> Any:
    """A whole number."""
    return _field("count", title, unit="1", low=low, high=high, **more)


def flag(title: str, **more: Any) -> Any:
    """Yes or no."""
    return _field("flag", title, **more)


def word(title: str, *words: str, **more: Any) -> Any:
    """One of a few words."""
    return _field("word", title, words=words, **more)


def text(title: str, **more: Any) -> Any:
    """Free text."""
    return _field("text", title, **more)


def size(title: str, **more: Any) -> Any:
    """A conductor size."""
    return _field("size", title, **more)


def coefficient(absolute: str, title: str, **more: Any) -> Any:
    """A temperature coefficient, relative (%/K) or absolute in the unit; its range is the relative one."""
    return _field("coefficient", title, **{"unit": absolute, "low": -0.02, "high": 0.02, **more})


def ref(to: str, title: str, **more: Any) -> Any:
    """The id of a record in another table."""
    return _field("ref", title, to=to, **more)


def quantities(unit: str, title: str, *, length: int | None = None, **more: Any) -> Any:
    """A list of quantities; twelve for the months."""
    return _field("quantities", title, unit=unit, length=length, **more)


def points(unit: str, unit2: str, title: str, **more: Any) -> Any:
    """A small table of pairs, in rising order of the first."""
    return _field("points", title, unit=unit, unit2=unit2, **more)


class Record:
    """The base of every record of a design: a frozen dataclass whose fields carry descriptions."""

    @classmethod
    def specs(cls) -> dict[str, Spec]:
        """The descriptions, by field name, in the order of declaration."""
        return _specs(cls)  # type: ignore[arg-type]  # mypy takes an instance's hash for the class's

    def use(self, name: str) -> Any:
        """The entered value, or the field's default, or ``None`` where there is neither."""
        value = getattr(self, name)
        return self.specs()[name].default if value is None else value

    def is_default(self, name: str) -> bool:
        """Whether ``use`` gives a default rather than an entered value."""
        return getattr(self, name) is None and self.specs()[name].default is not None


@cache
def _specs(cls: type[Any]) -> dict[str, Spec]:
    return {
        item.name: dataclasses.replace(item.metadata["spec"], name=item.name)
        for item in dataclasses.fields(cls)
        if "spec" in item.metadata
    }
