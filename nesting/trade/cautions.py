"""Cautions that a plan prints beside a cut: one sentence each, with its source.

None of them replaces the machine's manual, local rules or qualified instruction, and
none is a reason to take a guard off. Most are teaching rules of schools and shops.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from nesting.trade.defaults import (
    DEFAULTS,
    FIGURES,
    LIFTING_EQUATION,
    SAW_MANUAL,
    default_length,
)
from nesting.trade.saws import SawKind
from nesting.units import Display, Ticks, write_with_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One rule: when it speaks, what it says, who says so."""

    id: str
    wording: str
    """One sentence; ``{limit}`` stands for the limit in the maker's units."""
    source: str
    """One sentence on where the rule comes from."""
    limit: Ticks | None = None
    """The length the sentence names; None where it names none."""
    of: str = ""
    """What must be below the limit for the rule to speak; empty: no length decides."""

    @property
    def text(self) -> str:
        """Return the sentence in inches."""
        return self.sentence(Display(denominator=64))

    def sentence(self, display: Display) -> str:
        """Return the sentence with its limit in the maker's units."""
        if self.limit is None:
            return self.wording
        return self.wording.format(limit=write_with_unit(self.limit, display))

    def speaks(self, size: Ticks) -> bool:
        """Return whether a size, in ticks, is one that this rule warns of."""
        return bool(self.of) and self.limit is not None and size < self.limit


GENERAL: Final = Caution(
    id="general",
    wording=(
        "Follow your machine's manual, local rules and qualified instruction; keep "
        "every guard in place."
    ),
    source="Every rule below defers to these.",
)

_RULES: Final = (
    GENERAL,
    Caution(
        id="push-stick",
        wording="Less than {limit} between fence and blade: use a push stick.",
        source=(
            f"From {SAW_MANUAL}; push sticks for small pieces are asked for by "
            "29 CFR 1910.213(s)(9)."
        ),
        limit=default_length("push_stick_rip_width"),
        of="distance from fence to blade",
    ),
    Caution(
        id="thin-strip",
        wording=(
            "A strip under {limit} wide: cut it on the free side of the blade from a "
            "wide piece, or use a push block, and keep hands well away."
        ),
        source="Common practice of shops.",
        limit=default_length("thin_strip_rip_width"),
        of="distance from fence to blade",
    ),
    Caution(
        id="short-rip",
        wording=(
            "The piece is under {limit} long: use a push stick or block, or rip it as "
            "part of a longer blank."
        ),
        source=f"From {SAW_MANUAL}.",
        limit=default_length("min_rip_piece_length"),
        of="length of the piece ripped",
    ),
    Caution(
        id="clamp-short",
        wording=(
            "Less than {limit} to hold at the miter or radial arm saw: clamp the "
            "piece, or cut it from a longer blank."
        ),
        source=(
            "Common practice, from the teaching rule that hands stay 6 in from the "
            "blade."
        ),
        limit=default_length("min_crosscut_held_piece"),
        of="length of the piece held",
    ),
    Caution(
        id="hands",
        wording="Keep hands at least {limit} from the blade.",
        source="Teaching rule of schools and shops for miter and radial arm saws.",
        limit=default_length("hand_clearance_blade"),
    ),
    Caution(
        id="fence-crosscut",
        wording=(
            "The edge on the fence is shorter than its distance from the blade, so the "
            "piece can twist and kick back: make this cut on a sled or along a line, "
            "not on the fence."
        ),
        source=(
            "Common practice; teachers' safety rules forbid the fence as a length "
            "stop for narrow stock."
        ),
    ),
    Caution(
        id="support-sheet",
        wording=(
            "Support the sheet close to the cut on both sides, and let the offcut "
            "fall free or rest on a support of its own, so that the kerf cannot close "
            "on the blade."
        ),
        source="Teaching rule of shops for circular and track saws.",
    ),
    Caution(
        id="outfeed",
        wording="Support long or wide work behind and beside the saw.",
        source="ILO code of practice on woodworking machines, 14.1.9.",
    ),
    Caution(
        id="lift",
        wording=(
            f"The piece weighs more than {FIGURES['lift_warn'].value} lb (23 kg): get "
            "a second person, or break it down where it lies."
        ),
        source=f"Load constant of the {LIFTING_EQUATION}, for the easiest of lifts.",
    ),
    Caution(
        id="eased-edges",
        wording=(
            "The edges of this lumber are rounded: take about {limit} off an edge "
            "before it is glued or runs as the reference."
        ),
        source="Common practice; 2x stock is rounded in milling.",
        limit=default_length("eased_edge_loss"),
    ),
    Caution(
        id="straight-edge",
        wording=(
            "Only a straight edge runs on the fence: straighten a crooked, twisted or "
            "rough edge first."
        ),
        source="From a table-saw manual.",
    ),
    Caution(
        id="jointer-short",
        wording="The piece is under {limit} long: too short for a jointer.",
        source="Teaching rule of several schools and shops.",
        limit=default_length("min_jointer_length"),
        of="length of the piece",
    ),
    Caution(
        id="planer-short",
        wording=(
            "The piece is under {limit} long: too short for the planer by itself, so "
            "plane it as part of a longer blank."
        ),
        source=DEFAULTS["min_planer_length"].source.capitalize() + ".",
        limit=default_length("min_planer_length"),
        of="length of the piece",
    ),
    Caution(
        id="resaw",
        wording=(
            "Resawing: hold the piece upright against a fence nearly as tall as it is, "
            "with a featherboard or a block, and finish with a push block."
        ),
        source="Common practice of shops.",
    ),
    Caution(
        id="resaw-tall",
        wording=(
            "The piece stands more than {limit} high: use a wide, sharp blade and feed "
            "slowly."
        ),
        source="Common practice; it is the height that a usual band saw resaws.",
        limit=default_length("resaw_height"),
    ),
    Caution(
        id="resaw-short",
        wording=(
            "The piece is under {limit} long: resaw it as part of a longer piece, or "
            "push it through with a block that is longer than your hand."
        ),
        source="Common practice, from the rule for rips.",
        limit=default_length("min_rip_piece_length"),
        of="length of the piece resawn",
    ),
    Caution(
        id="resaw-table-saw",
        wording=(
            "Resaw on a table saw only where you can keep every guard in place, in "
            "shallow passes from both edges; a band saw is the better machine for it."
        ),
        source="Common practice of shops.",
    ),
    Caution(
        id="bandsaw-hands",
        wording="Keep fingers at least {limit} from the band saw's blade.",
        source="Teaching rule of schools and shops.",
        limit=default_length("hand_clearance_bandsaw"),
    ),
    Caution(
        id="radial-rip",
        wording=(
            "Rip on the radial arm saw only against the rotation of the blade, with "
            "the kickback fingers and the spreader its manual asks for."
        ),
        source="Washington Administrative Code 296-806-48034.",
    ),
)

CAUTIONS: Final[Mapping[str, Caution]] = MappingProxyType(
    {rule.id: rule for rule in _RULES}
)
"""The rules by id; `GENERAL` belongs on every sheet of a plan."""


def rip_cautions(distance: Ticks, length: Ticks) -> tuple[Caution, ...]:
    """Return what to say of a rip on a table saw, the gravest first.

    Parameters
    ----------
    distance
        Fence to blade, in ticks: the width of the wanted piece.
    length
        Length of the piece that is ripped, in ticks.
    """
    rules = [
        CAUTIONS["thin-strip"] if CAUTIONS["thin-strip"].speaks(distance) else None,
        CAUTIONS["push-stick"] if CAUTIONS["push-stick"].speaks(distance) else None,
        CAUTIONS["short-rip"] if CAUTIONS["short-rip"].speaks(length) else None,
    ]
    return tuple(rule for rule in rules if rule is not None)


def resaw_cautions(
    height: Ticks, length: Ticks, *, saw: SawKind | None
) -> tuple[Caution, ...]:
    """Return what to say of a resaw against a fence, the gravest first.

    Parameters
    ----------
    height
        What stands up on edge, in ticks: the width of the piece.
    length
        Length of the piece, in ticks.
    saw
        What makes it; None where that is not known.
    """
    rules = [
        CAUTIONS["resaw-short"] if CAUTIONS["resaw-short"].speaks(length) else None,
        CAUTIONS["resaw-table-saw"] if saw is SawKind.TABLE else None,
        CAUTIONS["resaw-tall"] if height > default_length("resaw_height") else None,
        CAUTIONS["resaw"],
        CAUTIONS["bandsaw-hands"] if saw is SawKind.BAND else None,
    ]
    return tuple(rule for rule in rules if rule is not None)


def fence_crosscut_allowed(edge: Ticks, distance: Ticks) -> bool:
    """Return whether a crosscut may run on the rip fence.

    Parameters
    ----------
    edge
        Length of the edge that runs on the fence, in ticks.
    distance
        Fence to blade, in ticks.
    """
    return edge >= distance
