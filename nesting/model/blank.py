"""What milling offers the solver: needs, each with the builds that would meet it.

A `Need` is a part and how many of it; a `Build` is one way to make one copy; a `Take`
is blanks of one kind that a build uses. A part cut in one piece is a need with one
build of one take. Laminations, glue-ups and resawn slices are builds with several
takes, and alternatives are several builds of one need: the types are the same. A `Run`
is blanks that are cut from one place, one beside the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from nesting.model.mill import BuildKind
from nesting.model.terms import Flow, Grain
from nesting.units import Ticks

USUAL_PRIORITY: Final = 5
"""Of a part whose maker says nothing, between 1 (first) and 9."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """A rough piece, in ticks; with `grain` LENGTH its length runs along the grain."""

    id: str
    part: str
    role: str = ""
    """What it is of its part: ``ply 2 of 2``; empty for a part cut in one piece."""
    length: Ticks
    width: Ticks
    thickness: Ticks
    material: str
    section: str = ""
    """The lumber section it is cut from; empty for sheets and where `sections` is
    not."""
    sections: tuple[str, ...] = ()
    """The lumber sections it may be cut from, where the solver is to choose; the one
    with the least to take off first."""
    grain: Grain = Grain.LENGTH
    minimum: bool = False
    """Whether it may be left wider or thicker than this, never shorter or longer."""
    resawn: Ticks | None = None
    """The thickness of a slice that does for it; None where it is not to be resawn."""
    square_edges: bool = False
    """Whether it may not keep the rounded edges of the lumber it is cut from."""
    clear: bool = False
    """Whether it may have no blemish in it."""

    def __post_init__(self) -> None:
        """Refuse what is no blank."""
        if min(self.length, self.width, self.thickness) <= 0:
            message = f"blank {self.id!r} needs sizes above zero"
            raise ValueError(message)
        if self.grain is Grain.WIDTH:
            message = f"blank {self.id!r}: a blank knows the grains LENGTH and ANY only"
            raise ValueError(message)
        if self.resawn is not None and self.resawn < self.thickness:
            message = f"blank {self.id!r} cannot be resawn thinner than it is"
            raise ValueError(message)
        if self.section and self.sections:
            message = f"blank {self.id!r} has a section, or a choice of them, not both"
            raise ValueError(message)

    @property
    def own_sections(self) -> tuple[str, ...]:
        """The sections it may be cut from, one or several; one empty for sheets."""
        return self.sections or (self.section,)

    @property
    def volume(self) -> int:
        """Its volume, in cubic ticks."""
        return self.length * self.width * self.thickness


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """Blanks of one kind that a build uses for one copy of its part."""

    blank: Blank
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """One way to make one copy of a part."""

    id: str
    takes: tuple[Take, ...]
    kind: BuildKind = BuildKind.ONE_PIECE


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A part, how many of it, and the builds to choose from."""

    id: str
    part: str
    quantity: int
    """How often a build is made."""
    builds: tuple[Build, ...]
    copies: int = 1
    """How many copies of the part come of each: more than one where they are milled
    as one longer piece and parted afterwards."""
    why: str = ""
    """Why these builds come into question, in words."""
    priority: int = USUAL_PRIORITY
    """Needs of a lower number are met first where stock does not hold everything."""

    def __post_init__(self) -> None:
        """Refuse a need that nothing meets."""
        if not self.builds or min(self.quantity, self.copies) < 1:
            message = f"need {self.id!r} wants a quantity and at least one build"
            raise ValueError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Blanks over which the grain must flow on: neighbours on one sheet, in order.

    Only the kerf of one cut is between a member and the next; all are turned alike.
    """

    id: str
    members: tuple[str, ...]
    """Blank ids, one for each copy, in order. No blank is in two runs, and a blank that
    is in one is in it with all its copies."""
    axis: Flow

    def __post_init__(self) -> None:
        """Refuse a run of fewer than two."""
        if len(self.members) < 2:
            message = f"run {self.id!r} wants at least two members"
            raise ValueError(message)
