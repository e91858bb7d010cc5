"""No design, however odd or empty, makes a section raise or answer with something that is no number."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

from a_design import designs
from a_sun_site import SECOND_ARRAY, site
from hypothesis import given
from hypothesis import strategies as st

from engine.design import Design
from engine.sections import badges, ladder, live, sources, window
from engine.sections.results import Conditions
from engine.tables.family import family
from engine.units import Coefficient, Quantity

CONDITIONS = st.builds(
    Conditions,
    cell=st.floats(-60, 100),
    irradiance=st.floats(0, 1400),
    battery=st.floats(0, 1000),
)


def numbers(record: object) -> list[float]:
    values = (getattr(record, item.name) for item in dataclasses.fields(record))  # type: ignore[arg-type]
    return [value for value in values if isinstance(value, float)]


@st.composite
def odd(draw: st.DrawFn, record: Any) -> Any:
    """The record with some of its fields missing and some anywhere in their range."""
    changes: dict[str, Any] = {}
    for name, spec in record.specs().items():
        what = draw(st.sampled_from(("keep", "keep", "clear", "move")))
        if what == "clear":
            changes[name] = None
        elif what == "move" and spec.kind == "quantity" and spec.high is not None:
            low = spec.low if spec.low is not None else (spec.above or 0.0) + 1e-6
            changes[name] = Quantity(draw(st.floats(low, spec.high)))
        elif what == "move" and spec.kind == "count":
            changes[name] = draw(st.integers(int(spec.low or 0), int(spec.high or 9)))
        elif what == "move" and spec.kind == "coefficient":
            changes[name] = Coefficient(draw(st.floats(spec.low or -0.02, spec.high or 0.0)), "1/K")
        elif what == "move" and spec.kind == "word":
            changes[name] = draw(st.sampled_from(spec.words))
    return dataclasses.replace(record, **changes)


@st.composite
def odd_sites(draw: st.DrawFn) -> Design:
    """The sound test site gone wrong in several fields at once, contradictions included."""
    sound = site(more=SECOND_ARRAY)
    return dataclasses.replace(
        sound,
        site=draw(odd(sound.site)),
        bank=draw(odd(sound.bank)),
        **{
            table: tuple(draw(odd(item)) for item in getattr(sound, table))
            for table in ("modules", "arrays", "controllers")
        },
    )


@given(design=odd_sites() | odd_sites() | designs(), conditions=CONDITIONS)
def test_that_the_sections_answer_every_design(design: Design, conditions: Conditions) -> None:
    arrays = sources.arrays(design, family(design.rules))
    controllers = window.controllers(design, arrays)
    looks = live.look_all(design, arrays, controllers, conditions)
    badges.of_sun(looks, conditions, design)
    for id in controllers:
        ladder.lanes(design, arrays, controllers, {}, id, looks)
    assert set(arrays) == set(looks) == {item.id for item in design.arrays}
    for record in (*arrays.values(), *controllers.values(), *looks.values()):
        assert all(math.isfinite(value) for value in numbers(record))
