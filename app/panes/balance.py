"""The balance: its months as numbers and the fields that govern them; bars and losses at the right."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QSplitter

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.views.balance import BalanceView
from app.views.loss_chain import LossChainView
from app.views.text_table import Texts, TextTable
from engine import units
from engine.rules.shared.balance import month_status
from engine.sections.balance import Balance
from engine.sections.source_yield import MONTHS

SOURCE_FIELDS = {
    "arrays": ("strings", "tilt", "azimuth", "losses", "snow"),
    "wind": ("diameter", "hub_height"),
    "hydro": ("flow", "flow_months", "residual_flow"),
}
SITE_FIELDS = {"arrays": ("sun", "air_temperature"), "wind": ("wind_months",), "hydro": ()}
GENERATOR_FIELDS = ("power", "charger_current", "charger_efficiency")
PRICE_FIELDS = ("generator_kwh", "currency")


class BalancePane(Pane):
    """Twelve months; one of them and one source are in hand."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._month: int | None = None  # the worst, until a person takes another
        self._at = 0
        title, self._about = QLabel("Balance"), QLabel()
        title.setObjectName("title")
        self._about.setObjectName("soft")
        self._about.setWordWrap(True)
        self._table = TextTable("Balance by month")
        self._table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._table.chosen.connect(self._take_month)
        copy = QPushButton("Copy")
        copy.setToolTip("All months with every source, as tab-separated values.")
        copy.clicked.connect(self._table.copy_all)
        self._copy_row = QHBoxLayout()
        self._copy_row.addStretch(1)
        self._copy_row.addWidget(copy)
        self._copy = copy
        self._sources = QComboBox()
        self._sources.setAccessibleName("Source")
        self._sources.activated.connect(self._take_source)
        self.form_column.insertWidget(0, title)
        self.form_column.insertWidget(1, self._about)
        self._source, self._site = Form(session, folded=False), Form(session, folded=False)
        self._generator, self._prices = Form(session, folded=False), Form(session, folded=False)
        self.fields.addWidget(self._table)
        self.fields.addLayout(self._copy_row)
        for part in (self._sources, *self.forms()):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._bars, self._chain = BalanceView(), LossChainView()
        self._bars.chosen.connect(self._take)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        for view in (self._bars, self._chain):
            frame, column = sheet()
            column.setContentsMargins(0, 4, 0, 4)
            column.addWidget(view)
            split.addWidget(frame)
        split.setSizes([330, 230])
        self.picture.addWidget(split)

    def forms(self) -> tuple[Form, ...]:
        return (self._source, self._site, self._generator, self._prices)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        for part in (self._table, self._bars, self._chain):
            part.set_look(look)
        self._fit()

    def _fit(self) -> None:
        """The table as high as its months; once it stands in the window its head has other letters."""
        rows = len(MONTHS) * self._table.verticalHeader().defaultSectionSize()
        self._table.setFixedHeight(rows + self._table.horizontalHeader().sizeHint().height() + 16)

    def refresh(self) -> None:
        """Show the balance of the session's evaluation."""
        evaluation = self._session.evaluation
        balance = evaluation.balance
        self._about.setText(_about(balance, evaluation.bank.capacity.carried, self._session.habit))
        for part in (self._table, self._copy):
            part.setVisible(bool(balance.months))
        self._fit()
        self._table.show_texts(_texts(balance, self._session.habit))
        self._show_sources(balance)
        self._show_forms(balance)
        self._draw(balance)

    def _show_sources(self, balance: Balance) -> None:
        names = [source.label for source in balance.sources]
        self._at = min(self._at, max(len(names) - 1, 0))
        if [self._sources.itemText(at) for at in range(self._sources.count())] != names:
            self._sources.clear()
            self._sources.addItems(names)
        self._sources.setCurrentIndex(self._at if names else -1)
        self._sources.setVisible(len(names) > 1)

    def _show_forms(self, balance: Balance) -> None:
        design = self._session.design
        source = balance.sources[self._at] if balance.sources else None
        table = "" if source is None else source.path.partition(".")[0]
        self._source.setVisible(source is not None)
        self._site.setVisible(bool(SITE_FIELDS.get(table)))
        if source is not None:
            self._source.set_paths(source.path, SOURCE_FIELDS[table], source.label)
            self._site.set_paths("site", SITE_FIELDS[table], "Site")
        self._generator.setVisible(bool(design.generators))
        self._prices.setVisible(bool(design.generators))
        if design.generators:
            path = f"generators.{design.generators[0].id}"
            self._generator.set_paths(path, GENERATOR_FIELDS, design.generators[0].label or "Generator")
            self._prices.set_paths("prices", PRICE_FIELDS, "Prices")

    def _draw(self, balance: Balance) -> None:
        month, habit = self._shown_month(balance), self._session.habit
        self._bars.show_balance(balance, month, self._at, habit)
        source = balance.sources[self._at] if balance.sources else None
        self._chain.show_chain(source, month, MONTHS[month], habit)
        if balance.months and self._table.line() != month:
            self._table.selectRow(month)

    def _shown_month(self, balance: Balance) -> int:
        return (balance.worst or 0) if self._month is None else self._month

    def _take(self, month: int, source: int) -> None:
        self._month, self._at = month, source
        self.refresh()

    def _take_month(self, month: int) -> None:
        if month >= 0 and month != self._shown_month(self._session.evaluation.balance):
            self._take(month, self._at)

    def _take_source(self, at: int) -> None:
        self._at = at
        self.refresh()


def _about(balance: Balance, carried: float | None, habit: str) -> str:
    """What the year comes to, and how long the bank carries the loads alone [h], in a few sentences."""
    if balance.worst is None:
        return "What each source brings in each month, against the loads."
    month = balance.months[balance.worst]
    if month.demand <= 0:
        return "The loads take nothing in any month: enter their hours of use."
    text = (
        f"{month.name} is the worst month of the sum: {units.show(month.ratio, '%', habit, 3)} of the loads."
    )
    if balance.hours:
        cost = "" if balance.cost is None else f", {balance.cost:,.0f} {balance.currency}".rstrip()
        text += f" The generator runs {units.show(balance.hours, 'h', habit, 3)} in a year{cost}."
    if carried is not None:
        text += f" The bank alone carries {units.show(carried, 'h', habit, 3)} of the heaviest month."
    return text


def _texts(balance: Balance, habit: str) -> Texts:
    """The months as a table; each source stands in what is copied."""
    each = tuple(source.label for source in balance.sources)
    run = any(month.generator is None or month.generator for month in balance.months)

    def show(energy: float) -> str:
        return units.show(energy, "Wh", habit, 2 if abs(energy) < 1e4 else 3)

    rows = tuple(
        (
            month_status(month),
            (
                month.name[:3],
                show(month.brought),
                show(month.demand),
                show(month.surplus),
                "none" if month.generator is None else units.show(month.generator, "h", habit, 2),
                *(show(brought) for brought in month.sources),
            ),
        )
        for month in balance.months
    )
    heads = ("Month", "Sources", "Loads", "Surplus", "Gen.", *each)
    return Texts(heads, heads[1:], ("Surplus" if run else "Gen.", *each), rows)
