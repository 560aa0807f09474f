"""Stock, the pieces it goes through, and the cuts that make them.

How a layout replays. It starts as one piece whose id is the layout's id and whose size
is the stock's. A cut takes a piece that exists, goes edge to edge, and splits it at
`at`, the distance from the piece's low face in the divided axis to the near side of the
kerf: the near piece keeps [0, at), the far piece starts at `at + kerf`; a side of no
size is not made; `makes` names what is made, near first. `kerf` is the wood lost: the
saw's kerf, and less only where the blade runs partly off an edge (`at` = 0, or `at +
kerf` = the size).
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanZone:
    """A marked rectangle of stock; `length` runs along x, `width` along y."""

    x: Ticks
    y: Ticks
    length: Ticks
    width: Ticks
    kind: str = "damage"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStock:
    """The piece of stock under a layout."""

    name: str
    length: Ticks
    width: Ticks
    thickness: Ticks
    grain: str
    origin: str
    tag: str | None = None
    price_cents: int | None = None
    from_: tuple[tuple[str, str], ...] = ()
    """For a glue-up: the (layout id, piece id) it is glued from."""
    zones: tuple[PlanZone, ...] = ()
    """What is damaged on it, pith or blemished."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTrim:
    """Trim per edge, kerf included."""

    low_x: Ticks = 0
    high_x: Ticks = 0
    low_y: Ticks = 0
    high_y: Ticks = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A stock that could be had, used or not; layouts name its id."""

    id: str
    material: str
    section: str = ""
    form: str
    length: Ticks
    width: Ticks
    thickness: Ticks
    grain: str
    price_cents: int | None = None
    limit: int | None = None
    origin: str = "store"
    tag: str | None = None
    trim: PlanTrim = PlanTrim()
    zones: tuple[PlanZone, ...] = ()
    eased: Ticks = 0
    """How far its long edges are rounded."""
    crook: Ticks = 0
    """How far 8 ft of it are off the straight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece that exists at some moment; `fate` says what becomes of it."""

    id: str
    x: Ticks
    y: Ticks
    z: Ticks = 0
    length: Ticks
    width: Ticks
    thickness: Ticks
    fate: str
    blank: str | None = None
    turned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One cut; `step` is its place in the order of the whole plan, from 1."""

    step: int
    piece: str
    plane: str
    at: Ticks
    kerf: Ticks
    saw: str
    makes: tuple[str, ...]
    setting: str
    """The id of a `Setting`; empty until the cuts are put in order."""
    measure: Ticks | None
    """Fence or stop distance; None for a cut to a rough pencil line."""
    from_: str = "low"
    """The side of the piece the measure is read from: ``low`` or ``high``."""
    guide: str = "line"
    """What sets the distance: ``fence``, ``stop`` or ``line``."""
    purpose: str = "size"
    """``trim``, ``divide``, ``size``, or ``haul`` for one made at the store."""
    cautions: tuple[str, ...] = ()
    """Ids of the plan's cautions that belong to this very step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting of one saw, which all cuts with its guide and distance share."""

    id: str
    saw: str
    kind: str
    """``fence``, ``stop``, ``line`` or ``height``."""
    distance: Ticks | None
    from_edge: str = ""
    """In words, the edge the distance is read from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One piece of stock, the pieces it goes through and the cuts that make them.

    `pieces` holds every piece, the whole stock (its id is the layout's) first; `cuts`
    are in an order in which they can be made, and in the order of `step` once they have
    one.
    """

    id: str
    material: str
    section: str = ""
    form: str
    stock: PlanStock
    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
