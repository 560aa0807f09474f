"""What a part wants of its blanks, before a way of making it is chosen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nesting.errors import Fault
from nesting.model.blank import Build
from nesting.model.job import Allowance, Material, Part
from nesting.model.mill import Allowances, Jointer, Planer
from nesting.model.shop import Saw
from nesting.model.terms import Plane
from nesting.trade.defaults import default_length
from nesting.units import Display, Ticks, Unit, write_length


@dataclass(frozen=True, slots=True, kw_only=True)
class Mill:
    """What a shop mills with."""

    saws: tuple[Saw, ...]
    allowances: Allowances
    jointer: Jointer | None
    planer: Planer | None
    display: Display
    """How sizes are written, and to what they are rounded."""

    @property
    def crosscut_kerf(self) -> Ticks:
        """The widest kerf that a crosscut may take."""
        return max(
            (saw.kerf for saw in self.saws if Plane.CROSSCUT in saw.planes), default=0
        )

    @property
    def rip_kerf(self) -> Ticks:
        """The widest kerf that a rip may take."""
        return max(
            (saw.kerf for saw in self.saws if Plane.RIP in saw.planes), default=0
        )

    @property
    def resaws(self) -> tuple[Saw, ...]:
        """The saws that resaw."""
        return tuple(saw for saw in self.saws if Plane.RESAW in saw.planes)

    @property
    def widest_section(self) -> Ticks | None:
        """The widest glued-up piece that still passes the planer."""
        if self.planer is None:
            return None
        return self.planer.width - self.allowances.section_margin

    def write(self, size: Ticks) -> str:
        """Return a size as the maker reads it."""
        return write_length(size, self.display)

    def round_up(self, size: Ticks) -> Ticks:
        """Return a size of a blank, rounded up to what can be set (common practice)."""
        if self.display.unit is Unit.INCH:
            step = default_length("display_blank")
        else:
            step = Unit.MM.ticks // 2
        return -(-size // step) * step


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A part of lumber with its joints, or several copies of it to be parted later."""

    part: Part
    material: Material
    length: Ticks
    """Of what is milled: of one copy, or of all copies of a gang with their kerfs."""
    width: Ticks
    thickness: Ticks
    copies: int = 1

    @property
    def allowance(self) -> Allowance:
        """What the maker gives, the part before the material."""
        own, usual = self.part.allowance, self.material.allowance
        return Allowance(
            length=usual.length if own.length is None else own.length,
            width=usual.width if own.width is None else own.width,
            thickness=usual.thickness if own.thickness is None else own.thickness,
        )

    def glued_width(self, mill: Mill) -> Ticks:
        """Return its width before both outer edges of a glue-up are jointed."""
        least = self.width + 2 * mill.allowances.joint_edge
        return max(self.rough_width(mill), least)

    def fitting_width(self, mill: Mill) -> Ticks:
        """Return what its width has over where it is not milled."""
        usual = mill.allowances.rough_width if self.part.is_fitted else 0
        more = self.allowance.width
        return usual if more is None else more

    def fitting_length(self, mill: Mill) -> Ticks:
        """Return what its length has over where it is not milled."""
        usual = mill.allowances.rough_length if self.part.is_fitted else 0
        more = self.allowance.length
        return usual if more is None else more

    @property
    def name(self) -> str:
        """What its blanks are called."""
        if self.copies == 1:
            return self.part.name
        return f"{self.part.name}, {self.copies} in one"

    def rough_length(self, mill: Mill) -> Ticks:
        """Return the length of its blanks where they are milled."""
        more = self.allowance.length
        more = mill.allowances.rough_length if more is None else more
        long = self.length + more + 2 * mill.allowances.snipe
        if self.copies > 1 or self.part.quantity == 1:
            return max(long, shortest_milled(mill))
        return long

    def rough_width(self, mill: Mill) -> Ticks:
        """Return the width of its blank where it is milled."""
        more = self.allowance.width
        return self.width + (mill.allowances.rough_width if more is None else more)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offers:
    """Builds for a want, and what must be known about them."""

    builds: tuple[Build, ...] = ()
    said: tuple[str, ...] = ()
    """What the maker must know, a sentence each."""


class RefusedError(Exception):
    """A part that cannot be made as it is wanted.

    Parameters
    ----------
    field
        The column or key that is at fault.
    what
        The fault, in words.
    remedy
        What would do.
    """

    def __init__(self, field: str, what: str, remedy: str = "") -> None:
        self.field = field
        self.remedy = remedy
        super().__init__(what)


def shortest_milled(mill: Mill) -> Ticks:
    """Return the shortest piece that both machines take, 0 where there is none."""
    return max(
        mill.planer.shortest if mill.planer else 0,
        mill.jointer.shortest if mill.jointer else 0,
    )


def fault(part: Part, field: str, what: str, remedy: str = "") -> Fault:
    """Return the fault of a part at the place where it was read."""
    return Fault(
        what=f"part {part.name!r}: {what}",
        remedy=remedy,
        path=part.path,
        line=part.line,
        field=field,
    )


def unique(builds: Iterable[Build]) -> tuple[Build, ...]:
    """Return builds without those that take the same as one before."""
    return tuple({build.takes: build for build in reversed([*builds])}.values())[::-1]
