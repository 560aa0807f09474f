"""A plan, record by record, as the file ``nesting-plan/1`` holds it.

Dumb records: nothing is checked here, so that a faulty plan can be loaded and its
faults named. All lengths are integer ticks; x runs along the stock's length, y across
its width, z through its thickness, from the reference corner (low x, low y). Field
names are the file's keys; a trailing underscore is dropped (`from_` is ``from``).

How a layout replays. It starts as one piece whose id is the layout's id and whose size
is the stock's. A cut takes a piece that exists, goes edge to edge, and splits it at
`at`, the distance from the piece's low face in the divided axis to the near side of the
kerf: the near piece keeps [0, at), the far piece starts at `at + kerf`; a side of no
size is not made; `makes` names what is made, near first. `kerf` is the wood lost: the
saw's kerf, and less only where the blade runs partly off an edge (`at` = 0, or `at +
kerf` = the size).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from nesting.units import Ticks

FORMAT = "nesting-plan/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanJob:
    """What the plan is for, and how its sizes and money are shown."""

    name: str
    unit: str = "mm"
    """``inch`` or ``mm``."""
    fraction: int = 16
    """The denominator of printed inches."""
    currency: str = "$"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSaw:
    """A saw and its reach (None is no limit); no kerf: a machine that is no saw."""

    name: str
    kind: str = ""
    place: str = "shop"
    kerf: Ticks | None
    cuts: tuple[str, ...]
    longest_cut: Ticks | None = None
    widest_rip: Ticks | None = None
    widest_crosscut: Ticks | None = None
    tallest: Ticks | None = None
    smallest_piece: Ticks | None = None
    narrowest_rip: Ticks | None = None
    """The least distance between fence and blade."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanMill:
    """A jointer or planer, and what it takes."""

    name: str
    """``jointer`` or ``planer``."""
    width: Ticks
    shortest: Ticks
    thinnest: Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanMinutes:
    """How long a setting, a cut and a sheet take, in whole minutes."""

    setting: int
    cut: int
    sheet: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanShop:
    """The machines of the shop."""

    saws: tuple[PlanSaw, ...]
    mills: tuple[PlanMill, ...] = ()
    """The jointer and the planer, where there are."""
    minutes: PlanMinutes | None = None
    """The rates of an estimate; absent in plans of earlier versions."""
    longest_rough: Ticks | None = None
    """The longest piece of a board that is ripped; None for any."""
    haul: Ticks | None = None
    """The longest piece of lumber that is carried home; None for any."""


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
class PlanZone:
    """A damaged rectangle of stock; `length` runs along x, `width` along y."""

    x: Ticks
    y: Ticks
    length: Ticks
    width: Ticks


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
    """What is damaged on it."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One thing to do on the way from rough blanks to a finished part.

    Sizes are those of each piece afterwards, for one copy of the part or one gang.
    """

    what: str
    """``cut``, ``joint``, ``plane``, ``glue``, ``rip``, ``crosscut``, ``joints`` or
    ``fit``."""
    of: str
    """What is worked on: a blank, a glued-up section, or the part."""
    pieces: int
    """How many of them there are afterwards."""
    length: Ticks
    width: Ticks
    thickness: Ticks
    machine: str = ""
    """A saw, the jointer, the planer, clamps; empty for by hand."""
    setting: Ticks | None = None
    """The distance that is set on the machine."""
    day: int = 1
    """The earliest day of the work: glue dries and wood rests in between."""
    takes: tuple[PlanTake, ...] = ()
    """What a glue-up is glued from."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRoute:
    """How a part comes from its blanks, operation by operation."""

    need: str
    """The id of the need it is about."""
    part: str
    build: str
    qty: int
    """How often it is gone through."""
    operations: tuple[Operation, ...]
    why: str = ""
    """Why it is made so, in words; empty where nothing else comes into question."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """How much wider a part of solid wood is in the humid season than in the dry one.

    An expectation from the species' coefficient, for wood that has been dried.
    """

    part: str
    species: str
    """As the Wood Handbook names it; ``southern pine`` where it is not known."""
    width: Ticks
    """Across the grain, as the part is finished."""
    change: Ticks


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
class PlanUnplaced:
    """Blanks that got no place."""

    blank: str
    qty: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """A line of the shopping list."""

    material: str
    stock: str
    qty: int
    cost_cents: int | None
    """For all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """What to take where one line of the shopping list is not to be had."""

    material: str
    missing: str
    """The stock that is not there."""
    instead: tuple[Purchase, ...]
    """All that is bought of the material then."""
    more_cents: int | None
    """What that costs more than the plan; None where a price is not known."""
    unplaced: int = 0
    """How many blanks find no place then."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RackSaving:
    """What would have to be paid more for a material if nothing of it were owned."""

    material: str
    pieces: int
    saved_cents: int | None
    unplaced: int = 0
    """How many blanks would find no place without."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """What to take more for safety; it is in no total."""

    material: str
    stock: str
    qty: int
    cost_cents: int | None
    """For all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What to know at the store, from small plans of its own."""

    alternatives: tuple[Alternative, ...] = ()
    rack: tuple[RackSaving, ...] = ()
    spares: tuple[Spare, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanHardware:
    """A line of the shopping list that is not cut."""

    name: str
    qty: int
    cost_cents: int | None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBound:
    """How near the best the plan is, for the materials in `scope`."""

    scope: tuple[str, ...]
    section: str = ""
    sections: tuple[str, ...] = ()
    """The sections of its material that it is about, where there are several that
    share blanks; `section` is empty then."""
    objective: str
    """``cost`` (cents), ``count`` (pieces of stock) or ``area`` (square ticks)."""
    value: int
    lower_bound: int
    proven: bool
    basis: str
    """Where the bound is from, in words; it begins with ``search`` where it is called
    proven and no one can check it again without searching as long."""
    certificate: dict[str, Any] | None = None
    """The proof in numbers, as `nesting.model.certificate` says."""

    def covers(self, material: str, section: str) -> bool:
        """Tell whether stock of a material and section is in its scope."""
        return (
            material in self.scope
            and self.section in ("", section)
            and (not self.sections or section in self.sections)
        )

    @property
    def title(self) -> str:
        """What it is about, in words: its materials and sections."""
        sections = self.section or ", ".join(self.sections)
        return f"{', '.join(self.scope)} {sections}".rstrip()

    def is_about(self, blank: PlanBlank) -> bool:
        """Tell whether a blank is in its scope: it may come from a section that is."""
        return any(
            self.covers(blank.material, section)
            for section in blank.sections or (blank.section,)
        )

    @property
    def is_by_search(self) -> bool:
        """Whether it is called proven on the word of a search alone."""
        return self.proven and self.value > 0 and self.certificate is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A safety rule that a step or the whole plan refers to."""

    id: str
    text: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Yield:
    """Where the stock of one material goes, in square ticks of face (lumber too).

    What is thinner than its stock counts with its share of the thickness: a slice half
    as thick as its board has half the area of its face. Each share is rounded down in
    each layout, and what that leaves is added to the kerf, so that the sum closes.
    """

    material: str
    section: str = ""
    form: str
    stock: int
    parts: int
    offcuts: int
    scrap: int
    kerf: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """Sums over the plan."""

    cost_cents: int
    """All that has a price: stock to buy and hardware."""
    stock_cents: int
    hardware_cents: int
    unpriced: int
    """How many lines of the shopping list have no price."""
    layouts: int
    cuts: int
    settings: int
    blanks: int
    parts: int
    yields: tuple[Yield, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeBy:
    """What made the plan: no clock, date or path."""

    version: str
    seed: int
    work: int
    stopped_by: str
    input_digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOrder:
    """The order of the cuts: how often a fence, a stop or a height is set.

    A saw stays as it is set until it is set otherwise; a pencil line is no setting.
    """

    changes: int
    """Held cuts, in order of their steps, whose saw was last set to something else."""
    lower_bound: int
    """No order of these cuts in the same phases has fewer changes."""

    @property
    def nearness(self) -> str:
        """How near the fewest changes it is, in words to put behind a count."""
        if self.changes == self.lower_bound:
            return "as few as can be"
        return f"at least {self.lower_bound}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything the maker takes to the store and to the saw."""

    format: str = FORMAT
    ticks_per_mm: int = 1600
    job: PlanJob
    shop: PlanShop
    parts: tuple[PlanPart, ...]
    blanks: tuple[PlanBlank, ...]
    layouts: tuple[Layout, ...]
    runs: tuple[PlanRun, ...] = ()
    offers: tuple[Offer, ...] = ()
    needs: tuple[PlanNeed, ...] = ()
    routes: tuple[PlanRoute, ...] = ()
    """One for each need that is more than cut: planed, glued, joined or fitted."""
    movements: tuple[Movement, ...] = ()
    settings: tuple[Setting, ...] = ()
    unplaced: tuple[PlanUnplaced, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    hardware: tuple[PlanHardware, ...] = ()
    advice: Advice = Advice()
    bounds: tuple[PlanBound, ...] = ()
    cautions: tuple[Caution, ...] = ()
    made_by: MadeBy
    totals: Totals
    warnings: tuple[str, ...] = field(default=())
    order: PlanOrder | None = None
    """Absent in plans of earlier versions."""

    @property
    def minutes(self) -> int | None:
        """An estimate of the work at the saws; None where the plan holds no rates."""
        rates = self.shop.minutes
        if rates is None or self.order is None:
            return None
        sheets = sum(layout.form == "sheet" for layout in self.layouts)
        cuts = sum(len(layout.cuts) for layout in self.layouts)
        changes = self.order.changes
        return rates.setting * changes + rates.cut * cuts + rates.sheet * sheets


@dataclass(frozen=True, slots=True, kw_only=True)
class Violation:
    """One rule that a plan breaks, as the checker found it."""

    rule: str
    """The rule's short name, such as ``kerf`` or ``demand``."""
    where: str
    """The layout, step or blank."""
    what: str
    """The fault in a sentence."""

    def __str__(self) -> str:
        """Return the fault on one line."""
        return f"{self.where}: {self.what} [{self.rule}]"
