"""The conditions strip on the session: its ranges, its named steps, and what is held against what is now."""

from __future__ import annotations

from PySide6.QtCore import QObject

from app import condition_steps
from app.held_words import difference
from app.pane import Pane
from app.session import Session, at_first
from app.views.conditions import KINDS, ConditionsStrip, StepButton
from engine.compare import point_at, turned
from engine.sections import hydro_live, live
from engine.sections.condition_steps import Stand, stands, wind_range

SUN = frozenset({"sun"})


def answers(pane: object, *, sun: bool = True) -> frozenset[str]:
    """What a pane's picture answers to: of ``sun``, ``wind`` and ``water``; the ``sun`` if it is mute."""
    found: frozenset[str] = getattr(pane, "answers_to", SUN if sun else frozenset())
    return found


class Looking(QObject):
    """Routes between the strip and the session; ``show`` puts the session's state on the strip."""

    def __init__(self, session: Session, strip: ConditionsStrip) -> None:
        super().__init__(strip)
        self._session, self._strip = session, strip
        strip.moved.connect(lambda name, value: session.look(**{name: value}))
        strip.hold_toggled.connect(session.hold)
        strip.step_asked.connect(self.take)

    def stands(self) -> tuple[Stand, ...]:
        """The named steps of the design as it stands."""
        evaluation = self._session.evaluation
        design = evaluation.design
        return self._session.kept(
            "steps",
            (evaluation,),
            None,
            lambda: stands(design, evaluation.arrays, at_first(design), condition_steps.steps()),
        )

    def take(self, id: str) -> str:
        """Take a step by its id; why not, where it can't be taken."""
        stand = next((stand for stand in self.stands() if stand.step.id == id), None)
        step = next(step for step in condition_steps.steps() if step.id == id)
        if stand is None:
            return f"{step.title} says nothing of this design: it has no {step.source}."
        if stand.conditions is None:
            return f"{step.title} needs a datum. Enter: {_lacking(stand)}."
        self._session.look_at(stand.conditions)
        return ""

    def show(self, pane: object) -> None:
        """Show ranges, sliders, steps and what is held, for the pane that is in view."""
        session, strip = self._session, self._strip
        design, evaluation = session.design, session.evaluation
        strip.set_sources(answers(pane, sun=bool(design.arrays)))
        ranges = {
            "battery": live.battery_range(design),
            "flow": hydro_live.flow_range(evaluation.hydro),
            "wind": wind_range(design, KINDS["wind"].high),
        }
        strip.set_ranges(ranges, session.conditions, session.habit)
        self.show_conditions(pane)

    def show_conditions(self, pane: object) -> None:
        """Only conditions moved, or something was held."""
        session, strip = self._session, self._strip
        strip.show_conditions(session.conditions, session.habit)
        strip.show_steps([self._button(stand) for stand in self.stands()])
        strip.show_held(session.held is not None)
        self._show_difference(pane)

    def _button(self, stand: Stand) -> StepButton:
        step, key = stand.step, condition_steps.key_of(stand.step.id)
        tip = f"{step.why} ({key})"
        if stand.conditions is None:
            tip = f"{step.why} Enter: {_lacking(stand)}."
        on = stand.conditions is not None
        return StepButton(step.id, step.title, tip, on, stand.conditions == self._session.conditions)

    def _show_difference(self, pane: object) -> None:
        session = self._session
        then, at = session.held_evaluation, session.held
        if then is None or at is None:
            self._strip.show_difference("", "", worse=False)
            return
        now, habit = session.evaluation, session.habit
        source = pane.source if isinstance(pane, Pane) else ""
        turns = session.kept("turned", (then, now), None, lambda: turned(then, now))
        held = session.kept(
            "held point", (then,), (at, source, habit), lambda: point_at(then, at, source, habit)
        )
        told = difference(held, point_at(now, session.conditions, source, habit), turns, habit)
        self._strip.show_difference(told.short, told.text, worse=told.worse)


def _lacking(stand: Stand) -> str:
    return ", ".join(dict.fromkeys(item.title for item in stand.missing))
