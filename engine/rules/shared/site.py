"""The site as a whole: whether there is anything to judge."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Status
from engine.rules.judging import Case
from engine.sources import COMMON_PRACTICE


def source_entered(case: Case) -> Iterator[Finding]:
    """A site without a source has no verdict: silence must not read as "nothing fails"."""
    design = case.design
    if design.arrays or design.wind or design.hydro:
        return
    yield Finding(
        rule="source-entered",
        where="site",
        status=Status.UNKNOWN,
        title="Nothing can be judged yet: no source is entered",
        remedy="Add a PV array, a wind turbine or a hydro turbine.",
        field="arrays",
        source=COMMON_PRACTICE,
    )
