"""Plans made by hand for the drawings: invented furniture, cut strip by strip."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

import pytest

from nesting.model.plan import (
    Caution,
    Cut,
    Layout,
    MadeBy,
    Offer,
    Piece,
    Plan,
    PlanBlank,
    PlanBound,
    PlanHardware,
    PlanJob,
    PlanPart,
    PlanSaw,
    PlanShop,
    PlanStock,
    PlanUnplaced,
    Purchase,
    Setting,
    Totals,
    Yield,
)

INCH = 40640
MM = 1600


def inch(text: str) -> int:
    """Return ticks for inches such as ``11 1/4``."""
    return int(sum(Fraction(word) for word in text.split()) * INCH)


@dataclass
class Cutting:
    """A layout in the making: each cut replaces a piece by those it makes."""

    id: str
    material: str
    form: str
    stock: PlanStock
    kerf: int
    section: str = ""
    pieces: dict[str, Piece] = field(default_factory=dict)
    cuts: list[Cut] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Lay the whole stock down."""
        stock = self.stock
        self.pieces[self.id] = Piece(
            id=self.id,
            x=0,
            y=0,
            length=stock.length,
            width=stock.width,
            thickness=stock.thickness,
            fate="scrap",
        )

    def cut(
        self,
        piece_id: str,
        plane: str,
        at: int,
        *,
        guide: str = "line",
        from_: str = "low",
        purpose: str = "divide",
        saw: str = "table saw",
        cautions: tuple[str, ...] = (),
    ) -> tuple[str, str]:
        """Cut a piece and return the ids of the near and the far piece.

        A piece of no size is not made; its id is empty.
        """
        piece = self.pieces[piece_id]
        size = {"crosscut": "length", "rip": "width", "resaw": "thickness"}[plane]
        axis = {"crosscut": "x", "rip": "y", "resaw": "z"}[plane]
        whole = getattr(piece, size)
        kerf = min(self.kerf, whole - at)
        made = []
        for offset, extent in ((0, at), (at + kerf, whole - at - kerf)):
            if extent <= 0:
                made.append("")
                continue
            name = f"{self.id}.{len(self.pieces)}"
            moved = {axis: getattr(piece, axis) + offset, size: extent}
            self.pieces[name] = replace(piece, id=name, fate="scrap", **moved)
            made.append(name)
        self.pieces[piece_id] = replace(piece, fate="cut")
        measure = at if from_ == "low" else whole - at - kerf
        self.cuts.append(
            Cut(
                step=0,
                piece=piece_id,
                plane=plane,
                at=at,
                kerf=kerf,
                saw=saw,
                makes=tuple(name for name in made if name),
                setting="",
                measure=measure,
                from_=from_,
                guide=guide,
                purpose=purpose,
                cautions=cautions,
            )
        )
        return made[0], made[1]

    def become(
        self,
        piece_id: str,
        fate: str,
        blank: str | None = None,
        *,
        turned: bool = False,
    ) -> None:
        """Say what a piece is in the end."""
        self.pieces[piece_id] = replace(
            self.pieces[piece_id], fate=fate, blank=blank, turned=turned
        )

    def strips(
        self,
        trim: int,
        rows: list[tuple[int, list[tuple[int, str]]]],
        keep: int,
    ) -> None:
        """Trim two edges, rip strips from below and crosscut each from the left.

        `rows` holds each strip's width and the (length, blank) cut from it; a rest both
        of whose sides are at least `keep` is an offcut.
        """
        rest = self.id
        for plane in ("rip", "crosscut"):
            _, rest = self.cut(
                rest, plane, trim - self.kerf, purpose="trim", saw="track saw"
            )
        for width, row in rows:
            piece = self.pieces[rest]
            strip = rest
            if width < piece.width:
                strip, rest = self.cut(rest, "rip", width, guide="fence")
            for length, blank in row:
                near = strip
                if length < self.pieces[strip].length:
                    cautions = ("hands",) if width < 3 * INCH else ()
                    near, strip = self.cut(
                        strip,
                        "crosscut",
                        length,
                        guide="stop",
                        purpose="size",
                        saw="mitre saw",
                        cautions=cautions,
                    )
                else:
                    strip = ""
                self.become(near, "part", blank)
            if strip:
                self._leave(strip, keep)
        if self.pieces[rest].fate == "scrap":
            self._leave(rest, keep)

    def sticks(self, lengths: list[tuple[int, str]], keep: int) -> None:
        """Trim the left end of a stick and crosscut pieces from it."""
        _, rest = self.cut(
            self.id, "crosscut", INCH // 4, purpose="trim", saw="mitre saw"
        )
        for length, blank in lengths:
            near, rest = self.cut(
                rest,
                "crosscut",
                length,
                guide="stop",
                purpose="size",
                saw="mitre saw",
            )
            self.become(near, "part", blank)
        if rest:
            self._leave(rest, keep)

    def _leave(self, piece_id: str, keep: int) -> None:
        piece = self.pieces[piece_id]
        if self.form == "sheet":
            kept = min(piece.length, piece.width) >= keep
        else:
            kept = piece.length >= keep
        self.become(piece_id, "offcut" if kept else "scrap")

    def layout(self) -> Layout:
        """Return the layout; its cuts have no steps yet."""
        return Layout(
            id=self.id,
            material=self.material,
            section=self.section,
            form=self.form,
            stock=self.stock,
            pieces=tuple(self.pieces.values()),
            cuts=tuple(self.cuts),
        )


def in_order(layouts: list[Layout]) -> tuple[tuple[Layout, ...], tuple[Setting, ...]]:
    """Number the cuts setting by setting, as far as pieces exist, and name settings."""
    waiting = [(lay.id, cut) for lay in layouts for cut in lay.cuts]
    exist = {(lay.id, lay.id) for lay in layouts}
    numbers: dict[tuple[str, str], int] = {}
    settings: dict[object, Setting] = {}
    named: dict[tuple[str, str], str] = {}
    current: object = None

    def key(cut: Cut) -> object:
        return (cut.saw, cut.guide, cut.plane, cut.measure, cut.from_)

    while waiting:
        ready = [pair for pair in waiting if (pair[0], pair[1].piece) in exist]
        same = [pair for pair in ready if key(pair[1]) == current]
        lay, cut = (same or ready)[0]
        current = key(cut)
        waiting.remove((lay, cut))
        exist.update((lay, made) for made in cut.makes)
        numbers[lay, cut.piece] = len(numbers) + 1
        if current not in settings:
            settings[current] = Setting(
                id=f"F{len(settings) + 1}",
                saw=cut.saw,
                kind=cut.guide,
                distance=cut.measure,
            )
        named[lay, cut.piece] = settings[current].id
    done = []
    for layout in layouts:
        cuts = [
            replace(
                cut,
                step=numbers[layout.id, cut.piece],
                setting=named[layout.id, cut.piece],
            )
            for cut in layout.cuts
        ]
        done.append(replace(layout, cuts=tuple(sorted(cuts, key=lambda c: c.step))))
    return tuple(done), tuple(settings.values())


def yields(layouts: tuple[Layout, ...]) -> tuple[Yield, ...]:
    """Add up where the stock goes."""
    lines: dict[tuple[str, str, str], dict[str, int]] = {}
    for layout in layouts:
        key = layout.material, layout.section, layout.form
        line = lines.setdefault(key, {"stock": 0, "parts": 0, "offcuts": 0, "scrap": 0})
        line["stock"] += layout.stock.length * layout.stock.width
        for piece in layout.pieces:
            word = {"part": "parts", "offcut": "offcuts", "scrap": "scrap"}
            if piece.fate in word:
                line[word[piece.fate]] += piece.length * piece.width
    return tuple(
        Yield(
            material=material,
            section=section,
            form=form,
            kerf=line["stock"] - line["parts"] - line["offcuts"] - line["scrap"],
            **line,
        )
        for (material, section, form), line in lines.items()
    )


CAUTIONS = (
    Caution(
        id="hands",
        text="Short piece: clamp it or use a push block, and keep hands clear; follow "
        "your machine's manual, local rules and qualified instruction.",
        source="common practice",
    ),
    Caution(
        id="support",
        text="Support a whole sheet on both sides of the cut, close to the line.",
        source="common practice",
    ),
)


def _plan(
    job: PlanJob,
    cuttings: list[Cutting],
    blanks: dict[str, tuple[str, int, int, int, str]],
    **more: object,
) -> Plan:
    """Return a plan; `blanks` gives name, length, width, thickness and grain by id."""
    layouts, settings = in_order([cutting.layout() for cutting in cuttings])
    counts = dict.fromkeys(blanks, 0)
    materials: dict[str, tuple[str, str]] = {}
    for layout in layouts:
        for piece in layout.pieces:
            if piece.blank:
                counts[piece.blank] += 1
                materials[piece.blank] = layout.material, layout.section
    parts = tuple(
        PlanPart(
            id=f"part-{key}",
            name=name,
            qty=counts[key],
            length=length,
            width=width,
            thickness=thickness,
            material=materials[key][0],
            grain=grain,
        )
        for key, (name, length, width, thickness, grain) in blanks.items()
    )
    saws = tuple(
        PlanSaw(name=name, kerf=cuttings[0].kerf, cuts=("rip", "crosscut"))
        for name in ("table saw", "track saw", "mitre saw")
    )
    totals = Totals(
        cost_cents=31240,
        stock_cents=29800,
        hardware_cents=1440,
        unpriced=1,
        layouts=len(layouts),
        cuts=sum(len(layout.cuts) for layout in layouts),
        settings=len(settings),
        blanks=sum(counts.values()),
        parts=sum(counts.values()),
        yields=yields(layouts),
    )
    plan = Plan(
        job=job,
        shop=PlanShop(saws=saws),
        parts=parts,
        blanks=tuple(
            PlanBlank(
                id=key,
                parts=(f"part-{key}",),
                role="",
                qty=counts[key],
                length=length,
                width=width,
                thickness=thickness,
                material=materials[key][0],
                section=materials[key][1],
                grain=grain,
            )
            for key, (name, length, width, thickness, grain) in blanks.items()
        ),
        layouts=layouts,
        settings=settings,
        cautions=CAUTIONS,
        made_by=MadeBy(
            version="0", seed=0, work=1, stopped_by="work", input_digest="0"
        ),
        totals=totals,
    )
    return replace(plan, **more)  # type: ignore[arg-type] # fields by name


def hall_bench() -> Plan:
    """Return a bench in inches: three sheets alike, one of small parts, many sticks."""
    half = inch("1/2")
    blanks = {
        "side": ("Bench side", inch("30"), inch("15 1/4"), half, "length"),
        "shelf": ("Boot shelf", inch("45 1/2"), inch("14"), half, "length"),
        "divider": ("Divider", inch("14"), inch("13 1/2"), half, "any"),
        "front": ("Drawer front", inch("14 3/4"), inch("6 1/8"), half, "length"),
        "back": ("Drawer back", inch("13 1/2"), inch("4 7/8"), half, "length"),
        "guide": ("Drawer guide strip", inch("12"), inch("3/4"), half, "any"),
        "block": ("Glue block", inch("2"), inch("1 1/2"), half, "any"),
        "knob": ("Knob backing plate", inch("3"), inch("1 1/2"), half, "any"),
        "cleat": ("Wall cleat", inch("22"), inch("3"), half, "length"),
        "leg": ("Leg", inch("16 1/2"), inch("3 1/2"), inch("1 1/2"), "length"),
        "rail": ("Long rail", inch("42 3/8"), inch("3 1/2"), inch("1 1/2"), "length"),
        "slat": ("Seat slat", inch("44"), inch("2 1/2"), inch("3/4"), "length"),
        "peg": ("Coat peg blank", inch("5"), inch("2 1/2"), inch("3/4"), "length"),
    }
    sheet = PlanStock(
        name="birch 4x8",
        length=inch("96"),
        width=inch("48"),
        thickness=half,
        grain="length",
        origin="store",
        price_cents=6200,
    )
    kerf = inch("1/8")
    cuttings = []
    for count in range(1, 4):
        cutting = Cutting(f"S{count}", "birch ply", "sheet", sheet, kerf)
        cutting.strips(
            inch("1/4"),
            [
                (inch("15 1/4"), [(inch("30"), "side")] * 3),
                (inch("14"), [(inch("45 1/2"), "shelf"), (inch("45 1/2"), "shelf")]),
                (
                    inch("13 1/2"),
                    [(inch("14"), "divider"), (inch("14"), "divider")],
                ),
            ],
            inch("12"),
        )
        cuttings.append(cutting)
    small = Cutting("S4", "birch ply", "sheet", sheet, kerf)
    small.strips(
        inch("1/4"),
        [
            (inch("6 1/8"), [(inch("14 3/4"), "front")] * 6),
            (inch("4 7/8"), [(inch("13 1/2"), "back")] * 6),
            (inch("3"), [(inch("22"), "cleat")] * 4),
            (inch("1 1/2"), [(inch("3"), "knob")] * 6 + [(inch("2"), "block")] * 8),
            (inch("3/4"), [(inch("12"), "guide")] * 7),
            (inch("3/4"), [(inch("12"), "guide")] * 5),
        ],
        inch("10"),
    )
    cuttings.append(small)
    rack = PlanStock(
        name="birch offcut",
        length=inch("31 1/2"),
        width=inch("17"),
        thickness=half,
        grain="length",
        origin="rack",
        tag="R7",
    )
    offcut = Cutting("S5", "birch ply", "sheet", rack, kerf)
    offcut.strips(inch("1/4"), [(inch("15 1/4"), [(inch("30"), "side")])], inch("10"))
    cuttings.append(offcut)
    two = PlanStock(
        name="2x4 8 ft",
        length=inch("96"),
        width=inch("3 1/2"),
        thickness=inch("1 1/2"),
        grain="length",
        origin="store",
        price_cents=480,
    )
    for count in range(1, 4):
        stick = Cutting(f"L{count}", "pine", "stick", two, kerf, section="2x4")
        if count < 3:
            stick.sticks([(inch("42 3/8"), "rail")] * 2, inch("12"))
        else:
            stick.sticks([(inch("16 1/2"), "leg")] * 4, inch("12"))
        cuttings.append(stick)
    one = PlanStock(
        name="1x3 8 ft",
        length=inch("96"),
        width=inch("2 1/2"),
        thickness=inch("3/4"),
        grain="length",
        origin="store",
        price_cents=310,
    )
    for count in range(4, 10):
        stick = Cutting(f"L{count}", "pine", "stick", one, kerf, section="1x3")
        if count < 9:
            stick.sticks([(inch("44"), "slat"), (inch("44"), "slat")], inch("12"))
        else:
            stick.sticks([(inch("5"), "peg")] * 11, inch("12"))
        cuttings.append(stick)
    return _plan(
        PlanJob(name="Hall bench with drawers", unit="inch", fraction=16),
        cuttings,
        blanks,
        offers=(
            Offer(
                id="birch 4x8",
                material="birch ply",
                form="sheet",
                length=inch("96"),
                width=inch("48"),
                thickness=half,
                grain="length",
                price_cents=6200,
            ),
            Offer(
                id="2x4 8 ft",
                material="pine",
                section="2x4",
                form="stick",
                length=inch("96"),
                width=inch("3 1/2"),
                thickness=inch("1 1/2"),
                grain="length",
                price_cents=480,
            ),
            Offer(
                id="1x3 8 ft",
                material="pine",
                section="1x3",
                form="stick",
                length=inch("96"),
                width=inch("2 1/2"),
                thickness=inch("3/4"),
                grain="length",
                price_cents=310,
            ),
        ),
        purchases=(
            Purchase(material="birch ply", stock="birch 4x8", qty=4, cost_cents=24800),
            Purchase(material="pine 2x4", stock="2x4 8 ft", qty=3, cost_cents=1440),
            Purchase(material="pine 1x3", stock="1x3 8 ft", qty=6, cost_cents=1860),
        ),
        hardware=(
            PlanHardware(name="Drawer slides, pair", qty=6, cost_cents=None),
            PlanHardware(
                name="Screws 1 1/4", qty=1, cost_cents=1440, note="box of 100"
            ),
        ),
        bounds=(
            PlanBound(
                scope=("birch ply",),
                objective="count",
                value=4,
                lower_bound=3,
                proven=False,
                basis="area",
            ),
            PlanBound(
                scope=("pine",),
                section="2x4",
                objective="cost",
                value=1440,
                lower_bound=1440,
                proven=True,
                basis="linear program over all patterns, in exact arithmetic",
            ),
        ),
        warnings=("The planned thickness of birch ply is nominal: measure it first.",),
        unplaced=(
            PlanUnplaced(
                blank="cleat", qty=1, why="all four sheets that can be had are full"
            ),
        ),
    )


def wall_unit() -> Plan:
    """Return a wall unit in millimetres: one sheet of long names and turned parts."""
    thick = 18 * MM
    blanks = {
        "upright": (
            "Upright with shelf pin holes",
            1800 * MM,
            280 * MM,
            thick,
            "length",
        ),
        "fixed": ("Fixed shelf", 764 * MM, 280 * MM, thick, "length"),
        "lip": ("Lip", 764 * MM, 40 * MM, thick, "any"),
        "spacer": ("Hinge spacer, lower left", 90 * MM, 40 * MM, thick, "any"),
    }
    sheet = PlanStock(
        name="oak ply 8x4",
        length=2440 * MM,
        width=1220 * MM,
        thickness=thick,
        grain="length",
        origin="store",
        price_cents=9900,
    )
    cutting = Cutting("P1", "oak ply", "sheet", sheet, 2 * MM + 400)
    cutting.strips(
        6 * MM,
        [
            (280 * MM, [(1800 * MM, "upright")]),
            (280 * MM, [(1800 * MM, "upright")]),
            (280 * MM, [(764 * MM, "fixed")] * 3),
            (40 * MM, [(764 * MM, "lip")] * 2 + [(90 * MM, "spacer")] * 8),
        ],
        250 * MM,
    )
    return _plan(
        PlanJob(name="Wall unit", unit="mm", currency="EUR"),
        [cutting],
        blanks,
        purchases=(
            Purchase(material="oak ply", stock="oak ply 8x4", qty=1, cost_cents=9900),
        ),
        bounds=(
            PlanBound(
                scope=("oak ply",),
                objective="cost",
                value=9900,
                lower_bound=9900,
                proven=True,
                basis="one sheet is the least there is",
            ),
        ),
    )


def chest() -> Plan:
    """Return a chest: a sheet with grain across and turned parts, a board, a glue-up.

    Its saw takes 3 mm, so that sizes in inches are rounded.
    """
    half = inch("1/2")
    runner = "Runner under the upper left drawer"
    blanks = {
        "panel": ("Back panel of the chest", inch("40"), inch("20"), half, "length"),
        "runner": (runner, inch("6"), inch("1"), half, "length"),
        "tab": ("Tab", inch("1 1/2"), inch("1"), half, "any"),
        "slat": ("Thin slat", inch("30"), inch("7 1/4"), 5 * INCH // 16, "length"),
        "lid": ("Lid", inch("28"), inch("13"), inch("5/16"), "length"),
    }
    kerf = 3 * MM
    stock = PlanStock(
        name="maple 5x5",
        length=inch("60"),
        width=inch("60"),
        thickness=half,
        grain="width",
        origin="store",
        price_cents=8800,
    )
    sheet = Cutting("M1", "maple ply", "sheet", stock, kerf)
    low, rest = sheet.cut("M1", "rip", inch("40"), guide="fence")
    for _ in range(2):
        panel, low = sheet.cut(low, "crosscut", inch("20"), guide="fence")
        sheet.become(panel, "part", "panel", turned=True)
    sheet.become(low, "offcut")
    strip, rest = sheet.cut(rest, "rip", inch("6"), guide="fence")
    for _ in range(30):
        near, strip = sheet.cut(strip, "crosscut", inch("1"), guide="stop")
        sheet.become(near, "part", "runner", turned=True)
    at = sheet.pieces[rest].width - inch("1") - kerf
    rest, strip = sheet.cut(rest, "rip", at, guide="fence", from_="high")
    sheet.become(rest, "offcut")
    for _ in range(20):
        near, strip = sheet.cut(strip, "crosscut", inch("1 1/2"), guide="stop")
        sheet.become(near, "part", "tab")
    board = Cutting(
        "B1",
        "maple",
        "board",
        PlanStock(
            name="1x8",
            length=inch("72"),
            width=inch("7 1/4"),
            thickness=inch("3/4"),
            grain="length",
            origin="rack",
            tag="K2",
        ),
        kerf,
        section="1x8",
    )
    rest = "B1"
    for _ in range(2):
        near, rest = board.cut(rest, "crosscut", inch("30"), guide="stop")
        lower, upper = board.cut(
            near, "resaw", 5 * INCH // 16, guide="height", saw="band saw"
        )
        board.become(lower, "part", "slat")
        board.become(upper, "part", "slat")
    glued = Cutting(
        "G1",
        "maple",
        "glueup",
        PlanStock(
            name="lid glue-up",
            length=inch("30"),
            width=inch("14 1/2"),
            thickness=inch("5/16"),
            grain="length",
            origin="shop",
            from_=(("B1", "B1.3"), ("B1", "B1.4")),
        ),
        kerf,
    )
    _, rest = glued.cut("G1", "rip", 0, guide="line", purpose="trim")
    near, _ = glued.cut(rest, "rip", inch("13"), guide="fence")
    near, _ = glued.cut(near, "crosscut", inch("28"), guide="stop", purpose="size")
    glued.become(near, "part", "lid")
    return _plan(PlanJob(name="Chest", unit="inch"), [sheet, board, glued], blanks)


@pytest.fixture(scope="session")
def bench() -> Plan:
    """Return the bench in inches."""
    return hall_bench()


@pytest.fixture(scope="session")
def unit() -> Plan:
    """Return the wall unit in millimetres."""
    return wall_unit()


@pytest.fixture(name="chest", scope="session")
def _chest() -> Plan:
    """Return the chest."""
    return chest()


@pytest.fixture(params=["bench", "unit", "chest"], scope="session")
def plan(request: pytest.FixtureRequest) -> Plan:
    """Return each of the plans in turn."""
    return {"bench": hall_bench, "unit": wall_unit, "chest": chest}[request.param]()
