"""A problem with something that a person gave us: where, what was read, what was expected, what to do."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake in a file, a field or a command, as data; ``str`` is the one line a person reads."""

    where: str
    got: str
    need: str
    hint: str = ""
    line: int | None = None

    def __str__(self) -> str:
        place = f"{self.where} (line {self.line})" if self.line else self.where
        hint = f" ({self.hint})" if self.hint else ""
        return f"{place}: got {self.got}, need {self.need}{hint}"


class Problems(ValueError):
    """Everything that was wrong with one input, gathered; ``str`` has one problem a line."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems
