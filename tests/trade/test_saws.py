"""The saws of the trade: planes, guides and kerfs (common practice)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from nesting.errors import InputError
from nesting.trade.saws import SAWS, SawKind, saw_practice


@pytest.mark.parametrize(
    ("name", "planes", "kerf_mm"),
    [
        # kerfs in mm as blades are sold: 1/8 in = 3.18, rail saws 2.2, 7-1/4 in thin
        # carbide 1.6, band saw about half a table-saw kerf (common practice)
        ("table saw", {"rip", "crosscut"}, "3.18"),
        ("track saw", {"rip", "crosscut"}, "2.2"),
        ("circular saw", {"rip", "crosscut"}, "1.6"),
        ("miter saw", {"crosscut"}, "3.18"),
        ("radial arm saw", {"crosscut"}, "3.18"),
        ("band saw", {"rip", "resaw"}, "1.6"),
    ],
)
def test_what_a_saw_cuts(name: str, planes: set[str], kerf_mm: str) -> None:
    """Each kind of saw has its usual planes and the kerf blades are sold with."""
    practice = saw_practice(name)
    assert set(practice.planes) == planes
    assert abs(Fraction(practice.kerf.value, 1600) - Fraction(kerf_mm)) <= Fraction(
        "0.02"
    )
    assert practice.kerf.source


def test_every_kind_is_in_the_table() -> None:
    """The table has each kind once, each with a cut, a note and settings that exist."""
    assert set(SAWS) == set(SawKind)
    for kind, practice in SAWS.items():
        assert practice.kind is kind
        assert practice.note.endswith(".")
        assert practice.planes
        assert len({cut.plane for cut in practice.cuts}) == len(practice.cuts)
        assert {cut.guide for cut in practice.cuts} <= {"fence", "stop", "line"}


def test_ripping_on_the_radial_arm_saw_is_off() -> None:
    """It can rip, but only when the maker asks (Washington code 296-806-48034)."""
    practice = saw_practice("radial arm saw")
    rip = practice.cut("rip")
    assert rip is not None
    assert not rip.by_default
    assert "rip" not in practice.planes


def test_boards_are_not_crosscut_against_the_fence() -> None:
    """On a table saw only panels are crosscut on the fence; boards use a stop."""
    crosscut = saw_practice("table saw").cut("crosscut")
    assert crosscut is not None
    assert (crosscut.guide, crosscut.panel_guide) == ("stop", "fence")


def test_a_miter_saw_does_not_rip() -> None:
    """A cut that a saw cannot make at all is absent, not merely off."""
    assert saw_practice("miter saw").cut("rip") is None


@pytest.mark.parametrize("name", ["Table Saw", "radial-arm saw", " band  saw "])
def test_names_are_read_kindly(name: str) -> None:
    """Capitals, hyphens and spaces do not matter."""
    assert saw_practice(name).kind.value == " ".join(
        name.lower().replace("-", " ").split()
    )


@pytest.mark.parametrize("name", ["", "laser", "saw"])
def test_unknown_saws(name: str) -> None:
    """A saw that is not in the table is refused with those that are."""
    with pytest.raises(InputError, match="known are table saw, track saw"):
        saw_practice(name)
