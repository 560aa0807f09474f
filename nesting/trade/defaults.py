"""The figures a plan starts from until the maker says otherwise.

Every length is computed from exact text; the text is kept so that it can be shown with
its source. None of them is a law: each is a setting of the shop or of the job.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from nesting.errors import InputError
from nesting.units import Ticks, Unit, read_length

COMMON_PRACTICE: Final = "common practice"
TEACHING: Final = "teaching practice of schools and shops"
FROM_MEMORY: Final = "from memory"
PS_1: Final = "PS 1-19, structural plywood"
GRIFFITH: Final = "I. S. Griffith, woodwork texts (bill of material)"
HANDBOOK: Final = "a furniture-making handbook"
LIFTING_EQUATION: Final = "revised NIOSH lifting equation"
SAW_MANUAL: Final = "a saw manual (teaching rule)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A length to start from."""

    name: str
    text: str
    """The figure as written, exact; inches unless it names a unit."""
    value: Ticks
    source: str
    """Where the figure comes from, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure that is no length: a ratio, a weight, a moisture content."""

    name: str
    value: Fraction
    unit: str
    """The unit in words; ``of ...`` for a ratio."""
    source: str


_LENGTHS: Final = (
    # the wood a saw turns into dust
    ("kerf_table_saw", "1/8", TEACHING),
    ("kerf_table_saw_thin", "3/32", TEACHING),
    ("kerf_track_saw", "2.2 mm", COMMON_PRACTICE),
    ("kerf_circular_saw", "1/16", COMMON_PRACTICE),
    ("kerf_crosscut", "1/8", "common practice, on the safe side"),
    ("kerf_bandsaw_resaw", "1/16", "half a table-saw kerf: " + TEACHING),
    ("resaw_cleanup_per_face", "1/16", COMMON_PRACTICE),
    # sheets
    ("sheet_trim_reference_edge", "1/8", TEACHING),
    ("sheet_trim_other_edges", "1/8", COMMON_PRACTICE),
    ("sheet_rough_breakdown_oversize", "1/4", TEACHING),
    ("sheet_size_tolerance", "1/16", PS_1),
    # a piece longer and at least as wide as this is broken down before all else: more
    # than one person steadies on a table saw
    ("handy_sheet_length", "48", COMMON_PRACTICE),
    ("handy_sheet_width", "24", COMMON_PRACTICE),
    # boards and sticks
    # longer lumber is crosscut before it is ripped: what one person feeds past a blade
    ("longest_rough", "96", COMMON_PRACTICE),
    # how far off a store's saw may be, and how much of the new end is trimmed for it
    ("store_cut_tolerance", "1/4", COMMON_PRACTICE),
    # where a store cuts sheets apart, in inches; in millimetres it is 1 mm
    ("store_measures_in", "1/8", COMMON_PRACTICE),
    ("lumber_end_trim_each", "1", COMMON_PRACTICE),
    ("lumber_end_check_extra", "3", COMMON_PRACTICE),
    ("rough_length_allowance", "1", TEACHING),
    ("rough_length_allowance_least", "1/2", GRIFFITH),
    ("rough_width_allowance", "1/4", GRIFFITH),
    ("thickness_allowance_sawn_per_face", "3/32", HANDBOOK),
    ("thickness_allowance_dressed_total", "1/8", COMMON_PRACTICE),
    ("joint_edge_allowance", "1/16", COMMON_PRACTICE),
    ("eased_edge_loss", "1/8", COMMON_PRACTICE),
    ("eased_least_thickness", "1 1/4", COMMON_PRACTICE),
    # narrower boards are seldom cut through the heart: of those as wide as this (2x8)
    # the strip in the middle often has the pith in it
    ("pith_least_width", "7 1/4", COMMON_PRACTICE),
    ("laminate_glue_face_loss", "1/32", COMMON_PRACTICE),
    ("laminate_slip", "1/8", COMMON_PRACTICE),
    ("plane_after_glue_up", "1/16", COMMON_PRACTICE),
    ("glue_up_narrower_than_planer", "1/2", COMMON_PRACTICE),
    ("narrowest_glue_strip", "1 1/2", COMMON_PRACTICE),
    ("resaw_face_jointing", "1/16", COMMON_PRACTICE),
    ("edging_proud", "1/16", COMMON_PRACTICE),
    ("edging_over_length", "1", COMMON_PRACTICE),
    ("snipe_allowance_each_end", "0", COMMON_PRACTICE),
    ("snipe_allowance_option", "4", COMMON_PRACTICE),
    # joints
    ("tenon_length", "1", COMMON_PRACTICE),
    ("through_tenon_over_length", "1/8", TEACHING),
    ("dado_depth", "1/4", COMMON_PRACTICE),
    ("groove_depth_frame", "3/8", TEACHING),
    ("panel_gap_solid", "1/8", TEACHING),
    ("panel_gap_plywood", "1/16", TEACHING),
    # the smallest pieces a machine takes
    ("min_jointer_length", "12", TEACHING),
    ("min_jointer_face_thickness", "1/2", TEACHING),
    ("min_planer_length", "14", "machine manuals and " + TEACHING),
    ("min_planer_thickness_warn", "1/4", COMMON_PRACTICE),
    ("min_planer_thickness", "1/2", TEACHING),
    ("min_rip_piece_length", "12", SAW_MANUAL),
    ("min_crosscut_held_piece", "8", "common practice, from the 6 in rule for hands"),
    # hands
    ("push_stick_rip_width", "6", SAW_MANUAL),
    ("thin_strip_rip_width", "3", COMMON_PRACTICE),
    ("hand_clearance_blade", "6", TEACHING),
    ("hand_clearance_bandsaw", "3", TEACHING),
    # reach of usual machines
    ("rail_length", "55", COMMON_PRACTICE),
    ("rail_length_long", "106", COMMON_PRACTICE),
    ("rail_start_and_finish", "6 1/2", COMMON_PRACTICE),
    ("rail_narrowest_lumber", "8", COMMON_PRACTICE),
    ("table_saw_rip_capacity", "30", COMMON_PRACTICE),
    ("miter_crosscut_capacity", "6", COMMON_PRACTICE),
    ("miter_crosscut_capacity_sliding", "12", COMMON_PRACTICE),
    ("planer_width", "12 1/2", COMMON_PRACTICE),
    ("jointer_width", "6", COMMON_PRACTICE),
    ("resaw_height", "6", COMMON_PRACTICE),
    # what is worth keeping
    ("offcut_keep_sheet_width", "6", COMMON_PRACTICE),
    ("offcut_keep_sheet_length", "24", COMMON_PRACTICE),
    ("offcut_keep_sheet_square", "12", COMMON_PRACTICE),
    ("offcut_keep_lumber_length", "12", COMMON_PRACTICE),
    # how fine sizes are shown
    ("display_part", "1/32", COMMON_PRACTICE),
    ("display_blank", "1/16", COMMON_PRACTICE),
)

DEFAULTS: Final[Mapping[str, Default]] = MappingProxyType(
    {
        name: Default(
            name=name, text=text, value=read_length(text, Unit.INCH), source=source
        )
        for name, text, source in _LENGTHS
    }
)
"""The lengths to start from, by name."""

FIGURES: Final[Mapping[str, Figure]] = MappingProxyType(
    {
        name: Figure(name=name, value=value, unit=unit, source=source)
        for name, value, unit, source in (
            ("lift_warn", Fraction(51), "pounds", LIFTING_EQUATION),
            ("minutes_setting", Fraction(3), "minutes", COMMON_PRACTICE),
            ("minutes_cut", Fraction(1), "minutes", COMMON_PRACTICE),
            ("minutes_sheet", Fraction(5), "minutes", COMMON_PRACTICE),
            ("store_cuts", Fraction(2), "cuts in a sheet", COMMON_PRACTICE),
            ("tenon_thickness", Fraction(1, 3), "of the stock", TEACHING),
            ("dado_depth_most", Fraction(1, 2), "of the thickness", COMMON_PRACTICE),
            (
                "shop_moisture_target",
                Fraction(8),
                "percent",
                "Wood Handbook, USDA FPL-GTR-190",
            ),
            (
                "humidity_dry",
                Fraction(30),
                "percent of humidity at 70 F",
                "winter indoors, " + TEACHING,
            ),
            (
                "humidity_humid",
                Fraction(65),
                "percent of humidity at 70 F",
                "summer indoors, " + TEACHING,
            ),
            (
                "kiln_dried_moisture_most",
                Fraction(19),
                "percent",
                "American Softwood Lumber Standard, PS 20",
            ),
        )
    }
)
"""The figures that are no lengths, by name."""


def default_length(name: str) -> Ticks:
    """Return the default length of that name, in ticks.

    Raises
    ------
    InputError
        No default has that name.

    Examples
    --------
    >>> default_length("kerf_table_saw")
    5080
    """
    if name not in DEFAULTS:
        raise InputError(f"there is no default length {name!r}")
    return DEFAULTS[name].value
