"""What milling is told of: joints, builds a maker asks for, machines, allowances."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum

from nesting.trade.defaults import FIGURES, default_length
from nesting.units import Ticks, Unit


class Side(StrEnum):
    """An end or an edge of a part: ends lie across its length, edges along it."""

    LEFT = "left"
    RIGHT = "right"
    FRONT = "front"
    BACK = "back"

    @property
    def is_end(self) -> bool:
        """Whether it is an end and no edge."""
        return self in (Side.LEFT, Side.RIGHT)


class JointKind(StrEnum):
    """What is worked on a side of a part and makes it longer or wider.

    Only the half that enters the other piece grows: a mortise, a groove or a rabbet
    adds nothing to the piece it is cut into, and is not named here.
    """

    TENON = "tenon"
    THROUGH_TENON = "through tenon"
    """Left a little long, to be trimmed flush."""
    TONGUE = "tongue"
    LAP = "lap"
    """The end or edge that lies in a half lap or in a rabbet."""
    PANEL = "panel"
    """A panel's side that lies in the groove of a frame, with room to move."""
    HORN = "horn"
    """Left on beyond a mortise and cut off when the frame is glued."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A joint on some sides of a part."""

    kind: JointKind
    depth: Ticks
    """How far it reaches into the other piece, in ticks."""
    sides: tuple[Side, ...]

    def __post_init__(self) -> None:
        """Refuse what is no joint."""
        if self.depth <= 0 or not self.sides or len(set(self.sides)) < len(self.sides):
            message = f"a {self.kind} wants a depth and sides, each once"
            raise ValueError(message)


class BuildKind(StrEnum):
    """How a part is made of its blanks."""

    ONE_PIECE = "one piece"
    AS_BOUGHT = "as bought"
    """At the dressed thickness of its stock: not planed."""
    RESAWN = "resawn"
    LAMINATED = "laminated"
    EDGE_GLUED = "edge-glued"
    ON_EDGE = "on edge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The build that a maker asks for; it is never overruled."""

    kind: BuildKind
    count: int | None = None
    """How many plies, strips or slices; None to leave it to the planner."""


class Corner(StrEnum):
    """How two edgings meet."""

    BUTT = "butt"
    MITRE = "mitre"


@dataclass(frozen=True, slots=True, kw_only=True)
class Edging:
    """Solid wood on the sides of a panel; the finished size includes it."""

    material: str
    thickness: Ticks
    """How far it stands out from the panel."""
    sides: tuple[Side, ...]
    corner: Corner = Corner.BUTT


@dataclass(frozen=True, slots=True, kw_only=True)
class Jointer:
    """A machine that makes a face flat or an edge straight."""

    width: Ticks = default_length("jointer_width")
    shortest: Ticks = default_length("min_jointer_length")
    thinnest: Ticks = default_length("min_jointer_face_thickness")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planer:
    """A machine that makes a piece as thick as it is set to."""

    width: Ticks = default_length("planer_width")
    shortest: Ticks = default_length("min_planer_length")
    thinnest: Ticks = default_length("min_planer_thickness_warn")


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """What milling takes off, in ticks; each is a setting of the job."""

    rough_length: Ticks = default_length("rough_length_allowance")
    """On the length of a blank that is milled, in all."""
    rough_width: Ticks = default_length("rough_width_allowance")
    """On its width, in all."""
    flatten: Ticks = default_length("thickness_allowance_dressed_total")
    """Off dressed stock until both faces are flat, in all."""
    joint_edge: Ticks = default_length("joint_edge_allowance")
    """Off each edge that meets another in a glue-up."""
    glue_slip: Ticks = default_length("laminate_slip")
    """On the width of plies and strips that may slip while the glue is wet."""
    plane_glue_up: Ticks = default_length("plane_after_glue_up")
    """Off the thickness of what has been glued up, in all."""
    resaw_face: Ticks = default_length("resaw_face_jointing")
    """Off the face that is jointed before resawing."""
    resaw_clean_up: Ticks = default_length("resaw_cleanup_per_face")
    """Off each sawn face of a slice."""
    snipe: Ticks = default_length("snipe_allowance_each_end")
    """On each end of a blank, for the planer's snipe."""
    section_margin: Ticks = default_length("glue_up_narrower_than_planer")
    """How much narrower than the planer a glued-up section stays."""
    narrowest_strip: Ticks = default_length("narrowest_glue_strip")
    """The narrowest strip of a glue-up."""
    eased: Ticks = default_length("eased_edge_loss")
    """Off each rounded edge of dressed stock before it is glued."""
    tenon_trim: Ticks = default_length("through_tenon_over_length")
    """On each through tenon, to be trimmed flush."""
    panel_gap_solid: Ticks = default_length("panel_gap_solid")
    """Between a solid panel and the bottom of its groove, on each side."""
    panel_gap_sheet: Ticks = default_length("panel_gap_plywood")
    """The same for a panel of sheet goods."""
    edging_proud: Ticks = default_length("edging_proud")
    """What an edging is wider than its panel is thick."""
    edging_length: Ticks = default_length("edging_over_length")
    """What an edging strip is longer than its side, in all."""

    @classmethod
    def usual(cls, unit: Unit) -> Allowances:
        """Return the usual ones; for a metric job to the nearest half millimetre."""
        usual = cls()
        if unit is Unit.INCH:
            return usual
        half = Unit.MM.ticks // 2
        return cls(
            **{
                field.name: round(getattr(usual, field.name) / half) * half
                for field in fields(cls)
            }
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """Between what the furniture will live: percent of relative humidity, at 70 F."""

    dry: int = int(FIGURES["humidity_dry"].value)
    humid: int = int(FIGURES["humidity_humid"].value)
