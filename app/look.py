"""The looks of the window: colours, type sizes and the style sheet made from them.

Source colours are Okabe and Ito's colour-blind-safe set; signal panels use the colours of ANSI Z535.1 and
ISO 3864. Spacing keeps a 4 px grid.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtGui import QColor, QFont, QPalette

from app.places import assets
from engine.finding import Signal, Status


@dataclass(frozen=True, slots=True)
class Look:
    """One look. Colours are ``#rrggbb``; ``text`` is the body size in pixels, ``stroke`` a pen width."""

    name: str
    paper: str
    sheet: str
    hairline: str
    field: str
    ink: str
    soft: str
    faint: str
    accent: str
    on_accent: str
    sun: str = "#E69F00"
    wind: str = "#56B4E9"
    water: str = "#0072B2"
    battery: str = "#009E73"
    loads: str = "#CC79A7"
    fails: str = "#C8102E"
    marginal: str = "#B85000"
    meets: str = "#3F7A52"
    unknown: str = "#5B6470"
    text: int = 12
    stroke: int = 1

    @property
    def small(self) -> int:
        return self.text - 1

    @property
    def large(self) -> int:
        return self.text + 3

    def source(self, name: str) -> str:
        """The colour of a ladder lane or a piece: sun, wind, water, battery, loads or ink."""
        colour: str = getattr(self, name)
        return colour

    def status(self, status: Status | None) -> str:
        """The colour of a status mark."""
        if status is None:
            return self.faint
        return (self.fails, self.unknown, self.marginal, self.meets)[status]

    def signal(self, signal: Signal) -> tuple[str, str]:
        """Panel colour and word colour of a signal word (ANSI Z535.1 safety colours)."""
        return (
            ("#C8102E", "#FFFFFF"),
            ("#FF8200", "#000000"),
            ("#FFD100", "#000000"),
            ("#0067B1", "#FFFFFF"),
            (self.hairline, self.ink),
        )[signal]


LIGHT = Look(
    name="light",
    paper="#F5F4EF",
    sheet="#FFFFFF",
    hairline="#DAD8CF",
    field="#FAF9F5",
    ink="#20242A",
    soft="#5A616B",
    faint="#9AA0A8",
    accent="#20242A",
    on_accent="#FFFFFF",
)

DARK = Look(
    name="dark",
    paper="#16191D",
    sheet="#1F2328",
    hairline="#3A4048",
    field="#262B31",
    ink="#ECEDEA",
    soft="#AEB4BC",
    faint="#747C86",
    accent="#ECEDEA",
    on_accent="#16191D",
    water="#4FA3DD",
    battery="#2FBF95",
    fails="#FF6B78",
    marginal="#FFA24D",
    meets="#7CC596",
    unknown="#B4BBC4",
)

PROJECTOR = replace(
    LIGHT, name="projector", paper="#FFFFFF", ink="#000000", soft="#33383F", text=16, stroke=2
)

LOOKS = {look.name: look for look in (LIGHT, DARK, PROJECTOR)}


def font(look: Look, size: int | None = None, *, bold: bool = False) -> QFont:
    """The window's type at a size in pixels."""
    made = QFont("DejaVu Sans")
    made.setStyleHint(QFont.StyleHint.SansSerif)
    made.setPixelSize(size or look.text)
    made.setBold(bold)
    return made


def palette(look: Look) -> QPalette:
    """The look as a Qt palette, for controls that the style sheet does not reach."""
    made = QPalette()
    role = QPalette.ColorRole
    for which, colour in (
        (role.Window, look.paper),
        (role.Base, look.field),
        (role.AlternateBase, look.sheet),
        (role.Button, look.sheet),
        (role.Text, look.ink),
        (role.WindowText, look.ink),
        (role.ButtonText, look.ink),
        (role.PlaceholderText, look.soft),
        (role.Highlight, look.water),
        (role.HighlightedText, look.on_accent),
        (role.ToolTipBase, look.sheet),
        (role.ToolTipText, look.ink),
    ):
        made.setColor(which, QColor(colour))
    return made


def _arrow(look: Look) -> str:
    """The picture of a combo's arrow in a look's ink; a style sheet takes it from a file only."""
    return (assets() / f"arrow_{'dark' if look.name == 'dark' else 'light'}.svg").as_posix()


def style_sheet(look: Look) -> str:
    """The window's style sheet."""
    return f"""
    * {{ font-family: "DejaVu Sans"; font-size: {look.text}px; color: {look.ink}; }}
    QMainWindow, QDialog, #paper {{ background: {look.paper}; }}
    #sheet {{ background: {look.sheet}; border: 1px solid {look.hairline}; border-radius: 6px; }}
    #sheet QLabel, #sheet QCheckBox {{ background: transparent; }}
    #title {{ font-size: {look.large}px; font-weight: bold; }}
    #soft, #note {{ color: {look.soft}; }}
    #note {{ font-size: {look.small}px; }}
    #error {{ color: {look.fails}; font-size: {look.small}px; }}
    #notice {{ background: {look.sheet}; border: 1px solid {look.marginal}; border-radius: 6px; }}
    #notice QLabel {{ background: transparent; }}
    #step {{ background: {look.field}; border: 1px solid {look.hairline}; border-radius: 4px; }}
    #step QLabel {{ background: transparent; }}
    #step[hovered="true"] {{ border-color: {look.soft}; }}
    #step[focused="true"] {{ border: 2px solid {look.water}; }}
    #heading {{ font-weight: bold; padding-top: 8px; padding-bottom: 2px; }}
    QLineEdit, QPlainTextEdit {{ placeholder-text-color: {look.soft}; }}
    QTextBrowser {{ background: {look.sheet}; border: 1px solid {look.hairline}; border-radius: 6px; }}
    QTextBrowser:focus {{ border: 2px solid {look.water}; }}
    QScrollArea, QScrollArea > QWidget > QWidget {{ background: transparent; border: none; }}
    QLineEdit, QComboBox, QSpinBox, QPlainTextEdit, QListWidget, QTreeWidget, QTableWidget {{
        background: {look.field}; border: 1px solid {look.hairline}; border-radius: 4px; padding: 3px 6px;
        selection-background-color: {look.water}; selection-color: {look.on_accent}; }}
    QLineEdit:focus, QComboBox:focus, QPlainTextEdit:focus, QListWidget:focus, QTreeWidget:focus,
    QTableWidget:focus {{ border: 2px solid {look.water}; padding: 2px 5px; }}
    QComboBox[default="true"] {{ color: {look.soft}; }}
    QLineEdit[lit="true"], QComboBox[lit="true"] {{ border: 2px solid {look.sun}; }}
    QLineEdit[bad="true"], QPlainTextEdit[bad="true"], QComboBox[bad="true"] {{
        border: 2px solid {look.fails}; }}
    QComboBox {{ combobox-popup: 0; }}
    QComboBox::drop-down {{ border: none; width: 18px; }}
    QComboBox::down-arrow {{ image: url({_arrow(look)}); width: 9px; height: 6px; }}
    QComboBox QAbstractItemView {{ background: {look.sheet}; color: {look.ink}; }}
    QPushButton, QToolButton {{
        background: {look.sheet}; border: 1px solid {look.hairline}; border-radius: 4px; padding: 4px 10px; }}
    QPushButton:hover, QToolButton:hover {{ border-color: {look.soft}; }}
    QPushButton:focus, QToolButton:focus {{ border: 2px solid {look.water}; padding: 3px 9px; }}
    QPushButton:checked, QToolButton:checked {{ background: {look.accent}; color: {look.on_accent}; }}
    QPushButton:disabled, QToolButton:disabled {{ color: {look.faint}; }}
    QMenuBar, QMenu {{ background: {look.sheet}; }}
    QMenu::item:selected, QMenuBar::item:selected {{ background: {look.hairline}; }}
    QToolTip {{
        background: {look.sheet}; color: {look.ink}; border: 1px solid {look.hairline}; padding: 4px; }}
    QSplitter::handle {{ background: {look.paper}; }}
    QScrollBar:vertical {{ background: transparent; width: 10px; margin: 0; }}
    QScrollBar:horizontal {{ background: transparent; height: 10px; margin: 0; }}
    QScrollBar::handle {{
        background: {look.hairline}; border-radius: 4px; min-height: 24px; min-width: 24px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
    QHeaderView::section {{ background: {look.sheet}; color: {look.soft}; border: none; padding: 4px; }}
    """
