"""What stands above a layout: which of how many it is, and where its stock is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.render.groups import write_steps

if TYPE_CHECKING:
    from nesting.render.groups import Group
    from nesting.render.wording import Wording


def layout_title(group: Group, wording: Wording) -> str:
    """Return the title: ``Sheet 2 of 3: birch ply 96 × 48 × 1/2``.

    Of copies it says how many: ``Sheets 1–3 of 5 (3 × alike): ...``.
    """
    form = wording.form(group.layout).capitalize()
    count = len(group.layouts)
    numbers = f"{write_steps(group.numbers)} of {group.total}"
    if count > 1:
        form, numbers = f"{form}s", f"{numbers} ({count} × alike)"
    return f"{form} {numbers}: {wording.stock(group.layout)}"


def tagged(name: str, tag: str | None) -> str:
    """Return the name of a piece with its tag, said once."""
    return name if not tag or tag in name else f"{name}, tag {tag}"


def layout_origin(group: Group, wording: Wording) -> str:
    """Return the ids of the copies and where their stock comes from."""
    ids = ", ".join(layout.id for layout in group.layouts)
    layout = group.layout
    stock = layout.stock
    tag = f", tag {stock.tag}" if stock.tag else ""
    # Names made from material and size say nothing that the title does not.
    name = "" if stock.name.startswith(layout.material) else f" as {stock.name}"
    match stock.origin:
        case "store":
            origin = f"to buy{name}"
            if any(cut.purpose == "haul" for cut in layout.cuts):
                origin += ", and cut there before it is carried home"
        case "rack":
            origin = f"from the rack{name}{tag}"
        case "bench":
            origin = f"half cut, on the bench{name}{tag}"
        case _:
            origin = f"{stock.name}{tag}"
    if stock.from_:
        pieces = ", ".join(wording.made_of(lay, piece) for lay, piece in stock.from_)
        origin = f"glued up from {pieces}"
    word = "Layouts" if len(group.layouts) > 1 else "Layout"
    return f"{word} {ids}, {origin}."
