"""A module's data sheet as the sections need it: every coefficient relative, in 1/K."""

from __future__ import annotations

from dataclasses import dataclass

from engine.design import Module
from engine.sections.notes import field
from engine.sections.results import Missing
from engine.units import Coefficient


@dataclass(frozen=True, slots=True)
class Sheet:
    """A module's data at standard conditions with its coefficients relative [1/K], and where it stands."""

    path: str
    module: Module
    beta_voc: float | None
    beta_vmp: float | None
    gamma: float | None
    alpha: float | None

    def field(self, name: str) -> Missing:
        """A field of the module, as a thing to enter."""
        return field(self.path, self.module, name)


def sheet_of(module: Module) -> Sheet:
    """Read a module: an absolute coefficient is divided by the value that it belongs to."""
    power = module.vmp * module.imp if module.vmp is not None and module.imp is not None else None
    return Sheet(
        f"modules.{module.id}",
        module,
        _relative(module.beta_voc, module.voc),
        _relative(module.beta_vmp, module.vmp),
        _relative(module.gamma_pmp, power),
        _relative(module.alpha_isc, module.isc),
    )


def _relative(coefficient: Coefficient | None, reference: float | None) -> float | None:
    if coefficient is None or (coefficient.unit != "1/K" and reference is None):
        return None
    return coefficient.relative(reference or 1.0)
