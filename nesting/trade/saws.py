"""The saws of a small shop: what each cuts, how it is set, what it turns into dust.

All of it is common practice unless a source is named; each line is a starting value
for one shop's own saw.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import Final, Literal, TypeAlias

from nesting.errors import Fault, InputError
from nesting.trade.defaults import DEFAULTS, Default

CutPlane: TypeAlias = Literal["rip", "crosscut", "resaw"]
"""Which axis of the wood a cut divides: its width, its length, its thickness."""
CutGuide: TypeAlias = Literal["fence", "stop", "line"]
"""What sets the distance: a fence, a stop block, or a pencil line (and rail)."""


class SawKind(Enum):
    """A kind of saw, by the name the trade gives it."""

    TABLE = "table saw"
    TRACK = "track saw"
    CIRCULAR = "circular saw"
    MITER = "miter saw"
    RADIAL_ARM = "radial arm saw"
    BAND = "band saw"


@dataclass(frozen=True, slots=True, kw_only=True)
class SawCut:
    """One plane that a kind of saw can cut, and how its distance is set."""

    plane: CutPlane
    guide: CutGuide
    """On boards and sticks."""
    panel_guide: CutGuide
    """On a sheet, where the edge on the fence is long."""
    by_default: bool = True
    """Whether a shop makes this cut on it unless the maker says otherwise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SawPractice:
    """What is usual for a kind of saw."""

    kind: SawKind
    cuts: tuple[SawCut, ...]
    kerf: Default
    """The wood lost, with its source."""
    note: str

    @property
    def planes(self) -> tuple[CutPlane, ...]:
        """Return the planes it cuts by default."""
        return tuple(cut.plane for cut in self.cuts if cut.by_default)

    def cut(self, plane: CutPlane) -> SawCut | None:
        """Return how it makes a cut of that plane; None where it cannot at all."""
        return next((cut for cut in self.cuts if cut.plane == plane), None)


def _practice(
    kind: SawKind,
    kerf: str,
    note: str,
    *cuts: tuple[CutPlane, CutGuide, CutGuide, bool],
) -> SawPractice:
    """Return one entry of the table."""
    return SawPractice(
        kind=kind,
        cuts=tuple(
            SawCut(plane=plane, guide=guide, panel_guide=on_panel, by_default=usual)
            for plane, guide, on_panel, usual in cuts
        ),
        kerf=DEFAULTS[kerf],
        note=note,
    )


SAWS: Final[Mapping[SawKind, SawPractice]] = MappingProxyType(
    {
        practice.kind: practice
        for practice in (
            _practice(
                SawKind.TABLE,
                "kerf_table_saw",
                "Rips against the fence; crosscuts boards on a sled or gauge with a "
                "stop, and only wide panels against the fence; resaws from both edges "
                "if the maker says so.",
                ("rip", "fence", "fence", True),
                ("crosscut", "stop", "fence", True),
                ("resaw", "fence", "fence", False),
            ),
            _practice(
                SawKind.TRACK,
                "kerf_track_saw",
                "Cuts sheets along a rail laid to a line, either way; a rail needs "
                "support under it, so narrow lumber is not ripped on one.",
                ("rip", "line", "line", True),
                ("crosscut", "line", "line", True),
            ),
            _practice(
                SawKind.CIRCULAR,
                "kerf_circular_saw",
                "Breaks sheets down to a line, a little oversize, and crosscuts boards "
                "rough; ripping lumber by hand is left to the maker.",
                ("rip", "line", "line", True),
                ("crosscut", "line", "line", True),
            ),
            _practice(
                SawKind.MITER,
                "kerf_crosscut",
                "Crosscuts boards and sticks, repeated lengths from a stop.",
                ("crosscut", "stop", "stop", True),
            ),
            _practice(
                SawKind.RADIAL_ARM,
                "kerf_crosscut",
                "Crosscuts boards from a stop; ripping on it is off unless the maker "
                "asks for it and its manual's rules for ripping are kept.",
                ("crosscut", "stop", "stop", True),
                ("rip", "fence", "fence", False),
            ),
            _practice(
                SawKind.BAND,
                "kerf_bandsaw_resaw",
                "Resaws thick stock into thin against a tall fence, and rips rough "
                "edges.",
                ("resaw", "fence", "fence", True),
                ("rip", "fence", "fence", True),
            ),
        )
    }
)
"""What is usual, for each kind of saw."""


def saw_practice(name: str) -> SawPractice:
    """Return what is usual for a kind of saw, by the name the trade gives it.

    Raises
    ------
    InputError
        No kind of saw in the table has that name.

    Examples
    --------
    >>> saw_practice("radial arm saw").planes
    ('crosscut',)
    """
    words = " ".join(name.lower().replace("-", " ").split())
    for practice in SAWS.values():
        if practice.kind.value == words:
            return practice
    what = f"{name[:32]!r} is no kind of saw known here"
    known = ", ".join(kind.value for kind in SawKind)
    raise InputError(faults=(Fault(what=what, remedy=f"known are {known}"),))
