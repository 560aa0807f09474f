"""Puts scenes on paper: PDF, SVG and PNG through matplotlib's back ends.

A player is dumb: it turns each primitive into calls of the back end and decides
nothing. The files hold no date and no path, so that equal scenes give equal bytes.
"""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any, cast

from nesting.render.fonts import font_path
from nesting.render.scene import (
    Arrow,
    Hatch,
    Line,
    Pen,
    Point,
    Polygon,
    Primitive,
    Rect,
    Scene,
    Text,
    hatch_lines,
)
from nesting.render.style import POINT

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.backend_bases import GraphicsContextBase, RendererBase
    from matplotlib.figure import Figure

_SETTINGS = {
    "pdf.fonttype": 42,
    "pdf.compression": 6,
    "pdf.use14corefonts": False,
    "svg.fonttype": "path",
    "svg.hashsalt": "nesting",
    "path.simplify": False,
    "text.usetex": False,
}
_PROGRAM = "nesting"
_MM_PER_INCH = 25.4


def play_pdf(scenes: Sequence[Scene], title: str) -> bytes:
    """Return a PDF with a page for each scene, fonts embedded."""
    import matplotlib
    from matplotlib.backends.backend_pdf import PdfPages

    target = io.BytesIO()
    about = {
        "Title": title,
        "Creator": _PROGRAM,
        "Producer": _PROGRAM,
        "CreationDate": None,
    }
    # The class takes any binary file, and its metadata may be None; its stub says less.
    with (
        matplotlib.rc_context(cast("Any", _SETTINGS)),
        PdfPages(cast("Any", target), metadata=cast("Any", about)) as pages,
    ):
        for scene in scenes:
            pages.savefig(_figure(scene))
    return target.getvalue()


def play_svg(scene: Scene) -> bytes:
    """Return an SVG of one scene, its letters as outlines."""
    import matplotlib

    target = io.BytesIO()
    about = {"Title": scene.title, "Creator": _PROGRAM, "Date": None}
    with matplotlib.rc_context(cast("Any", _SETTINGS)):
        _figure(scene).savefig(target, format="svg", metadata=cast("Any", about))
    return target.getvalue()


def play_png(scene: Scene, dots_per_inch: int) -> bytes:
    """Return a PNG of one scene."""
    import matplotlib

    target = io.BytesIO()
    about = {"Title": scene.title, "Software": _PROGRAM}
    with matplotlib.rc_context(cast("Any", _SETTINGS)):
        _figure(scene).savefig(
            target, format="png", dpi=dots_per_inch, metadata=cast("Any", about)
        )
    return target.getvalue()


def _figure(scene: Scene) -> Figure:
    """Return a figure of the scene's size with one artist that plays it."""
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

    class ScenePlayer(Artist):
        """Draws the primitives one by one."""

        def draw(self, renderer: RendererBase) -> None:
            _play(scene, renderer)

    inches = scene.width / _MM_PER_INCH, scene.height / _MM_PER_INCH
    figure = Figure(figsize=inches, facecolor="white")
    figure.add_artist(ScenePlayer())
    return figure


def _play(scene: Scene, renderer: RendererBase) -> None:
    """Draw every primitive of a scene on a back end."""
    from matplotlib.font_manager import FontProperties

    fonts = {
        (bold, size): FontProperties(fname=str(font_path(bold=bold)), size=size)
        for bold, size in {(text.bold, text.size) for text in scene.texts}
    }
    dots = cast("float", renderer.points_to_pixels(1)) / POINT
    canvas_height = scene.height * dots
    for item in scene.items:
        if isinstance(item, Text):
            context = _context(renderer, Pen(0))
            y = item.y * dots
            renderer.draw_text(
                context,
                item.x * dots,
                canvas_height - y if renderer.flipy() else y,
                item.words,
                fonts[item.bold, item.size],
                item.angle,
            )
            context.restore()
        else:
            _play_shape(item, renderer, dots)


def _play_shape(item: Primitive, renderer: RendererBase, dots: float) -> None:
    """Draw a primitive that is not a text."""
    match item:
        case Line(start=start, end=end, pen=pen):
            _stroke(renderer, dots, ((start, end),), pen)
        case Hatch(box=box, style=style, pen=pen):
            _stroke(renderer, dots, hatch_lines(box, style), pen)
        case Rect(box=box):
            corners = (
                (box.x, box.y),
                (box.right, box.y),
                (box.right, box.top),
                (box.x, box.top),
            )
            _area(renderer, dots, corners, item.pen, item.grey)
        case Polygon(points=points):
            _area(renderer, dots, points, item.pen, item.grey)
        case Arrow(start=start, end=end, pen=pen):
            _stroke(renderer, dots, ((start, end),), pen)
            _area(renderer, dots, _head(start, end, item.head), None, 0)
            if item.both:
                _area(renderer, dots, _head(end, start, item.head), None, 0)


def _context(renderer: RendererBase, pen: Pen) -> GraphicsContextBase:
    """Return a black graphics context for a pen."""
    context = renderer.new_gc()
    context.set_foreground((0, 0, 0, 1), isRGBA=True)
    context.set_linewidth(pen.weight / POINT)
    context.set_capstyle("butt")
    context.set_joinstyle("miter")
    if pen.dashes:
        context.set_dashes(0, [dash / POINT for dash in pen.dashes])
    return context


def _stroke(
    renderer: RendererBase,
    dots: float,
    lines: Iterable[tuple[Point, Point]],
    pen: Pen,
) -> None:
    """Draw lines as one path."""
    from matplotlib.path import Path
    from matplotlib.transforms import Affine2D

    points = [point for line in lines for point in line]
    if not points:
        return
    codes = [Path.MOVETO, Path.LINETO] * (len(points) // 2)
    context = _context(renderer, pen)
    renderer.draw_path(context, Path(points, codes), Affine2D().scale(dots))
    context.restore()


def _area(
    renderer: RendererBase,
    dots: float,
    points: Sequence[Point],
    pen: Pen | None,
    grey: float | None,
) -> None:
    """Draw a closed polygon."""
    from matplotlib.path import Path
    from matplotlib.transforms import Affine2D

    path = Path([*points, points[0]], closed=True)
    context = _context(renderer, pen or Pen(0))
    fill = None if grey is None else (grey, grey, grey, 1.0)
    renderer.draw_path(context, path, Affine2D().scale(dots), fill)
    context.restore()


def _head(start: Point, end: Point, length: float) -> tuple[Point, ...]:
    """Return the triangle of an arrow's head at the end of a line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    run = math.hypot(dx, dy) or 1.0
    ux, uy = dx / run * length, dy / run * length
    back = end[0] - ux, end[1] - uy
    return (
        end,
        (back[0] - uy / 6, back[1] + ux / 6),
        (back[0] + uy / 6, back[1] - ux / 6),
    )
