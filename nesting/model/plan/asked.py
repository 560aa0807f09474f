"""What a plan is asked for: parts, their blanks and the ways to make them."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPart:
    """A finished part."""

    id: str
    name: str
    qty: int
    length: Ticks
    width: Ticks
    thickness: Ticks
    material: str
    grain: str
    note: str = ""
    priority: int = 5
    """1 (first) to 9: what comes first where stock does not hold everything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBlank:
    """A rough piece to be cut, and how many."""

    id: str
    parts: tuple[str, ...]
    role: str
    qty: int
    length: Ticks
    width: Ticks
    thickness: Ticks
    material: str
    section: str = ""
    sections: tuple[str, ...] = ()
    """The sections it may come from, where there is a choice; `section` is empty
    then."""
    grain: str
    minimum: bool = False
    slice: Ticks | None = None
    """How thick a slice sawn for it is at least; None where it is not resawn."""
    square_edges: bool = False
    """Whether it may not keep a rounded edge of the lumber it is cut from."""
    clear: bool = False
    """Whether it may have no blemish in it."""

    def comes_from(self, section: str) -> bool:
        """Tell whether it may be cut from a section of its material."""
        return section in self.sections if self.sections else section == self.section


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRun:
    """Blanks over which the grain flows on, cut beside each other in this order."""

    id: str
    axis: str
    """``along``: end to end along their length; ``across``: side by side."""
    members: tuple[str, ...]
    """Blank ids, one for each copy."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTake:
    """Blanks of one kind a build uses."""

    blank: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBuild:
    """One way to make a part."""

    id: str
    takes: tuple[PlanTake, ...]
    kind: str = "one piece"
    """``one piece``, ``as bought``, ``resawn``, ``laminated``, ``edge-glued`` or ``on
    edge``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNeed:
    """A part, the builds offered for it and the one that was chosen."""

    id: str
    part: str
    qty: int
    builds: tuple[PlanBuild, ...]
    chosen: str | None
    copies: int = 1
    """How many copies of the part come of each of `qty`."""
