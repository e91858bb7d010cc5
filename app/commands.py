"""The one undo command: the whole design before and after one edit."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from engine.design import Design


class ChangeDesign(QUndoCommand):
    """Put one design in the place of another; steps of one drag on one field merge into one command."""

    def __init__(
        self, put: Callable[[Design], None], before: Design, after: Design, text: str, drag: str = ""
    ) -> None:
        super().__init__(text)
        self._put, self.before, self._after, self._drag = put, before, after, drag

    def id(self) -> int:
        return 1 if self._drag else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, ChangeDesign) or other._drag != self._drag:
            return False
        self._after = other._after
        return True

    def redo(self) -> None:
        self._put(self._after)

    def undo(self) -> None:
        self._put(self.before)
