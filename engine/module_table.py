"""Modules of the open table that comes with pvlib: a help for filling a form. The maker's sheet decides."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from engine.design import Module
from engine.entry import parse_field
from engine.fields import Spec
from engine.problems import Problem, Problems
from engine.units import UnitError

DATA_FROM = "open module table; the maker's sheet decides"


@dataclass(frozen=True, slots=True)
class Row:
    """One module at standard test conditions: V, A, W, V/K, A/K, %/K of power, and NOCT in degC."""

    name: str
    technology: str
    power: float
    voc: float
    isc: float
    vmp: float
    imp: float
    beta_voc: float
    alpha_isc: float
    gamma_pmp: float
    cells: int
    noct: float

    @property
    def silicon(self) -> bool:
        """Whether the table calls it crystalline silicon."""
        return self.technology.endswith("c-Si")


def find(words: Sequence[str], limit: int | None = None) -> tuple[Row, ...]:
    """The rows whose name or technology holds every word, in any case of letters, in the table's order.

    Raises ``Problems`` where the table is not there.
    """
    wanted = [word.lower() for word in words]
    rows = (row for row, text in zip(_rows(), _texts(), strict=True) if all(word in text for word in wanted))
    return tuple(row for _, row in zip(range(limit), rows, strict=False)) if limit else tuple(rows)


def texts(row: Row) -> dict[str, str]:
    """What a form's fields would be typed as. Largest series fuse and system voltage are not in the table.

    A value that no field would take (a few rows have one) is left out.
    """
    typed = {
        "label": row.name,
        "voc": f"{row.voc:.10g} V",
        "isc": f"{row.isc:.10g} A",
        "vmp": f"{row.vmp:.10g} V",
        "imp": f"{row.imp:.10g} A",
        "beta_voc": f"{row.beta_voc:.10g} V/K",
        "alpha_isc": f"{row.alpha_isc:.10g} A/K",
        "gamma_pmp": f"{row.gamma_pmp:.10g} %/K",
        "cells": str(row.cells),
        "noct": f"{row.noct:.10g} degC",
        "silicon": "yes" if row.silicon else "no",
        "data_from": DATA_FROM,
    }
    specs = Module.specs()
    return {name: text for name, text in typed.items() if _taken(specs[name], text)}


def _taken(spec: Spec, text: str) -> bool:
    try:
        parse_field(spec, text)
    except UnitError:
        return False
    return True


@lru_cache(maxsize=1)
def _rows() -> tuple[Row, ...]:
    with _file().open(newline="", encoding="utf-8") as file:
        lines = csv.reader(file)
        column = {name: at for at, name in enumerate(next(lines))}
        units = dict(zip(column, next(lines), strict=True))
        next(lines)
        expected = {"beta_oc": "V/K", "alpha_sc": "A/K", "gamma_r": "%/K", "V_oc_ref": "V", "T_NOCT": "C"}
        if {name: units[name] for name in expected} != expected:
            raise Problems((Problem("module table", "other units", "those that it had in 2019"),))
        at = [column[name] for name in _COLUMNS]
        return tuple(_row([line[place] for place in at]) for line in lines if line)


_COLUMNS = (
    *("Name", "Technology", "STC", "V_oc_ref", "I_sc_ref", "V_mp_ref", "I_mp_ref"),
    *("beta_oc", "alpha_sc", "gamma_r", "N_s", "T_NOCT"),
)


def _row(cells: list[str]) -> Row:
    name, technology, *numbers = cells
    power, voc, isc, vmp, imp, beta, alpha, gamma, in_series, noct = map(float, numbers)
    return Row(name, technology, power, voc, isc, vmp, imp, beta, alpha, gamma, int(in_series), noct)


@lru_cache(maxsize=1)
def _texts() -> tuple[str, ...]:
    return tuple(f"{row.name} {row.technology}".lower() for row in _rows())


def _file() -> Path:
    """The table in pvlib's data folder, found without importing pvlib, which takes most of a second."""
    package = find_spec("pvlib")
    for folder in (package.submodule_search_locations or ()) if package else ():
        for path in sorted((Path(folder) / "data").glob("*cec-modules*.csv")):
            return path
    raise Problems((Problem("module table", "no such table in pvlib", "pvlib with its data folder"),))
