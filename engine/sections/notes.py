"""What a section notes while it computes: data that are missing, defaults used, and the worked steps."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

from engine.fields import Record
from engine.sections.results import Assumed, Missing, ask, assume
from engine.tables import OutsideTable
from engine.worksheet import CannotCalculate, Worked, work


class Notes:
    """The notes on one piece; each list keeps its order and holds a thing once."""

    def __init__(self) -> None:
        self._missing: dict[Missing, None] = {}
        self._assumed: dict[Assumed, None] = {}
        self.steps: dict[str, Worked] = {}

    @property
    def missing(self) -> tuple[Missing, ...]:
        return tuple(self._missing)

    @property
    def assumed(self) -> tuple[Assumed, ...]:
        return tuple(self._assumed)

    def lack(self, *missing: Missing) -> None:
        """Note data that nobody entered."""
        self._missing.update(dict.fromkeys(missing))

    def ask(self, path: str, record: Record, *names: str) -> bool:
        """Whether a record has all these fields; those that it has not are noted."""
        missing = ask(path, record, *names)
        self.lack(*missing)
        return not missing

    def assume(self, path: str, record: Record, *names: str) -> None:
        """Note the defaults that were used among these fields."""
        self.suppose(*assume(path, record, *names))

    def suppose(self, *assumed: Assumed) -> None:
        """Note what was taken where nothing was entered."""
        self._assumed.update(dict.fromkeys(assumed))

    def work(self, name: str, blame: Missing, function: Callable[..., Any], **inputs: Any) -> Any:
        """Run a formula and keep its worked step; ``None`` where these inputs have no answer.

        The field to mend is then noted, with what the formula needs of it.
        """
        try:
            worked = work(function, **inputs)
        except CannotCalculate as error:
            self.lack(Missing(blame.path, f"{blame.title} (need {error.need})"))
            return None
        except OutsideTable as error:
            told = f"the table holds {error.need}, not {error.got}"
            self.lack(Missing(blame.path, f"{blame.title} ({told})"))
            return None
        self.steps[name] = worked
        return worked.result

    def keep(self, name: str, function: Callable[..., Any], **inputs: Any) -> Any:
        """Run a formula and keep its worked step; ``None`` beyond its tables, which the rules then say."""
        try:
            worked = work(function, **inputs)
        except (CannotCalculate, OutsideTable):
            return None
        self.steps[name] = worked
        return worked.result


def field(path: str, record: Record, name: str) -> Missing:
    """A field by its path and what it is called, as a thing to enter."""
    kind: Any = type(record)  # mypy takes an instance's hash for the class's
    return _field(path, kind, name)


@lru_cache(maxsize=4096)
def _field(path: str, kind: Any, name: str) -> Missing:
    return Missing(f"{path}.{name}", kind.specs()[name].title)
