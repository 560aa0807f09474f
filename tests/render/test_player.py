"""Tests of the files: PDF, SVG, PNG."""

import hashlib
import re
import subprocess
import sys
import zlib
from xml.etree import ElementTree as ET

import pytest

from nesting.model.plan import Plan
from nesting.render import A4, LETTER, compose, draw_pdf, draw_png, draw_svg
from nesting.render.player import play_pdf
from nesting.render.scene import Box, Recorder

POINTS = 72 / 25.4

ALONE = """
import hashlib, sys
from nesting.render.player import play_pdf, play_svg
from nesting.render.scene import Box, Recorder
page = Recorder(width=100, height=80, title="one")
page.text("Drawer front × 2 – Größe", (10, 40), 9)
page.text("scrap", (10, 20), 9, bold=True)
page.rect(Box(5, 5, 60, 60), 0.3)
scene = page.scene()
print(hashlib.sha256(play_pdf([scene, scene], "two")).hexdigest())
print(hashlib.sha256(play_svg(scene)).hexdigest())
"""


@pytest.fixture(scope="module")
def pdf(bench: Plan) -> bytes:
    """Return the bench on letter paper."""
    return draw_pdf(bench, LETTER)


def streams(pdf: bytes) -> list[bytes]:
    """Return the unpacked streams of a PDF."""
    found = []
    for packed in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            found.append(zlib.decompress(packed))
        except zlib.error:
            found.append(packed)
    return found


def test_two_runs_give_the_same_bytes(bench: Plan, pdf: bytes) -> None:
    """Drawing a plan twice gives one and the same file."""
    assert draw_pdf(bench, LETTER) == pdf
    assert draw_svg(bench, "S1") == draw_svg(bench, "S1")


def test_bytes_do_not_depend_on_the_process() -> None:
    """Processes with other hash seeds and time zones write the same files."""
    digests = {
        subprocess.run(
            [sys.executable, "-c", ALONE],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "TZ": zone, "PATH": ""},
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    }
    assert len(digests) == 1


def test_no_date_and_no_path_in_the_file(pdf: bytes) -> None:
    """The PDF says who made it, not when or where."""
    assert b"CreationDate" not in pdf
    assert b"/home" not in pdf
    assert b"/Title (Hall bench with drawers)" in pdf


def test_pages_have_the_size_of_the_paper(unit: Plan) -> None:
    """The media box of every page is the scene's size in points."""
    pdf = draw_pdf(unit, A4)
    boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
    sizes = [(float(width), float(height)) for width, height in boxes]
    wanted = [(s.width * POINTS, s.height * POINTS) for s in compose(unit, A4)]
    assert len(sizes) == len(wanted)
    for size, want in zip(sorted(sizes), sorted(wanted), strict=True):
        assert size == pytest.approx(want, abs=0.01)


def test_fonts_are_embedded_as_truetype(pdf: bytes) -> None:
    """Every font of the PDF is TrueType and carries its own file."""
    assert b"/FontFile2" in pdf
    assert b"/CIDFontType2" in pdf
    assert b"/Type3" not in pdf
    names = set(re.findall(rb"/FontName /([A-Za-z+-]+)", pdf))
    assert {name.partition(b"+")[2] for name in names} == {
        b"DejaVuSans",
        b"DejaVuSans-Bold",
    }


def test_drawing_is_black_and_white(pdf: bytes) -> None:
    """No stream of the PDF sets a colour: only greys, and only black and white."""
    setters = re.compile(rb"([\d. ]+) (rg|RG|g|G)\b")
    seen = set()
    for stream in streams(pdf):
        for values, _ in setters.findall(stream):
            seen.add(tuple(float(value) for value in values.split()))
    assert seen
    assert all(set(values) in ({0.0}, {1.0}) for values in seen)


def test_lines_land_where_the_scene_has_them() -> None:
    """A line from (10, 20) to (60, 20) mm is drawn at those points of the page."""
    page = Recorder(width=100, height=80)
    page.line((10, 20), (60, 20), 0.5)
    pdf = play_pdf([page.scene()], "one line")
    content = b"\n".join(streams(pdf))
    moves = re.findall(rb"([\d.]+) ([\d.]+) ([ml])\b", content)
    points = {(round(float(x), 2), round(float(y), 2)) for x, y, _ in moves}
    wanted = {(round(x * POINTS, 2), round(20 * POINTS, 2)) for x in (10, 60)}
    assert wanted <= points
    widths = [float(width) for width in re.findall(rb"([\d.]+) w\b", content)]
    assert pytest.approx(0.5 * POINTS) in widths


def test_svg_is_sound_and_of_the_asked_width(bench: Plan) -> None:
    """The SVG parses, and its width is the one asked for, in points."""
    root = ET.fromstring(draw_svg(bench, "S4", width=150))
    assert root.tag.endswith("svg")
    assert float(root.attrib["width"].removesuffix("pt")) == pytest.approx(
        150 * POINTS, abs=0.01
    )


def test_png_has_the_asked_resolution(bench: Plan) -> None:
    """A PNG 127 mm wide at 100 dots an inch has 500 dots."""
    png = draw_png(bench, "S1", width=127, dots_per_inch=100)
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(png[16:20], "big") == 500


def test_matplotlib_loads_only_to_draw() -> None:
    """Importing the room does not import matplotlib."""
    code = (
        "import sys, nesting.render; "
        "print(any(name.startswith('matplotlib') for name in sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "False"


def test_many_primitives_survive_each_player() -> None:
    """An empty scene and one with every kind of primitive can be played."""
    empty = Recorder(width=50, height=50).scene()
    assert hashlib.sha256(play_pdf([empty], "empty")).hexdigest()
    page = Recorder(width=50, height=50)
    page.ring(Box(5, 5, 9, 3.5), 0.2)
    page.text("up", (20, 20), 8, angle=90)
    assert len(play_pdf([page.scene()], "some")) > len(play_pdf([empty], "empty"))
