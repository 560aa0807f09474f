"""How much larger a part is than from shoulder to shoulder.

Only the half of a joint that enters the other piece adds to its part, and it is added
before any rough allowance (I. S. Griffith, bill of material: "making due additions for
tenons, then add to the width and length").
"""

from __future__ import annotations

from collections.abc import Iterable

from nesting.model.job import Part
from nesting.model.mill import Allowances, Joint, JointKind, Side
from nesting.units import Display, Ticks, write_length


def grown(part: Part, allowances: Allowances, *, is_sheet: bool) -> tuple[Ticks, Ticks]:
    """Return what the joints add to a part's length and width, in ticks.

    Parameters
    ----------
    part
        Its sides lie as its own length and width do: ends across the length.
    allowances
        What a through tenon is left long, and the gaps of panels.
    is_sheet
        Whether a panel of it needs no room for the seasons.
    """
    length = width = 0
    for joint in part.joints:
        each = addition(joint, allowances, is_sheet=is_sheet)
        length += each * sum(side.is_end for side in joint.sides)
        width += each * sum(not side.is_end for side in joint.sides)
    return length, width


def full_size(
    part: Part, allowances: Allowances, *, is_sheet: bool
) -> tuple[Ticks, Ticks | None]:
    """Return a part's length and width with its joints, the width where it is given."""
    long, wide = (0, 0)
    if not part.is_overall:
        long, wide = grown(part, allowances, is_sheet=is_sheet)
    return part.length + long, None if part.width is None else part.width + wide


def addition(joint: Joint, allowances: Allowances, *, is_sheet: bool) -> Ticks:
    """Return what a joint adds on each of its sides, in ticks; nothing below zero."""
    if joint.kind is JointKind.THROUGH_TENON:
        return joint.depth + allowances.tenon_trim
    if joint.kind is JointKind.PANEL:
        gap = allowances.panel_gap_sheet if is_sheet else allowances.panel_gap_solid
        return max(0, joint.depth - gap)
    return joint.depth


def between_and_overall(
    part: Part, added: tuple[Ticks, Ticks], display: Display
) -> str:
    """Return both sizes of a part with joints: ``35 1/2 between, 37 1/2 overall``."""
    said = []
    sizes = (("long", part.length, added[0]), ("wide", part.width or 0, added[1]))
    for word, size, more in sizes:
        if more and size:
            between, overall = (
                (size - more, size) if part.is_overall else (size, size + more)
            )
            said.append(
                f"{write_length(between, display)} {word} between, "
                f"{write_length(overall, display)} overall"
            )
    return "; ".join(said)


def on_sides(sides: Iterable[Side]) -> str:
    """Return sides in words: ``both ends``, ``front edge``, ``all round``."""
    there = set(sides)
    if there == set(Side):
        return "all round"
    said = []
    for pair, word in (
        ((Side.LEFT, Side.RIGHT), "end"),
        ((Side.FRONT, Side.BACK), "edge"),
    ):
        found = [side for side in pair if side in there]
        if len(found) == 2:
            said.append(f"both {word}s")
        elif found:
            said.append(f"{found[0]} {word}")
    return " and ".join(said)
