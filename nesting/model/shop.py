"""The machines of a shop, and what each can reach."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.mill import Jointer, Planer
from nesting.model.terms import Guide, Place, Plane
from nesting.trade.defaults import FIGURES
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Saw:
    """A saw as the planner sees it; every reach is in ticks, None for no limit.

    Planes are stock axes: on a panel a table saw or a rail saw makes rips and
    crosscuts.
    """

    name: str
    kind: str = ""
    """The kind of saw in trade words, such as ``table saw``."""
    place: Place = Place.SHOP
    kerf: Ticks
    planes: tuple[Plane, ...]
    rip_guide: Guide = Guide.LINE
    """What sets the distance of a rip."""
    crosscut_guide: Guide = Guide.LINE
    """What sets the distance of a crosscut."""
    longest_cut: Ticks | None = None
    """The longest cut in one pass: the usable length of a guide rail."""
    widest_rip: Ticks | None = None
    """The widest distance between fence and blade."""
    narrowest_rip: Ticks | None = None
    """The narrowest piece that may pass between fence and blade."""
    widest_crosscut: Ticks | None = None
    """The widest piece a crosscut goes through, on a sled or under the head."""
    tallest: Ticks | None = None
    """The thickest piece it cuts through."""
    smallest_piece: Ticks | None = None
    """The shortest piece that may be held at it by hand; shorter ones are cautioned."""
    tolerance: Ticks | None = None
    """Of a saw at the store, how far off its cuts may be."""

    def __post_init__(self) -> None:
        """Refuse what is no saw."""
        if self.kerf < 0:
            message = f"saw {self.name!r} cannot have a negative kerf"
            raise ValueError(message)
        if not self.planes:
            message = f"saw {self.name!r} makes no cut at all"
            raise ValueError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Haul:
    """What can be carried home, and how longer lumber is sawn in two at the store."""

    length: Ticks
    """Of the longest piece that can be carried."""
    saw: Saw
    """The store's."""
    tolerance: Ticks
    """How far off its cut may be: so much of both new ends is trimmed."""

    def __post_init__(self) -> None:
        """Refuse what leaves nothing between two cuts."""
        if self.length <= 2 * self.tolerance:
            message = "what can be carried home is shorter than what its ends lose"
            raise ValueError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetHaul:
    """What of a sheet can be carried home, and how the store cuts larger ones."""

    length: Ticks
    """Of the largest piece that can be carried; it may lie either way round."""
    width: Ticks
    saw: Saw
    """The store's."""
    tolerance: Ticks
    """How far off its cuts may be: so much of every new edge is trimmed."""
    cuts: int
    """The most that the store makes in one sheet."""
    step: Ticks = 1
    """What the store measures in: every cut lies at a multiple of it."""
    called: str = ""
    """The size as the maker reads it, for a message."""

    def __post_init__(self) -> None:
        """Refuse what leaves nothing between two cuts, and no cut at all."""
        if min(self.length, self.width) <= 2 * self.tolerance:
            message = "what can be carried home is smaller than what its edges lose"
            raise ValueError(message)
        if min(self.cuts, self.step) < 1:
            message = "the store makes at least one cut, and measures in some step"
            raise ValueError(message)

    def carries(self, length: Ticks, width: Ticks) -> bool:
        """Tell whether a piece of this size can be carried, either way round."""
        long, short = max(self.length, self.width), min(self.length, self.width)
        return max(length, width) <= long and min(length, width) <= short


@dataclass(frozen=True, slots=True, kw_only=True)
class Minutes:
    """How long the work takes, for an estimate: whole minutes each."""

    setting: int = int(FIGURES["minutes_setting"].value)
    """To set a fence, a stop or a height."""
    cut: int = int(FIGURES["minutes_cut"].value)
    """To bring a piece, measure, cut it and put both halves away."""
    sheet: int = int(FIGURES["minutes_sheet"].value)
    """To bring a sheet and lay it ready."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """The saws, in the order in which the maker likes to use them, and what mills."""

    saws: tuple[Saw, ...]
    longest_rough: Ticks | None = None
    """The longest piece of a board that is ripped: longer ones are crosscut first."""
    jointer: Jointer | None = Jointer()
    """None where there is none."""
    planer: Planer | None = Planer()
    """None where there is none."""
    minutes: Minutes = Minutes()
    haul: Haul | None = None
    """None where any length can be carried home; its saw need not be of the shop."""
    haul_sheet: SheetHaul | None = None
    """None where whole sheets can be carried home."""

    def __post_init__(self) -> None:
        """Refuse a shop without saws and two saws of one name."""
        names = [saw.name for saw in self.saws]
        if not names:
            message = "a shop needs at least one saw"
            raise ValueError(message)
        if len(set(names)) != len(names):
            message = "two saws have the same name"
            raise ValueError(message)

    @property
    def home_saws(self) -> tuple[Saw, ...]:
        """The saws that do not stand at the store; all, where every one does."""
        home = tuple(saw for saw in self.saws if saw.place is Place.SHOP)
        return home or self.saws
