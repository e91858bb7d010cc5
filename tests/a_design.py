"""Designs at random for property tests: any fields of any records, sound by themselves."""

from __future__ import annotations

import dataclasses
from typing import Any

from hypothesis import strategies as st

from engine.design import KEYED, PIECES, SINGLE, About, Design, circuit_ids
from engine.entry import parse_field
from engine.fields import Record, Spec
from engine.nonsense import contradictions
from engine.units import UnitError

TEXTS = {
    "V": ("12.5 V", "0.048 kV", "48 VDC"),
    "A": ("9.5 A", "350 mA", "10 A"),
    "W": ("400 W", "2.4 kW", "1,5 kW"),
    "m": ("12 ft 6 in", "3 m", "3.00 m", "40 ft"),
    "mm": ("12 mm", "0.5 in", "12.0 mm"),
    "degC": ("12 degC", "50 degF", "12.0 °C", "285 K"),
    "deg": ("35 deg", "35.0 °"),
    "m/s": ("5 m/s", "11 mph", "18 km/h"),
    "m^3/s": ("5.2 L/s", "90 gpm", "0.0052 m³/s"),
    "h": ("2 h", "90 min"),
    "s": ("2 s", "1 min"),
    "Pa": ("10 bar", "145 psi"),
    "Ah": ("200 Ah",),
    "Wh/m^2": ("4.6 kWh/m^2", "16 MJ/m^2"),
    "ohm": ("0.2 ohm", "200 mohm", "2 mΩ"),
    "V/K": ("-5 mV/K",),
    "V/rpm": ("0.12 V/rpm",),
    "rpm": ("320 rpm",),
    "1": ("2", "2.0", "0.20", "1", "3e-1"),
    "%": ("5 %", "0.05", "12.0%"),
    "kg": ("61 kg", "135 lb"),
    "m^3": ("12 m^3", "420 ft^3"),
    "m^3/h": ("40 m^3/h", "25 cfm"),
    "cm^2": ("400 cm^2", "60 in^2"),
    "money": ("12.50", "3", "0"),
}
WORDS = st.text(st.sampled_from("abc \"'\\#=[]{}\n\tµ°中"), max_size=30)


def _text_of(spec: Spec) -> st.SearchStrategy[str]:
    if spec.kind == "quantity":
        return st.sampled_from(TEXTS[spec.unit])
    if spec.kind == "count":
        return st.integers(int(spec.low or 0), int(spec.high or 9)).map(str)
    if spec.kind == "flag":
        return st.sampled_from(("yes", "no"))
    if spec.kind == "word":
        return st.sampled_from(spec.words)
    if spec.kind == "text":
        return WORDS
    if spec.kind == "size":
        return st.sampled_from(("10 AWG", "2/0", "250 kcmil", "35 mm2"))
    if spec.kind == "coefficient":
        return st.sampled_from(("-0.28 %/K", "-0.0028 1/K", "-0.280 %/degC"))
    if spec.kind == "quantities":
        return st.lists(st.sampled_from(TEXTS[spec.unit]), min_size=12, max_size=12).map("; ".join)
    pairs = st.integers(2, 6).map(lambda n: [f"0.{at}" for at in range(1, n + 1)])
    unit = {"V": " V", "m/s": " m/s"}.get(spec.unit, "")
    other = {"A": " A", "W": " W"}.get(spec.unit2, "")
    return pairs.map(lambda rows: "; ".join(f"{row}{unit}: {row}{other}" for row in rows))


@st.composite
def _record(draw: st.DrawFn, table: str, kind: Any, ids: dict[str, list[str]], id: str = "") -> Record:
    values: dict[str, Any] = {"id": id} if id else {}
    for name, spec in kind.specs().items():
        if not draw(st.booleans()):
            continue
        if spec.kind == "ref":
            values[name] = draw(st.sampled_from(ids[spec.to])) if ids[spec.to] else None
            continue
        try:
            values[name] = parse_field(spec, draw(_text_of(spec)))
        except UnitError:
            continue  # out of this field's range
    record = kind(**values)
    while wrong := list(contradictions(table, table, record)):
        record = dataclasses.replace(record, **{wrong[0].where.rpartition(".")[2]: None})
    return record


@st.composite
def designs(draw: st.DrawFn) -> Design:
    """A sound design without an origin."""
    free = st.lists(st.text("abZ09_-", min_size=1, max_size=6), unique_by=str.lower, max_size=3)
    pieces = iter(draw(st.permutations([f"piece-{at}" for at in range(40)])))
    ids = {
        table: [next(pieces) for _ in range(draw(st.integers(0, 2)))] if table in PIECES else draw(free)
        for table in KEYED
    }
    shell = Design(**{table: tuple(KEYED[table](id=id) for id in ids[table]) for table in KEYED})  # type: ignore
    known = circuit_ids(shell)
    ids["circuits"] = draw(st.lists(st.sampled_from(known), unique=True, max_size=3)) if known else []
    return Design(
        about=draw(_record("", About, ids)),
        **{table: draw(_record(table, kind, ids)) for table, kind in SINGLE.items()},
        **{table: tuple(draw(_record(table, KEYED[table], ids, id)) for id in ids[table]) for table in KEYED},
    )
