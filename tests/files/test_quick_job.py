"""Bare part lists, with materials in a notation of one line."""

import pytest

from nesting.errors import InputError
from nesting.files import quick_job
from nesting.model.job import MaterialKind
from nesting.model.stock import Edges
from nesting.model.terms import Origin
from nesting.units import Unit, read_length


@pytest.fixture
def parts(tmp_path):
    """A small part list of a sheet and of a stick."""
    path = tmp_path / "foot stool.csv"
    path.write_text(
        "part,qty,material,length,width\n"
        "top,1,birch ply,16,11 1/4\n"
        "leg,4,pine,10,3 1/2\n"
    )
    return path


SHEET = "birch ply = 96 x 48 x 23/32 @ 62.50"
STICK = "pine 2x4 = 96 @ 4.85, 120 @ 6.40"


def inches(text):
    """Return a length in inches as ticks."""
    return read_length(text, Unit.INCH)


def refusal(parts, **options):
    """Return the message of a job that is refused."""
    with pytest.raises(InputError) as caught:
        quick_job(parts, **options)
    return str(caught.value)


def test_sheets_and_sticks(parts):
    """Options give the materials, the part list the parts, the file the name."""
    job = quick_job(parts, sheets=[SHEET], sticks=[STICK])
    ply, pine = job.materials
    assert (job.name, job.display.unit) == ("foot stool", Unit.INCH)
    assert (ply.name, ply.kind, ply.thickness) == (
        *("birch ply", MaterialKind.SHEET),
        inches("23/32"),
    )
    assert [(s.id, s.price_cents) for s in (*ply.stock, *pine.stock)] == [
        ("birch ply 96 x 48 in", 6250),
        ("pine 2x4 x 96 in", 485),
        ("pine 2x4 x 120 in", 640),
    ]
    # American Softwood Lumber Standard, PS 20: a dry 2x4 is dressed to 1 1/2 x 3 1/2
    assert (pine.sections[0].thickness, pine.sections[0].width) == (
        inches("1 1/2"),
        inches("3 1/2"),
    )
    assert [(p.name, p.section) for p in job.parts] == [("top", None), ("leg", "2x4")]


@pytest.mark.parametrize(
    "text",
    [
        "birch ply=96x48x23/32@62.5",
        "Birch  Ply = 8' × 4' x 23/32\" @ 62,50",
        "birch ply = 2438.4 mm x 1219.2 mm x 23/32 in @ 62.50",
    ],
)
def test_blanks_signs_and_units_are_free(parts, text):
    """A sheet may be written closely or widely, and each size with its unit."""
    (stock,) = quick_job(parts, sheets=[text], sticks=[STICK]).materials[0].stock
    sizes = (stock.length, stock.width, stock.thickness)
    assert sizes == (inches("96"), inches("48"), inches("23/32"))
    assert stock.price_cents == 6250


def test_options_of_one_name_are_one_material(parts):
    """Sizes of one material may come in several options, bought and owned."""
    more = ["BIRCH PLY = 31 x 20 x 23/32 own 2", "birch ply = 60 x 60 x 23/32 max 1"]
    text = parts.read_text().replace("width", "section,width")
    text = text.replace("16,", "16,,").replace("10,", "10,2x4,")
    parts.write_text(text)
    job = quick_job(parts, sheets=[SHEET, *more], sticks=[STICK, "pine 1x3 = 72; 96"])
    ply, pine = job.materials
    _, owned, limited = ply.stock
    assert (owned.origin, owned.limit, owned.price_cents) == (Origin.RACK, 2, 0)
    assert (limited.limit, limited.price_cents) == (1, None)
    assert [s.name for s in pine.sections] == ["2x4", "1x3"]
    assert len(pine.stock) == 4


def test_no_grain(parts):
    """A sheet may be said to have no grain."""
    job = quick_job(parts, sheets=[SHEET + " no grain"], sticks=[STICK])
    assert not job.materials[0].has_grain


def test_measured_sections(parts):
    """A section that is not nominal is given as it measures."""
    stick = "pine 13/16 x 5 1/2 actual = 96"
    (section,) = quick_job(parts, sheets=[SHEET], sticks=[stick]).materials[1].sections
    assert (section.thickness, section.width) == (inches("13/16"), inches("5 1/2"))


def test_metric_sections_are_measured_anyway(tmp_path):
    """In millimetres a section is what it says, but a 2x4 stays a 2x4."""
    path = tmp_path / "list.csv"
    path.write_text("part,qty,length,section\nrail,2,900,45x95\npost,2,900,2x4\n")
    sticks = ["pine 45x95 = 2400 @ 7.20", "pine 2x4 = 2440 @ 4.85"]
    job = quick_job(path, sticks=sticks, units="mm")
    metric, nominal = job.materials[0].sections
    assert (metric.thickness, metric.width) == (45 * 1600, 95 * 1600)
    assert nominal.width == inches("3 1/2")
    assert job.materials[0].stock[0].id == "pine 45 x 95 x 2400 mm"
    assert [part.section for part in job.parts] == ["45 x 95", "2x4"]


def test_kerf_and_trim(parts):
    """One kerf and one trim hold for all; without them the usual ones do."""
    job = quick_job(parts, sheets=[SHEET], sticks=[STICK], kerf="3/32", trim="1/4")
    assert {saw.kerf for saw in job.shop.saws} == {inches("3/32")}
    quarter = inches("1/4")
    ply, pine = (material.stock[0].trim for material in job.materials)
    assert ply == Edges(low_x=quarter, high_x=quarter, low_y=quarter, high_y=quarter)
    assert pine == Edges(low_x=quarter, high_x=quarter)
    usual = quick_job(parts, sheets=[SHEET], sticks=[STICK])
    # common practice: 1/8 in off the edges of sheets, 1 in off the ends of lumber
    trims = [material.stock[0].trim.low_x for material in usual.materials]
    assert trims == [inches("1/8"), inches("1")]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"sheets": ["birch ply 96 x 48 x 1/2"]}, ["sheet 1", "birch ply = 96 x 48"]),
        ({"sheets": ["birch ply = 96 x 48"]}, ["'96 x 48' is no length x width x"]),
        ({"sheets": ["birch ply = 96 x 48 x half"]}, ["'half'"]),
        ({"sheets": ["birch ply = 96 x 0 x 1/2"]}, ["more than zero"]),
        ({"sheets": ["birch ply = 96 x 48 x 1/2 @ dear"]}, ["'dear' is no price"]),
        ({"sheets": [SHEET, "birch ply = 48 x 48 x 1/2"]}, ["two thicknesses"]),
        ({"sheets": [SHEET + " own 1"]}, ["neither a price nor"]),
        ({"sheets": [SHEET + " max 1 max 2"]}, ["'max' is there twice"]),
        ({"sheets": [SHEET + " max many"]}, ["whole number", "'many'"]),
        ({"sheets": ["= 96 x 48 x 1/2"]}, ["cannot read"]),
        ({"sheets": ["birch ply = 9 x 9 x 1/2"], "trim": "5"}, ["trimmed to nothing"]),
        ({"sticks": ["pine = 96"]}, ["'pine' is no name and section"]),
        ({"sticks": ["pine 2x13 = 96"]}, ["not a softwood size", "add 'actual'"]),
        ({"sticks": ["pine 2x4 = 96,120 @ 4.85"]}, ["'96,120", "two ways"]),
        ({"sticks": ["pine 2x4 = 96, 120 @ 4.85"]}, ["some of the lengths"]),
        ({"sticks": [STICK + " no grain"]}, ["lumber always has a grain"]),
        ({"sticks": ["birch ply 2x4 = 96"], "sheets": [SHEET]}, ["a sheet and as"]),
        ({"kerf": "3.2"}, ["kerf", "81.28 mm"]),
        ({"trim": "-1"}, ["trim", "zero or more"]),
        ({"units": "cm"}, ["'cm' is no unit", "inch or mm"]),
        ({"fraction": 10}, ["10 parts"]),
        ({"sheets": ["p" * 500 + " = 1"]}, ["far too long"]),
        ({"sheets": ["b\x1b[2J = 9 x 9 x 1"]}, ["cannot be printed"]),
    ],
)
def test_faulty_options(parts, options, words):
    """A faulty option is told with what was read and how to write it."""
    sound = {"sheets": [SHEET], "sticks": [STICK]}
    told = refusal(parts, **{**sound, **options})
    first, *rest = told.splitlines()
    for word in words:
        assert word in first
    # where its name could not be read, its parts have no material either
    assert all("no material of this job" in line for line in rest)


def test_nothing_to_cut_from(parts):
    """Without sheet or stick the message shows how both are written."""
    told = refusal(parts)
    assert "birch ply = 96 x 48" in told
    assert "pine 2x4 = 96" in told


def test_faults_of_options_and_list_come_together(parts):
    """Options and the part list are told in one go."""
    parts.write_text("part,qty,material,length\nleg,four,pine,10\nleg,4,elm,10\n")
    told = refusal(parts, sheets=["ply = 96"], sticks=[STICK])
    assert len(told.splitlines()) == 4


def test_digest_covers_the_options(parts):
    """Another price is another input."""
    one = quick_job(parts, sheets=[SHEET], sticks=[STICK])
    other = quick_job(parts, sheets=[SHEET + " max 9"], sticks=[STICK])
    assert one.digest != other.digest
    assert one == quick_job(parts, sheets=[SHEET], sticks=[STICK])
