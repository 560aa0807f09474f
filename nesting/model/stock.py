"""What blanks are cut from: sheets and sticks, bought or owned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from nesting.model.terms import Form, Grain, Origin, ZoneKind
from nesting.units import TICKS_PER_FOOT, Ticks

_CROOK_LENGTH: Final = 8 * TICKS_PER_FOOT


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """A width for each edge of a piece, in ticks: low and high side of x and of y."""

    low_x: Ticks = 0
    high_x: Ticks = 0
    low_y: Ticks = 0
    high_y: Ticks = 0

    def __post_init__(self) -> None:
        """Refuse a negative width."""
        if min(self.low_x, self.high_x, self.low_y, self.high_y) < 0:
            message = "an edge's width cannot be negative"
            raise ValueError(message)

    @property
    def across_x(self) -> Ticks:
        """What both ends take off the length."""
        return self.low_x + self.high_x

    @property
    def across_y(self) -> Ticks:
        """What both long edges take off the width."""
        return self.low_y + self.high_y


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A marked rectangle of stock, in ticks from its reference corner.

    It goes through the whole thickness.
    """

    x: Ticks
    y: Ticks
    length: Ticks
    """Along x."""
    width: Ticks
    kind: ZoneKind = ZoneKind.DAMAGE

    def __post_init__(self) -> None:
        """Refuse what is no rectangle."""
        if min(self.length, self.width) <= 0:
            message = "a damaged zone needs sizes above zero"
            raise ValueError(message)

    def overlaps(self, x: Ticks, y: Ticks, length: Ticks, width: Ticks) -> bool:
        """Tell whether it shares any area with a rectangle."""
        return (
            self.x < x + length
            and x < self.x + self.length
            and self.y < y + width
            and y < self.y + self.width
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """One size of one material that can be had, and how many of it.

    x runs along `length`, y along `width`. For lumber the grain runs along the length.
    A trim includes its kerf and is cut when its edge first serves.
    """

    id: str
    material: str
    section: str = ""
    """The lumber section, such as ``2x6``; empty for sheets."""
    form: Form
    length: Ticks
    width: Ticks
    thickness: Ticks
    grain: Grain = Grain.LENGTH
    trim: Edges = Edges()
    price_cents: int | None = None
    """For one piece; None where it is not known."""
    limit: int | None = None
    """How many can be had; None for as many as needed."""
    origin: Origin = Origin.STORE
    tag: str | None = None
    """The mark on a rack piece."""
    zones: tuple[Zone, ...] = ()
    """What is damaged on each of them, pith or blemished: not cut into every part."""
    eased: Ticks = 0
    """How far its long edges are rounded: what a blank with square edges loses there,
    kerf included. Other blanks may keep those edges."""
    crook: Ticks = 0
    """How far 8 ft of it are off the straight: what `lost_to_crook` grows from."""

    def __post_init__(self) -> None:
        """Refuse what is no piece of stock."""
        if min(self.length, self.width, self.thickness) <= 0:
            message = f"stock {self.id!r} needs sizes above zero"
            raise ValueError(message)
        if self.usable_length <= 0 or self.usable_width <= 0:
            message = f"stock {self.id!r} is trimmed to nothing"
            raise ValueError(message)
        if self.grain is Grain.ANY:
            message = f"stock {self.id!r}: the grain runs along length or width"
            raise ValueError(message)
        if self.limit is not None and self.limit < 0:
            message = f"stock {self.id!r} cannot have a negative limit"
            raise ValueError(message)
        if self.price_cents is not None and self.price_cents < 0:
            message = f"stock {self.id!r} cannot have a negative price"
            raise ValueError(message)
        if self.eased < 0 or (self.eased and self.form is Form.SHEET):
            message = f"stock {self.id!r}: only lumber has rounded edges"
            raise ValueError(message)
        if self.eased and (self.trim.low_y or self.trim.high_y):
            message = f"stock {self.id!r}: long edges are rounded or trimmed, not both"
            raise ValueError(message)
        if self.crook < 0 or (self.crook and self.form is Form.SHEET):
            message = f"stock {self.id!r}: only lumber is crooked"
            raise ValueError(message)
        if self.crook and (self.trim.low_y or self.trim.high_y):
            message = f"stock {self.id!r}: long edges are trimmed or crooked, not both"
            raise ValueError(message)
        for zone in self.zones:
            right, top = zone.x + zone.length, zone.y + zone.width
            if min(zone.x, zone.y) < 0 or right > self.length or top > self.width:
                message = f"stock {self.id!r}: its {zone.kind} lies partly beside it"
                raise ValueError(message)

    @property
    def usable_length(self) -> Ticks:
        """The length between the trims."""
        return self.length - self.trim.across_x

    @property
    def usable_width(self) -> Ticks:
        """The width between the trims."""
        return self.width - self.trim.across_y

    @property
    def square_width(self) -> Ticks:
        """The width between the trims and rounded edges."""
        return self.usable_width - 2 * self.eased

    def straight_width(self, length: Ticks, *, square: bool = False) -> Ticks:
        """Return the width of a piece so long that is ripped, perhaps to be square."""
        width = self.square_width if square else self.usable_width
        return width - lost_to_crook(self.crook, length)


def lost_to_crook(crook: Ticks, length: Ticks) -> Ticks:
    """Return what a piece of crooked lumber loses of its width to get a straight edge.

    The bow of an arc grows with the square of its length, so that a quarter of an inch
    over 8 ft leaves a sixteenth over 4 ft; rounded up.

    Parameters
    ----------
    crook
        The bow of 8 ft of it, in ticks.
    length
        Of the piece, in ticks.
    """
    return -(-crook * length**2 // _CROOK_LENGTH**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class OffcutRule:
    """The smallest rest worth keeping, in ticks."""

    sheet: tuple[tuple[Ticks, Ticks], ...] = ()
    """Sizes, either way round; a rest that holds one of them is kept. None: keep
    none."""
    stick: Ticks | None = None
    """The shortest length of a stick worth keeping. None: keep none."""

    def keeps(self, form: Form, length: Ticks, width: Ticks) -> bool:
        """Tell whether a rest of this size is kept."""
        if form is not Form.SHEET:
            return self.stick is not None and length >= self.stick
        long, short = max(length, width), min(length, width)
        return any(long >= max(size) and short >= min(size) for size in self.sheet)
