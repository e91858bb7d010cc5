"""The number of cells in series against the nominal voltage: every voltage of a cell is reckoned by it."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, under
from engine.rules.shared.bank import said
from engine.sections.charging import CELL, LITHIUM, NEAR

LITHIUM_LEAST = 3.0  # V: sixteen cells are called 48 V, four 12 V (common practice)


def bank_cells(case: Case) -> Iterator[Finding]:
    """A cell too few or too many moves gas, cut-outs and set points to the mild side."""
    bank, kind = case.design.bank, case.bank.chemistry
    if kind is None or bank.cells is None or bank.voltage is None:
        return
    each, usual = float(bank.voltage) / bank.cells, CELL["lead" if kind.lead else LITHIUM]
    low, high = usual * (1 - NEAR) if kind.lead else LITHIUM_LEAST, usual * (1 + NEAR)
    few, many = over(each, high), under(each, low)
    yield said(
        "bank-cells",
        "cells",
        Status.FAILS if few or many else None,
        f"{bank.cells} cells in series of nominal {case.show(bank.voltage, 'V')}: "
        f"{case.show(each, 'V')} a cell, "
        f"{case.show(usual, 'V')} is nominal for {kind.name}",
        "Count the cells, all that are in series: set points, cut-outs and the air for the gas rest on them.",
        signal=Signal.WARNING,
        value=each,
        limit=low if many else high,
        unit="V",
    )
