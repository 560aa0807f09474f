"""The default figures: exact, sourced, and as the trade writes them in both units."""

from __future__ import annotations

from fractions import Fraction

import pytest

from nesting.errors import InputError
from nesting.trade.defaults import DEFAULTS, FIGURES, default_length
from nesting.units import Unit, read_exact

INCH = 40_640


@pytest.mark.parametrize(
    ("name", "inches", "mm"),
    [
        # inches exact; millimetres as shops write them, so to the last figure given
        ("kerf_table_saw", "0.125", "3.175"),
        ("kerf_table_saw_thin", "0.09375", "2.38"),
        ("kerf_circular_saw", "0.0625", "1.6"),
        ("kerf_crosscut", "0.125", "3.175"),
        ("kerf_bandsaw_resaw", "0.0625", "1.6"),
        ("sheet_trim_reference_edge", "0.125", "3.2"),
        ("sheet_rough_breakdown_oversize", "0.25", "6.4"),
        # PS 1-19: length and width +0, -1/16 in
        ("sheet_size_tolerance", "0.0625", "1.6"),
        ("lumber_end_trim_each", "1", "25.4"),
        ("rough_length_allowance", "1", "25.4"),
        # Griffith: add 1/4 to the width and 1/2 to the length
        ("rough_length_allowance_least", "0.5", "12.7"),
        ("rough_width_allowance", "0.25", "6.4"),
        ("thickness_allowance_sawn_per_face", "0.09375", "2.4"),
        ("joint_edge_allowance", "0.0625", "1.6"),
        ("eased_edge_loss", "0.125", "3.2"),
        ("laminate_glue_face_loss", "0.03125", "0.8"),
        ("snipe_allowance_each_end", "0", "0"),
        ("min_jointer_length", "12", "304.8"),
        ("min_planer_length", "14", "355.6"),
        ("push_stick_rip_width", "6", "152.4"),
        ("min_rip_piece_length", "12", "304.8"),
        ("min_crosscut_held_piece", "8", "203.2"),
        ("hand_clearance_blade", "6", "152.4"),
        ("hand_clearance_bandsaw", "3", "76.2"),
        ("offcut_keep_sheet_width", "6", "152.4"),
        ("offcut_keep_sheet_length", "24", "609.6"),
        ("offcut_keep_lumber_length", "12", "304.8"),
    ],
)
def test_lengths(name: str, inches: str, mm: str) -> None:
    """A default is the figure the trade gives, in inches and in millimetres."""
    value = default_length(name)
    assert value == Fraction(inches) * INCH
    assert abs(Fraction(value, 1600) - Fraction(mm)) <= Fraction("0.05")


def test_the_rail_saw_is_metric() -> None:
    """Rail saw blades are sold by their 2.2 mm kerf (common practice)."""
    assert default_length("kerf_track_saw") == Fraction("2.2") * 1600


def test_a_rail_crosses_a_sheet() -> None:
    """A 55 in rail loses 6 1/2 in and still crosses a 48 in sheet (common practice)."""
    usable = default_length("rail_length") - default_length("rail_start_and_finish")
    assert usable == Fraction("48.5") * INCH


def test_every_default_is_exact_and_sourced() -> None:
    """Text, ticks and name agree, no value is negative, and a source is named."""
    for name, default in DEFAULTS.items():
        assert default.name == name
        assert read_exact(default.text, Unit.INCH) == default.value >= 0
        assert len(default.source) > 5
    for name, figure in FIGURES.items():
        assert figure.name == name
        assert figure.value > 0
        assert figure.unit
        assert len(figure.source) > 5


def test_the_load_constant() -> None:
    """The load constant of the revised NIOSH lifting equation is 51 lb (23 kg)."""
    pounds = FIGURES["lift_warn"].value
    assert pounds == 51
    assert round(pounds * Fraction("0.45359237")) == 23


def test_unknown_default() -> None:
    """A name that is no default is refused."""
    with pytest.raises(InputError, match="no default length 'kerf_laser'"):
        default_length("kerf_laser")
