"""The plan as a whole, with its sums, its warnings and what the checker finds."""

from __future__ import annotations

from dataclasses import dataclass, field

from nesting.model.plan.asked import PlanBlank, PlanNeed, PlanPart, PlanRun
from nesting.model.plan.bound import PlanBound
from nesting.model.plan.layout import Layout, Offer, Setting
from nesting.model.plan.route import Movement, PlanRoute
from nesting.model.plan.shop import PlanShop
from nesting.model.plan.store import Advice, PlanHardware, Purchase
from nesting.model.plan.way import PlanWay
from nesting.units import Display, Unit

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

    @property
    def display(self) -> Display:
        """How its sizes are written."""
        unit = Unit.INCH if self.unit == "inch" else Unit.MM
        return Display(unit=unit, denominator=self.fraction)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanUnplaced:
    """Blanks that got no place."""

    blank: str
    qty: int
    why: str


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
    ways: tuple[PlanWay, ...] = ()
    """Other ways to cut the job beside this one, where there is something to choose."""

    @property
    def way(self) -> str:
        """The name of the way it is; empty where there is nothing to choose."""
        return next((way.name for way in self.ways if way.taken), "")

    @property
    def minutes(self) -> int | None:
        """An estimate of the work at the saws; None where the plan holds no rates.

        What is cut at the store is not counted.
        """
        rates = self.shop.minutes
        if rates is None or self.order is None:
            return None
        sheets = sum(layout.form == "sheet" for layout in self.layouts)
        cuts = sum(
            cut.purpose != "haul" for layout in self.layouts for cut in layout.cuts
        )
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
