"""Why a circuit is as it is: every check of its conductor beside those of the next size down, its device,
where each answer turns, what was assumed, and each number worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape

from PySide6.QtCore import QUrl, Signal
from PySide6.QtWidgets import QFrame, QTextBrowser

from app.look import LIGHT, Look
from app.views.circuit_rows import governed
from app.views.worked import worked_html
from engine import units
from engine.finding import Finding, Status
from engine.sections.results import Check, CircuitResult

CHECKS = {
    "terminal": "Terminals",
    "ampacity": "Derated ampacity",
    "small-conductor": "Small-conductor ceiling",
    "device": "Largest device on it",
    "reverse current": "Carries reverse current",
    "parallel": "Area of each in parallel",
    "drop": "Voltage drop",
}
"""What a check is called at the head of its row; one that is not here is called by its name."""
MARKS = {True: ("●", Status.MEETS), False: ("▲", Status.FAILS)}


@dataclass(frozen=True, slots=True)
class Reasons:
    """A circuit, the checks of the next size down, its findings that turn somewhere and what is known of it.

    ``turns`` maps a rule to the words for where its answer turns, once that was asked.
    """

    circuit: CircuitResult
    smaller: tuple[Check, ...] = ()
    findings: tuple[Finding, ...] = ()
    turns: Mapping[str, str] = field(default_factory=dict)


class ReasonsView(QTextBrowser):
    """``field_asked(path)`` for an assumption, ``turn_asked(rule)`` for where an answer turns,
    ``worksheet_asked(id, inputs)`` to open a number in its worksheet."""

    field_asked = Signal(str)
    turn_asked = Signal(str)
    worksheet_asked = Signal(str, object)

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._given: tuple[Reasons | None, str] = (None, "metric")
        self._open = ""
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setOpenLinks(False)
        self.setAccessibleName("Why this conductor and this device")
        self.anchorClicked.connect(self._clicked)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.setStyleSheet("QTextBrowser { background: transparent; border: none; padding: 0 8px; }")
        self._draw()

    def show_reasons(self, reasons: Reasons | None, habit: str) -> None:
        """Show a circuit's reasons in a habit of units; nothing for none."""
        if (reasons, habit) == self._given:
            return
        before, self._given = self._given[0], (reasons, habit)
        same = before is not None and reasons is not None and before.circuit.id == reasons.circuit.id
        self._open = self._open if same else ""
        self._draw(keep=same)

    def _draw(self, *, keep: bool = True) -> None:
        reasons, habit = self._given
        place = self.verticalScrollBar().value()
        self.setHtml("" if reasons is None else as_html(reasons, habit, self._look, self._open))
        self.verticalScrollBar().setValue(place if keep else 0)

    def _clicked(self, link: QUrl) -> None:
        kind, _, name = link.toString().partition(":")
        reasons = self._given[0]
        if kind == "field":
            self.field_asked.emit(name)
        elif kind == "turn":
            self.turn_asked.emit(name)
        elif kind == "step":
            self._open = "" if name == self._open else name
            self._draw()
        elif kind == "worksheet" and reasons is not None:
            step = reasons.circuit.steps[name]
            self.worksheet_asked.emit(step.sheet.id, dict(step.inputs))


def as_html(reasons: Reasons, habit: str, look: Look, opened: str = "") -> str:
    """The reasons as rich text; ``opened`` names the worked step that is shown whole."""
    circuit = reasons.circuit
    parts = [
        _head(_why(circuit), look, first=True),
        _checks(reasons, habit, look),
        _head("Its device", look),
        *_device(circuit, habit),
        *_turns(reasons, look),
        *_assumed(circuit, look),
        *_steps(circuit, habit, look, opened),
    ]
    return f"<body style='color: {look.ink};'>{''.join(parts)}</body>"


def _why(circuit: CircuitResult) -> str:
    """The one sentence: what was chosen and what decided."""
    if circuit.conductor is None:
        wanted = ", ".join(dict.fromkeys(item.title for item in circuit.missing))
        return f"No conductor yet. Enter: {wanted}." if wanted else "No size of the table carries this."
    size, bad = circuit.conductor.text, [check for check in circuit.checks if not check.ok]
    if circuit.pinned:
        least = f" The least by the rules is {circuit.least.text}." if circuit.least is not None else ""
        held = f"fails by {_name(bad[0])}" if bad else "passes every check"
        return f"{size} is fixed; it {held}.{least}"
    if bad:
        return f"{size} is the largest there is, and still fails by {_name(bad[0])}."
    if circuit.smaller is None or not circuit.smaller_fails:
        return f"{size}: the {governed(circuit) or 'least size'}."
    return f"{size}, because {circuit.smaller.text} fails by {_name(circuit.smaller_fails)}."


def _name(check: Check | str) -> str:
    name = check if isinstance(check, str) else check.name
    return CHECKS.get(name, name).lower()


def _checks(reasons: Reasons, habit: str, look: Look) -> str:
    """A row a check: what is asked, what the chosen size does, what the next one down does."""
    circuit, under = reasons.circuit, {check.name: check for check in reasons.smaller}
    if circuit.conductor is None or not circuit.checks:
        return ""
    heads = ["", "asks for", circuit.conductor.text]
    if under and circuit.smaller is not None:
        heads.append(circuit.smaller.text)
    rows = []
    for check in circuit.checks:
        cells = [CHECKS.get(check.name, check.name), _asked(check, habit), _does(check, habit, look)]
        if len(heads) > 3:
            cells.append(_does(under[check.name], habit, look) if check.name in under else "")
        rows.append("".join(_cell(cell, at) for at, cell in enumerate(cells)))
    head = "".join(
        _cell(f"<span style='color: {look.soft};'>{escape(text)}</span>", at) for at, text in enumerate(heads)
    )
    body = "".join(f"<tr>{row}</tr>" for row in (head, *rows))
    return f"<table cellspacing='0' cellpadding='2'>{body}</table>"


def _cell(html: str, at: int) -> str:
    return f"<td align='{'right' if at else 'left'}' style='padding-right: 18px;'>{html}</td>"


def _asked(check: Check, habit: str) -> str:
    if check.name == "drop":
        return f"at most {units.show(check.capacity, check.unit, habit)}"
    return f"at least {units.show(check.need, check.unit, habit)}"


def _does(check: Check, habit: str, look: Look) -> str:
    """What a size does, with enough digits to tell it from what is asked, and its mark."""
    value, limit = (check.need, check.capacity) if check.name == "drop" else (check.capacity, check.need)
    text, _ = units.show_apart(value, limit, check.unit, habit)
    mark, status = MARKS[check.ok]
    bold = ("<b>", "</b>") if not check.ok else ("", "")
    return f"{bold[0]}{text}{bold[1]} <span style='color: {look.status(status)};'>{mark}</span>"


def _device(circuit: CircuitResult, habit: str) -> list[str]:
    """Rating, class, earthing conductor and conduit, each with what it comes from."""

    def show(value: float | None, unit: str) -> str:
        return "not known" if value is None else units.show(value, unit, habit)

    most = "" if circuit.device_largest is None else f"; at most {show(circuit.device_largest, 'A')}"
    range_text = f"at least {show(circuit.device_least, 'A')}{most}"
    rating = show(circuit.device, "A") if circuit.device is not None else "No standard rating fits"
    told = [f"{rating}: {range_text}."]
    if not circuit.device_needed:
        told = ["No overcurrent device is needed here; a disconnect is another question."]
        if circuit.device is not None:
            told.append(f"A breaker as disconnect: {rating}, {range_text}.")
    if circuit.voltage is not None:
        record = circuit.voltage_record
        cold = f", {show(record, 'V')} at the record low" if record not in (None, circuit.voltage) else ""
        rated = f"{show(circuit.voltage_class, 'V')} {circuit.system.upper()} class"
        told.append(f"{rated}: {show(circuit.voltage, 'V')} can stand on it{cold}.")
    if circuit.earthing is not None:
        told.append(f"{circuit.earthing.text} earthing conductor.")
    step = circuit.steps.get("conduit")
    if step is not None:
        filled, share = show(step.result.fill, "%"), show(step.result.share, "%")
        held = f"filled {filled} of {share} allowed, earthing conductor included" if circuit.conduit else ""
        told.append(
            f"Conduit {circuit.conduit}: {held}." if held else "No usual conduit holds what shares it."
        )
    return [_line(escape(text)) for text in told]


def _turns(reasons: Reasons, look: Look) -> list[str]:
    """Where each answer turns: asked for by a click, as it takes a while to find."""
    parts = []
    for finding in reasons.findings:
        known = reasons.turns.get(finding.rule)
        told = escape(known) if known is not None else _link(f"turn:{finding.rule}", "how far?", look)
        parts.append(_line(f"{escape(finding.rule.replace('-', ' ').capitalize())}: {told}"))
    return [_head("Where each answer turns", look), *parts] if parts else []


def _assumed(circuit: CircuitResult, look: Look) -> list[str]:
    parts = [
        _line(f"{_link(f'field:{item.path}', item.title, look)} {escape(f'{item.text}, {item.why}')}")
        for item in circuit.assumed
    ]
    return [_head("Assumed where nothing was entered", look), *parts] if parts else []


def _steps(circuit: CircuitResult, habit: str, look: Look, opened: str) -> list[str]:
    parts = []
    for name, step in circuit.steps.items():
        arrow = "▾" if name == opened else "▸"
        parts.append(_line(_link(f"step:{name}", f"{arrow} {step.sheet.title}", look)))
        if name == opened:
            parts.append(worked_html(step, habit, look, title=False))
            parts.append(_line(_link(f"worksheet:{name}", "Open in the worksheets", look)))
    return [_head("Worked out", look), *parts] if parts else []


def _head(text: str, look: Look, *, first: bool = False) -> str:
    size = look.text + 1 if first else look.text
    above = 0 if first else 12
    return f"<p style='margin: {above}px 0 4px 0; font-size: {size}px; font-weight: bold;'>{escape(text)}</p>"


def _line(html: str) -> str:
    return f"<p style='margin: 1px 0 1px 0;'>{html}</p>"


def _link(target: str, text: str, look: Look) -> str:
    return (
        f"<a href='{escape(target)}' style='color: {look.water}; text-decoration: none;'>{escape(text)}</a>"
    )
