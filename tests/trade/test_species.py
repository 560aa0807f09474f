"""The species tables against each other, and looking a species up."""

from __future__ import annotations

from fractions import Fraction

import pytest

from nesting.errors import InputError
from nesting.trade.movement import coefficient_of
from nesting.trade.species import SPECIES, Species, find_species


@pytest.mark.parametrize("each", SPECIES.values(), ids=SPECIES)
def test_the_two_tables_agree(each: Species) -> None:
    """C = S / (3000 - 20 S) gives Table 13-5 from Table 4-3 to five decimals.

    The pooled oaks are groups in one table and species in the other, and differ.
    """
    found = [round(coefficient_of(s), 5) for s in (each.radial, each.tangential)]
    printed = [float(each.quartersawn), float(each.flatsawn)]
    if each.is_pooled:
        assert found != printed
    else:
        assert found == printed


def test_single_values() -> None:
    """Wood Handbook GTR-190: figures read on its pages."""
    assert len(SPECIES) == 26
    assert find_species("white oak").flatsawn == Fraction("0.00365")
    assert find_species("red oak").flatsawn == Fraction("0.00369")
    assert find_species("walnut, black").tangential == Fraction("7.8")


def test_tangential_moves_more_than_radial() -> None:
    """For every species."""
    for each in SPECIES.values():
        assert each.radial < each.tangential
        assert each.quartersawn < each.flatsawn


@pytest.mark.parametrize(
    "name", ["Pine, Eastern White", "eastern white pine", "white  eastern PINE"]
)
def test_word_order_and_capitals_make_no_difference(name: str) -> None:
    """Makers say it the other way round."""
    assert find_species(name).name == "pine, eastern white"


def test_an_unknown_species_is_refused_with_the_nearest() -> None:
    """A slip is told what was meant."""
    with pytest.raises(InputError) as caught:
        find_species("black wallnut")
    assert "walnut, black" in caught.value.faults[0].remedy
