"""A pipe's material as it is printed on the pipe finds its row."""

import pytest

from engine.sections.pipe_material import hazen_of, modulus_of, roughness_of


@pytest.mark.parametrize("printed", ["HDPE", "PE", "PE 100", "PE100", "PE-HD", "MDPE", "polyethylene"])
def test_that_the_letters_of_polyethylene_mean_polyethylene(printed: str) -> None:
    """The table's rows, from A Layman's Guidebook (ESHA) from memory: 0.003 mm; C of 140."""
    assert (roughness_of(printed), hazen_of(printed)) == (0.003, 140)


def test_that_pvc_and_fibreglass_have_their_letters_too() -> None:
    assert roughness_of("uPVC") == roughness_of("PVC") == 0.0015
    assert modulus_of("GRP") == 50e9


@pytest.mark.parametrize("printed", ["", "perspex", "paper", None])
def test_that_another_word_means_no_row(printed: str | None) -> None:
    assert roughness_of(printed) is None


def test_that_a_bare_steel_is_a_welded_penstock_and_never_drawn_tube() -> None:
    assert roughness_of("Steel") == roughness_of("welded steel") == 0.6  # ESHA 2004; drawn tube has 0.0015
    assert modulus_of("steel") == 210e9
