"""What a maker brings: parts, materials, a shop and what hangs on them."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from nesting.model.blank import USUAL_PRIORITY
from nesting.model.mill import Allowances, Climate, Edging, Joint, Wish
from nesting.model.shop import Shop
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Flow, Grain, Prefer
from nesting.units import Display, Ticks


class MaterialKind(StrEnum):
    """How a material is sold and cut."""

    SHEET = "sheet"
    LUMBER = "lumber"


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What a blank has more than its part, in ticks, in all (not per side).

    None leaves it to the usual: nothing where a piece is used as it is cut, the rough
    allowances where it is milled.
    """

    length: Ticks | None = None
    width: Ticks | None = None
    thickness: Ticks | None = None

    def __post_init__(self) -> None:
        """Refuse a blank smaller than its part."""
        if min(self.length or 0, self.width or 0, self.thickness or 0) < 0:
            message = "an allowance cannot be negative"
            raise ValueError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One dressed size of a lumber material, in ticks."""

    name: str
    thickness: Ticks
    width: Ticks
    eased: Ticks = 0
    """How far its long edges are rounded."""

    @property
    def square_width(self) -> Ticks:
        """The width between its rounded edges."""
        return self.width - 2 * self.eased


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A sheet good of one thickness, or a lumber family with its sections."""

    name: str
    kind: MaterialKind
    thickness: Ticks | None = None
    """The thickness of a sheet good, as measured; None for lumber."""
    sections: tuple[Section, ...] = ()
    """The sections of a lumber family; none for a sheet good."""
    has_grain: bool = True
    """Whether grain matters on it; False for MDF and the like."""
    allowance: Allowance = Allowance()
    """For every part of this material that does not give its own."""
    species: str = ""
    """As `nesting.trade.species` names it; empty where it is not known."""
    moisture: int | None = None
    """Percent of moisture content in which it is bought; None where not known."""
    spare_percent: int = 0
    """What to take more of it for safety, apart from the plan."""
    stock: tuple[Stock, ...]

    def __post_init__(self) -> None:
        """Refuse a material nothing can be cut from."""
        if (self.kind is MaterialKind.SHEET) != (self.thickness is not None):
            message = (
                f"material {self.name!r}: a sheet good, and only that, has a thickness"
            )
            raise ValueError(message)
        if (self.kind is MaterialKind.LUMBER) != bool(self.sections):
            message = f"material {self.name!r}: lumber, and only that, has sections"
            raise ValueError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A finished part; its length runs along its grain unless `grain` says else."""

    name: str
    """Unique in a job."""
    quantity: int
    material: str
    length: Ticks
    width: Ticks | None
    """None for lumber taken at its section's width."""
    thickness: Ticks | None
    """None for the material's own thickness."""
    grain: Grain = Grain.LENGTH
    section: str | None = None
    """The lumber section it must come from; None to take what fits."""
    allowance: Allowance = Allowance()
    """What it leaves open is the material's."""
    note: str = ""
    match: str = ""
    """The run it belongs to with all its copies; empty for none."""
    flow: Flow | None = None
    """How that run goes; None to go as its other parts say, or across."""
    priority: int = USUAL_PRIORITY
    """1 is placed first where limited stock does not hold everything."""
    joints: tuple[Joint, ...] = ()
    """What enters other pieces; sizes are from shoulder to shoulder."""
    is_overall: bool = False
    """Whether its sizes have its joints in them already."""
    wish: Wish | None = None
    """The build its maker asks for; None for the cheapest that can be made."""
    edging: Edging | None = None
    is_fitted: bool = False
    """Whether it is cut to fit the work, last of all."""
    square_edges: bool = False
    """Whether it may not keep the rounded edges of lumber."""
    is_clear: bool = False
    """Whether it may have no blemish in it."""
    path: str = field(default="", compare=False)
    line: int | None = None
    """The file and the line it was read from, for messages."""

    def __post_init__(self) -> None:
        """Refuse what is no part."""
        sizes = [s for s in (self.length, self.width, self.thickness) if s is not None]
        if self.quantity < 1 or min(sizes) <= 0:
            message = f"part {self.name!r} needs a quantity and sizes above zero"
            raise ValueError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hardware:
    """A line of the shopping list that is not cut: screws, hinges, slides."""

    name: str
    quantity: int
    price_cents: int | None = None
    """For one."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Everything a job folder says, read and checked."""

    name: str
    display: Display
    currency: str
    shop: Shop
    materials: tuple[Material, ...]
    parts: tuple[Part, ...]
    hardware: tuple[Hardware, ...] = ()
    offcuts: OffcutRule = OffcutRule()
    stages: int | None = 4
    """How many levels of alternating cuts a sheet may take; None for any number."""
    prefer: Prefer = Prefer.OFFCUTS
    """What matters most among sheet plans that cost the same."""
    allowances: Allowances = Allowances()
    """What milling takes off."""
    climate: Climate = Climate()
    digest: str = ""
    """A digest of what was read, so that a plan names its input."""
