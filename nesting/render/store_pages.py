"""The page for the store: what to buy, which pieces to pick, what else would do."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.errors import InputError
from nesting.model.carried import sawn_at_store
from nesting.model.quantities import (
    board_feet,
    hardwood_board_feet,
    kilograms,
    linear_feet,
    section_board_feet,
    square_feet,
    weight_pounds,
    write_decimal,
)
from nesting.render.flow import TICK_BOX, Column, Flow, Row
from nesting.render.page import upright
from nesting.render.style import STYLE
from nesting.trade.hardwood import rough_thickness
from nesting.trade.lumber import nominal_section
from nesting.trade.panels import DENSITIES
from nesting.units import TICKS_PER_MM, Unit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from nesting.model.carried import Sawn
    from nesting.model.plan import (
        Alternative,
        Layout,
        Offer,
        Plan,
        PlanHardware,
        Purchase,
    )
    from nesting.render.page import Paper
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

_COLUMNS = (
    Column(title="", share=8, align="centre"),
    Column(title="stock", share=58),
    Column(title="qty", share=12, align="right", bold=True),
    Column(title="each", share=20, align="right"),
    Column(title="cost", share=22, align="right"),
    Column(title="measure", share=34, align="right"),
    Column(title="price of it", share=34, align="right"),
    Column(title="weight", share=22, align="right"),
)
_OTHER_COLUMNS = (
    Column(title="if there is no", share=52),
    Column(title="take instead", share=110),
    Column(title="more", share=24, align="right"),
)
_SQUARE_METRE = (1000 * TICKS_PER_MM) ** 2
_CUBIC_METRE = (1000 * TICKS_PER_MM) ** 3


def store_pages(plan: Plan, wording: Wording, paper: Paper) -> list[Recorder]:
    """Return the page for the store, or more; none where nothing is bought."""
    if not plan.purchases:
        return []
    flow = Flow(
        shape=upright(paper),
        title="What to buy",
        again="What to buy, continued",
        below=f"{plan.job.name}. Take this page to the store; sizes in {wording.unit}.",
    )
    offers = {offer.id: offer for offer in plan.offers}
    flow.table(
        _COLUMNS,
        [
            *(_row(line, offers.get(line.stock), wording) for line in plan.purchases),
            *(_hardware(line, wording) for line in plan.hardware),
        ],
        least_height=STYLE.tick_box + 1,
    )
    flow.paragraph(_sum(plan, offers, wording), bold=True, about="store total")
    flow.paragraph(_note(plan, offers, wording), size=STYLE.note_text)
    _write_sawn(flow, plan, wording)
    picks = list(_picks(plan, wording))
    if picks:
        flow.heading("Which pieces to pick")
        for words in picks:
            flow.paragraph(words, mark=TICK_BOX, about="pick")
    if plan.advice.alternatives:
        flow.heading("If something is not there today")
        rows = [_other(other, plan, wording) for other in plan.advice.alternatives]
        flow.table(_OTHER_COLUMNS, rows, least_height=5.2)
        known = {other.missing for other in plan.advice.alternatives}
        late = [line.stock for line in plan.purchases if line.stock not in known]
        if late:
            names = ", ".join(late)
            flow.paragraph(f"No time was left to look for: {names}.", about="late")
        flow.paragraph(
            "One line at a time, for all parts of that material together; plan again "
            "with what you bring home.",
            size=STYLE.note_text,
        )
    _write_rack(flow, plan, wording)
    _write_spares(flow, plan, wording)
    return flow.pages


def _write_sawn(flow: Flow, plan: Plan, wording: Wording) -> None:
    """Write what has to be sawn before it is carried home."""
    sawn = sawn_at_store(plan)
    if not sawn:
        return
    flow.heading("Have it sawn there")
    for each in sawn:
        words = f"{each.qty} × {each.stock}: {_places(each, wording)}"
        flow.paragraph(words, mark=TICK_BOX, about="sawn")
    lumber = any(each.places for each in sawn)
    if lumber and plan.shop.haul is not None:
        flow.paragraph(
            f"No piece longer than {wording.size(plan.shop.haul)} is carried home. The "
            "new ends are trimmed in the shop; mark the end that was measured from.",
            size=STYLE.note_text,
        )
    most = plan.shop.haul_sheet
    if any(each.cuts for each in sawn) and most is not None:
        size = f"{wording.size(most.length)} × {wording.size(most.width)}"
        flow.paragraph(
            f"No piece of a sheet larger than {size} is carried home. The new edges "
            "are trimmed in the shop; mark the corner that was measured from.",
            size=STYLE.note_text,
        )


def _places(sawn: Sawn, wording: Wording) -> str:
    """Return where stock is cut at the store: lumber at places, sheets cut by cut."""
    if sawn.places:
        places = " and ".join(wording.size(place) for place in sawn.places)
        return f"at {places} from one end"
    said = []
    for number, cut in enumerate(sawn.cuts):
        of = f"{wording.size(cut.length)} × {wording.size(cut.width)}"
        side = "across, at" if cut.is_across else "along, at"
        edge = "the left end" if cut.is_across else "the front edge"
        what = f"the {of} " if number else ""
        said.append(f"{what}{side} {wording.size(cut.at)} from {edge}")
    pieces = Counter(
        f"{wording.size(length)} × {wording.size(width)}"
        for length, width in sawn.pieces
    )
    home = ", ".join(
        size if count == 1 else f"{count} of {size}" for size, count in pieces.items()
    )
    return f"{'; then '.join(said)}. Home come {home}"


def _row(line: Purchase, offer: Offer | None, wording: Wording) -> Row:
    each = None if line.cost_cents is None else line.cost_cents // line.qty
    prices = (wording.money(each), wording.money(line.cost_cents))
    cells = (TICK_BOX, line.stock, str(line.qty), *prices)
    if offer is None:
        return Row(cells=(*cells, "", "", ""), about="store")
    measure, unit = _measure(offer, wording)
    price = ""
    if line.cost_cents is not None:
        cents = round(Fraction(line.cost_cents, line.qty) / measure)
        price = f"{wording.money(cents)} a {unit}"
    return Row(
        cells=(
            *cells,
            f"{write_decimal(measure * line.qty, 2)} {unit}",
            price,
            _weight(_pounds(offer) * line.qty, wording),
        ),
        about="store",
    )


def _hardware(line: PlanHardware, wording: Wording) -> Row:
    each = None if line.cost_cents is None else line.cost_cents // line.qty
    prices = (wording.money(each), wording.money(line.cost_cents))
    cells = (TICK_BOX, line.name, str(line.qty), *prices, "", line.note, "")
    return Row(cells=cells, about="store hardware")


def _measure(offer: Offer, wording: Wording) -> tuple[Fraction, str]:
    """Return how much one piece is, and in what it is sold.

    Softwood by its nominal size; a section of the maker's own as hardwood is measured:
    width with its fraction, whole feet, to the nearest foot, by the rough thickness.
    """
    inch = wording.display.unit is Unit.INCH
    if offer.form == "sheet":
        if inch:
            return square_feet(offer.length, offer.width), "ft²"
        return Fraction(offer.length * offer.width, _SQUARE_METRE), "m²"
    if not inch:
        volume = offer.length * offer.width * offer.thickness
        return Fraction(1000 * volume, _CUBIC_METRE), "dm³"
    try:
        return section_board_feet(nominal_section(offer.section), offer.length), "bd ft"
    except InputError:
        rough = rough_thickness(offer.thickness)
        feet = hardwood_board_feet(rough, offer.width, offer.length)
        return feet or board_feet(rough, offer.width, offer.length), "bd ft"


def _pounds(offer: Offer) -> Fraction:
    material = "plywood" if offer.form == "sheet" else "southern pine"
    size = (offer.length, offer.width, offer.thickness)
    return weight_pounds(*size, DENSITIES[material])


def _weight(pounds: Fraction, wording: Wording) -> str:
    if wording.display.unit is Unit.INCH:
        return f"{round(pounds)} lb"
    return f"{round(kilograms(pounds))} kg"


def _note(plan: Plan, offers: dict[str, Offer], wording: Wording) -> str:
    """Return what the measures of the table rest on."""
    forms = {offers[p.stock].form for p in plan.purchases if p.stock in offers}
    note = (
        "Weights are from usual densities (plywood 36, lumber 38 lb/ft³), for the way "
        "home only."
    )
    if wording.display.unit is Unit.INCH and forms - {"sheet"}:
        note = (
            "Board feet by nominal size; of sections of your own by surface measure "
            f"and rough thickness. {note}"
        )
    return note


def _sum(plan: Plan, offers: dict[str, Offer], wording: Wording) -> str:
    """Return the sums: money, running length, measure, weight, glue."""
    bought = [(offers[p.stock], p.qty) for p in plan.purchases if p.stock in offers]
    pounds = sum((_pounds(offer) * qty for offer, qty in bought), Fraction())
    said = f"In all {wording.money(plan.totals.cost_cents)}; {_weight(pounds, wording)}"
    lengths = [offer.length * qty for offer, qty in bought if offer.form != "sheet"]
    if lengths and wording.display.unit is Unit.INCH:
        said += f"; {write_decimal(linear_feet(lengths), 1)} running feet of lumber"
    elif lengths:
        metres = Fraction(sum(lengths), 1000 * TICKS_PER_MM)
        said += f"; {write_decimal(metres, 1)} m of lumber"
    glue = glue_area(plan)
    if glue and wording.display.unit is Unit.INCH:
        said += f"; glue for {write_decimal(square_feet(glue, 1), 1)} ft² of joints"
    elif glue:
        metres = Fraction(glue, _SQUARE_METRE)
        said += f"; glue for {write_decimal(metres, 2)} m² of joints"
    return said + "."


def glue_area(plan: Plan) -> int:
    """Return the area of all glue lines of the routes, in square ticks.

    Each piece after the first adds a line as long as it is: a ply over the width, any
    other (a strip on edge too, and the edging of a panel) over the thickness.
    """
    kinds = {build.id: build.kind for need in plan.needs for build in need.builds}
    total = 0
    for route in plan.routes:
        are_plies = kinds.get(route.build) == "laminated"
        lengths: dict[str, int] = {}
        for done in route.operations:
            glued = [
                lengths[take.blank] for take in done.takes for _ in range(take.count)
            ]
            high = done.width if are_plies else done.thickness
            total += route.qty * sum(glued[1:]) * high
            lengths[done.of] = done.length
    return total


def _picks(plan: Plan, wording: Wording) -> Iterator[str]:
    """Yield for each kind of board which of its pieces must be straight, or clear."""
    groups: dict[str, list[Layout]] = {}
    for layout in plan.layouts:
        if layout.form != "sheet" and layout.stock.origin == "store":
            groups.setdefault(layout.stock.name, []).append(layout)
    for name, layouts in groups.items():
        rips = [rip for layout in layouts if (rip := _longest_rip(layout))]
        longest = [_longest_part(layout) for layout in layouts]
        clear = max(longest)
        over = sum(length == clear[0] for length, _ in longest)
        wide = max(p.width for lay in layouts for p in lay.pieces if p.fate == "part")
        words = f"{len(layouts)} × {name}: "
        if rips:
            words += f"{_of(len(rips), layouts)}straight, ripped up to "
            words += f"{wording.size(max(rips))} long at once; "
        words += f"{_of(over, layouts)}clear over {wording.size(*clear)}"
        shorter = [length for length, _ in longest if length < clear[0]]
        if shorter:
            words += f", the rest over up to {wording.size(max(shorter))}"
        if wide > clear[1]:
            words += f"; parts up to {wording.size(wide)} wide"
        faultless = [size for lay in layouts if (size := _clear_part(lay, wording))]
        if faultless:
            words += f"; {_of(len(faultless), layouts)}without any blemish over "
            words += wording.size(*max(faultless))
        yield words


def _of(count: int, layouts: Sequence[Layout]) -> str:
    """Return how many of some boards, before what they must be."""
    if len(layouts) == 1:
        return ""
    return "all " if count == len(layouts) else f"{count} "


def _longest_part(layout: Layout) -> tuple[int, int]:
    """Return length and width of the longest part, the widest of those."""
    return max((p.length, p.width) for p in layout.pieces if p.fate == "part")


def _clear_part(layout: Layout, wording: Wording) -> tuple[int, int] | None:
    """Return the size of the longest part that is to be clear, if there is one."""
    return max(
        (
            (piece.length, piece.width)
            for piece in layout.pieces
            if piece.blank in wording.blanks and wording.blanks[piece.blank].clear
        ),
        default=None,
    )


def _longest_rip(layout: Layout) -> int:
    """Return how long the longest piece is that is ripped or resawn."""
    lengths = {piece.id: piece.length for piece in layout.pieces}
    return max(
        (lengths[cut.piece] for cut in layout.cuts if cut.plane != "crosscut"),
        default=0,
    )


def _other(other: Alternative, plan: Plan, wording: Wording) -> Row:
    """Return what to take, as a change of the shopping list."""
    before = {p.stock: p.qty for p in plan.purchases if p.material == other.material}
    after = {line.stock: line.qty for line in other.instead}
    more = {name: qty - before.get(name, 0) for name, qty in after.items()}
    less = {name: qty - after.get(name, 0) for name, qty in before.items()}
    takes = " + ".join(f"{n}\u00a0× {name}" for name, n in more.items() if n > 0)
    leaves = " and ".join(f"{n}\u00a0× {name}" for name, n in less.items() if n > 0)
    words = f"{takes or 'nothing more'}, in place of {leaves}"
    if other.unplaced:
        pieces = "piece" if other.unplaced == 1 else "pieces"
        words = f"nothing else does: {other.unplaced} {pieces} cannot be cut"
    cost = ""
    if not other.unplaced and other.more_cents is not None:
        sign = "" if other.more_cents < 0 else "+ "
        cost = f"{sign}{wording.money(other.more_cents)}"
    return Row(cells=(other.missing, words, cost), about="alternative")


def _write_rack(flow: Flow, plan: Plan, wording: Wording) -> None:
    if not plan.advice.rack:
        return
    flow.heading("What the rack saves")
    for saving in plan.advice.rack:
        pieces = "piece" if saving.pieces == 1 else "pieces"
        words = f"{saving.material}: {saving.pieces} {pieces} you own"
        if saving.unplaced:
            words += " hold what no stock of the store does."
        elif saving.saved_cents is not None:
            saved = wording.money(max(0, saving.saved_cents))
            words += f" save {saved} at the store."
        flow.paragraph(words, mark="–", about="rack saving")


def _write_spares(flow: Flow, plan: Plan, wording: Wording) -> None:
    if not plan.advice.spares:
        return
    flow.heading("Spares, if you want safety; in no total")
    for spare in plan.advice.spares:
        words = f"{spare.qty} × {spare.stock}"
        if spare.cost_cents is not None:
            words += f", {wording.money(spare.cost_cents)}"
        flow.paragraph(words, mark=TICK_BOX, about="spare")
