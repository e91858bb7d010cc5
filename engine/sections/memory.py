"""Remembering what was computed from the very same frozen objects, so that an edit elsewhere costs nothing.

Records and results never change, so the same objects have the same answer. A key is a tuple of objects and
counts by their identity; the objects are held with the answer, so that no identity is used again meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, TypeVar

T = TypeVar("T")


class Memory(Generic[T]):
    """Answers by the objects that they were computed from; forgets all when it is full."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._held: dict[tuple[int, ...], tuple[tuple[Any, ...], T]] = {}

    def recall(self, objects: tuple[Any, ...], compute: Callable[[], T]) -> T:
        """The answer for these objects, computed where it is not held yet."""
        key = tuple(map(id, objects))
        held = self._held.get(key)
        if held is not None:
            return held[1]
        answer = compute()
        if len(self._held) >= self._size:
            self._held.clear()
        self._held[key] = (objects, answer)
        return answer


class Same(Generic[T]):
    """Gives back the object it saw before where a new one is equal to it, so that ``Memory`` knows it."""

    def __init__(self, depth: int) -> None:
        self._depth = depth
        self._seen: dict[str, list[T]] = {}

    def of(self, name: str, new: T, equal: Callable[[T, T], bool]) -> T:
        """One of the last few objects of that name that is equal, else the new one."""
        seen = self._seen.setdefault(name, [])
        for old in list(seen):
            if equal(old, new):
                return old
        seen.insert(0, new)
        del seen[self._depth :]
        return new
