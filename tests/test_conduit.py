"""Conduit: published fills, the tables' own laws, and the finding on a trade size in hand."""

from __future__ import annotations

import math

import pytest
from a_wired_site import circuit, found, judged
from hypothesis import given
from hypothesis import strategies as st

from app.look import LIGHT
from app.terminal.check import circuit_json
from app.views.reasons import Reasons, as_html
from engine.finding import Signal, Status
from engine.physics.conduit import COVERINGS, KINDS, conduit_fill, coverings, fill_share, trade_sizes
from engine.sizes import parse_size
from engine.tables import table
from engine.tables.family import family

NEC, IEC = family("nec-2023"), family("iec")
RUN = "circuits.south-run"
IN_CONDUIT = {f"{RUN}.method": "raceway", f"{RUN}.covering": "THWN-2", f"{RUN}.conduit_kind": "EMT"}


@pytest.mark.parametrize(
    ("size", "conductors", "trade", "kind"),
    [
        # NFPA 70, Annex C, Table C.1: most THHN conductors in EMT (from memory): 12, 22, 35 of 14 AWG,
        # 9, 16, 26 of 12 AWG, 5, 10, 16 of 10 AWG in 1/2, 3/4 and 1 in; 3, 6 of 8 AWG; 4 of 6 AWG in 3/4 in.
        # It rounds 0.8 of a conductor up (chapter 9, note 7), which is not done here: 21, 25 and 5 below.
        ("14 AWG", 12, "1/2 in", "EMT"),
        ("14 AWG", 13, "3/4 in", "EMT"),
        ("14 AWG", 21, "3/4 in", "EMT"),
        ("12 AWG", 9, "1/2 in", "EMT"),
        ("12 AWG", 10, "3/4 in", "EMT"),
        ("12 AWG", 25, "1 in", "EMT"),
        ("10 AWG", 5, "1/2 in", "EMT"),
        ("10 AWG", 10, "3/4 in", "EMT"),
        ("10 AWG", 11, "1 in", "EMT"),
        ("8 AWG", 3, "1/2 in", "EMT"),
        ("8 AWG", 5, "3/4 in", "EMT"),
        ("6 AWG", 4, "3/4 in", "EMT"),
        ("4 AWG", 4, "1 in", "EMT"),
        ("2 AWG", 4, "1-1/4 in", "EMT"),
        ("4/0 AWG", 4, "2 in", "EMT"),
    ],
)
def test_that_conduit_holds_what_annex_c_prints(size: str, conductors: int, trade: str, kind: str) -> None:
    found = conduit_fill(
        size=parse_size(size), conductors=conductors, covering="THWN-2", kind=kind, rules=NEC
    )
    assert found.conduit == trade


def test_that_one_two_and_more_conductors_fill_53_31_and_40_per_cent() -> None:
    assert [fill_share(NEC, many) for many in (1, 2, 3, 90)] == [0.53, 0.31, 0.40, 0.40]
    assert {fill_share(IEC, many) for many in (1, 2, 3, 90)} == {0.40}


@pytest.mark.parametrize("kind", [kind.replace(" ", "_") for kind in KINDS])
def test_that_the_area_of_a_conduit_is_that_of_its_bore(kind: str) -> None:
    for row in table("nec_ch9_table4").rows():
        bore, area = row[f"{kind}_inside_in"], row[f"{kind}_in2"]
        if isinstance(bore, float) and isinstance(area, float):
            assert area == pytest.approx(math.pi / 4 * bore**2, abs=0.0006)


@pytest.mark.parametrize("rules", [NEC, IEC], ids=lambda rules: rules.name)
def test_that_trade_sizes_and_coverings_widen_down_their_tables(rules: object) -> None:
    rules = NEC if rules is NEC else IEC
    for kind in KINDS:
        areas = [area for _, area in trade_sizes(rules, kind)]
        assert areas == sorted(set(areas))
        assert all(area <= wide for (_, area), (_, wide) in zip(
            trade_sizes(rules, "PVC 80"), trade_sizes(rules, kind), strict=False))  # fmt: skip
    for name in coverings(rules):
        areas = list(table(rules.tables["coverings"]).numbers(name))
        assert areas == sorted(set(areas))


def test_that_where_nobody_says_which_the_insulation_is_the_thickest_of_its_use() -> None:
    for rules in (NEC, IEC):
        held = table(rules.tables["coverings"])
        for size, *areas in zip(
            held.column("size"), *(held.column(n) for n in coverings(rules)), strict=True
        ):
            row = dict(zip(coverings(rules), areas, strict=True))
            building = [row[name] or 0.0 for name in row if name != rules.conduit.pv_covering]
            assert row[rules.conduit.covering] == max(building), size  # type: ignore[type-var]
            assert row[rules.conduit.pv_covering] is None or row[rules.conduit.pv_covering] >= max(building)  # type: ignore[operator, type-var]


@given(st.data())
def test_that_thicker_wire_never_takes_smaller_conduit(data: st.DataObject) -> None:
    rules = data.draw(st.sampled_from([NEC, IEC]))
    covering = data.draw(st.sampled_from(coverings(rules)))
    held = table(rules.tables["coverings"])
    sizes = [s for s, a in zip(held.column("size"), held.column(covering), strict=True) if a is not None]
    thin, thick = sorted(data.draw(st.lists(st.integers(0, len(sizes) - 1), min_size=2, max_size=2)))
    given_ = {
        "conductors": data.draw(st.integers(1, 60)),
        "covering": covering,
        "kind": data.draw(st.sampled_from(KINDS)),
        "rules": rules,
    }
    small, large = (conduit_fill(size=parse_size(str(sizes[at])), **given_) for at in (thin, thick))
    order = [trade for trade, _ in trade_sizes(rules, str(given_["kind"]))]
    assert small.least <= large.least
    if large.conduit is not None:
        assert small.conduit is not None and order.index(small.conduit) <= order.index(large.conduit)


def test_that_a_bare_earthing_conductor_takes_less_room() -> None:
    ten = parse_size("10 AWG")
    bare, covered = (
        conduit_fill(size=ten, earthing=ten, earthing_bare=each, covering="THWN-2", rules=NEC)
        for each in (True, False)
    )
    assert covered.area == pytest.approx(3 * 0.0211 * 25.4**2)  # Table 5, from memory
    assert bare.area == pytest.approx((2 * 0.0211 + 0.011) * 25.4**2)  # Table 8, read


def test_that_the_run_counts_its_earthing_conductor_and_is_in_pvc_80_and_pv_wire_unless_told() -> None:
    run = circuit("south-run", {f"{RUN}.method": "raceway"})
    inputs = dict(run.steps["conduit"].inputs)
    assert inputs["conductors"] == 2 and inputs["earthing"] == run.earthing
    assert (inputs["covering"], inputs["kind"]) == ("PV wire", "PVC 80")
    assert {f"{RUN}.covering", f"{RUN}.conduit_kind"} <= {item.path for item in run.assumed}
    assert run.conduit == run.steps["conduit"].result.conduit


def test_that_a_run_in_free_air_has_no_conduit() -> None:
    run = circuit("south-run", {f"{RUN}.method": "free air"})
    assert run.conduit is None and "conduit" not in run.steps
    finding = found(judged({f"{RUN}.method": "free air", f"{RUN}.conduit": "1 in"}), "conduit-fill", RUN)
    assert finding.status is Status.UNKNOWN


def test_that_the_conduit_in_hand_meets_meets_at_the_limit_and_fails_over_it() -> None:
    """Two conductors and an earthing one of bare bore: the diameter moves the fill over 40 %."""
    changes = {
        **IN_CONDUIT,
        f"{RUN}.conduit": "1/2 in",
        f"{RUN}.size": "8 AWG",
        f"{RUN}.earthing_bare": "yes",
    }
    run = circuit("south-run", changes)
    (metal,) = {
        area
        for size, area in zip(
            table("nec_ch9_table8").column("size"),
            table("nec_ch9_table8").column("overall_area_in2"),
            strict=True,
        )
        if run.earthing is not None and size == run.earthing.text and area in (0.011, 0.017)
    }
    room = 0.40 * 0.304 - float(str(metal))
    limit = math.sqrt(room / 2 / (math.pi / 4)) * 25.4
    for share, wanted in ((0.99, "meets"), (1.0, "meets"), (1.001, "fails")):
        finding = found(judged({**changes, f"{RUN}.diameter": f"{limit * share!r} mm"}), "conduit-fill", RUN)
        assert finding.status.word == wanted
        assert finding.limit == pytest.approx(0.40)
        assert (finding.signal is Signal.CAUTION) == (wanted == "fails")
    assert finding.remedy and finding.value > 0.40  # type: ignore[operator]


def test_that_conduit_that_no_kind_of_that_size_has_is_unknown() -> None:
    finding = found(judged({**IN_CONDUIT, f"{RUN}.conduit": "6 in"}), "conduit-fill", RUN)
    assert (finding.status, finding.field) == (Status.UNKNOWN, f"{RUN}.conduit_kind")


def test_that_a_cable_under_iec_goes_by_its_own_diameter() -> None:
    changes = {"rules": "iec", f"{RUN}.method": "B2", f"{RUN}.conduit": "32 mm"}
    assert found(judged(changes), "conduit-fill", RUN).field == f"{RUN}.diameter"
    finding = found(judged({**changes, f"{RUN}.diameter": "15 mm"}), "conduit-fill", RUN)
    assert finding.status is Status.MEETS
    assert finding.value == pytest.approx((15 / 24.3) ** 2)  # type: ignore[arg-type]


def test_that_too_many_for_any_conduit_is_marginal() -> None:
    changes = {f"{RUN}.method": "raceway", f"{RUN}.conductors": "60", f"{RUN}.size": "1 AWG"}
    finding = found(judged(changes), "conduit-fill", RUN)
    assert finding.status is Status.MARGINAL and "several conduits" in finding.remedy


def test_that_every_word_of_insulation_belongs_to_a_family() -> None:
    assert set(COVERINGS) == {*coverings(NEC), *coverings(IEC)}


def test_that_the_conduit_is_told_at_the_terminal_and_among_the_reasons() -> None:
    evaluation = judged({f"{RUN}.method": "raceway"})
    run = evaluation.circuits["south-run"]
    assert circuit_json(run)["conduit"] == run.conduit
    assert f"Conduit {run.conduit}: filled" in as_html(Reasons(run), "metric", LIGHT)
