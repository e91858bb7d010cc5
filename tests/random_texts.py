"""What a hasty hand may type into a field: its ends, anything between them, another unit, and nonsense."""

from __future__ import annotations

import math
from random import Random

from engine import edit
from engine.design import KEYED, SINGLE, About, Design, circuit_ids
from engine.fields import Record, Spec
from engine.problems import Problems
from tests.a_design import TEXTS

NONSENSE = (
    *("", " ", "-", "12..5", "1 200 W", "NaN", "nan", "inf", "-inf V", "1e400", "1e-400 m", "-0", "0"),
    *("12 V 3", "5 %%", "48 V 48 V", "1,234,5", "١٢ V", "12\u00a0V", "=1+1", "<b>12</b>", "&amp;", "{}"),
    *("x" * 3000, "9" * 400, "12 parsec", "-5 degF", "3/4 in", "12 ft 6 in", "2/0 AWG", "yes", "no", "none"),
)
DECADES = 6  # below the upper end of a range, where nothing bounds it below


def paths(design: Design) -> list[str]:
    """Every path of a field that this design can take, those of circuits without a record included."""
    found = list(About.specs())
    found += [f"{table}.{name}" for table, kind in SINGLE.items() for name in kind.specs()]
    for table, kind in KEYED.items():
        ids = circuit_ids(design) if table == "circuits" else [item.id for item in getattr(design, table)]
        found += [f"{table}.{id}.{name}" for id in ids for name in names(kind)]
    return found


def names(kind: type[Record]) -> list[str]:
    """The names of a record's fields."""
    return list(kind.specs())


def sound(random: Random, design: Design, path: str) -> str:
    """A text that its field most likely takes."""
    spec = edit.spec_of(path)
    if random.random() < 0.1:
        return ""
    now = edit.get(design, path)
    if spec.kind == "quantity" and now is not None and random.random() < 0.6:
        return _named(float(f"{float(now) * 10 ** random.uniform(-1.3, 1.3):.6g}"), spec.unit)
    if spec.kind == "word":
        return random.choice(spec.words)
    if spec.kind == "flag":
        return random.choice(("yes", "no"))
    if spec.kind == "ref":
        return random.choice([item.id for item in getattr(design, spec.to)] or [""])
    if spec.kind == "size":
        return random.choice(("18 AWG", "10 AWG", "2/0 AWG", "500 kcmil", "1.5 mm2", "35 mm2", "300 mm2"))
    if spec.kind == "text":
        return random.choice(("Shed", "The lake's cabin & barn <east>", "Äöü 中文 µ°", "a" * 200))
    if spec.kind == "quantities":
        return "; ".join(_number(random, spec, spec.unit) for _ in range(spec.length or random.randint(1, 6)))
    if spec.kind == "points":
        return _points(random, spec)
    if spec.kind == "count":
        return str(random.choice((int(spec.low or 0), int(spec.high or 9), random.randint(1, 40))))
    if spec.kind == "coefficient":
        return f"{_within(random, spec)!r} {random.choice(('1/K', '1/K', spec.unit or '1/K'))}"
    return (
        random.choice(TEXTS.get(spec.unit, ("1",)))
        if random.random() < 0.2
        else _number(random, spec, spec.unit)
    )


def any_text(random: Random, design: Design, path: str) -> str:
    """A text for a field, one in four of them nonsense."""
    return random.choice(NONSENSE) if random.random() < 0.25 else sound(random, design, path)


def edited(random: Random, design: Design) -> Design:
    """The design after some edits anywhere, each of which its field takes."""
    for _ in range(random.choice((1, 2, 5, 20))):
        try:
            if random.random() < 0.05:
                design, _id = edit.add(design, random.choice([each for each in KEYED if each != "circuits"]))
            path = random.choice(paths(design))
            design = edit.set_field(design, path, sound(random, design, path))
        except Problems:
            continue
    return design


def _number(random: Random, spec: Spec, unit: str) -> str:
    return _named(_within(random, spec), unit)


def _named(value: float, unit: str) -> str:
    return f"{value!r}" if unit in ("1", "money", "") else f"{value!r} {unit}"


def _within(random: Random, spec: Spec) -> float:
    """An end of the field's range, or anything in it, small numbers as likely as large ones."""
    low = spec.low if spec.low is not None else (spec.above or 0.0) + 1e-9 if spec.above is not None else -1e6
    high = spec.high if spec.high is not None else 1e6
    least = max(low, high * 10**-DECADES) if high > 0 else low
    evenly = random.uniform(low, high)
    by_decades = 10 ** random.uniform(math.log10(least), math.log10(high)) if 0 < least < high else evenly
    inside = float(f"{random.choice((evenly, by_decades, by_decades)):.6g}")
    return float(random.choice((low, high, inside, inside, inside)))


def _points(random: Random, spec: Spec) -> str:
    firsts = sorted({round(_within(random, spec), 6) for _ in range(random.randint(2, 8))})
    top = 1.0 if spec.unit2 in ("1", "%") else 1000.0
    return "; ".join(
        f"{_named(first, spec.unit)}: {_named(random.uniform(0, top), spec.unit2)}" for first in firsts
    )
