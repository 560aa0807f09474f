"""Jobs: everything a job folder can say, read into the model."""

import re
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from nesting.errors import InputError
from nesting.files import read_job
from nesting.files.part_table import COLUMNS
from nesting.model.job import Allowance, MaterialKind
from nesting.model.stock import Edges
from nesting.model.terms import Form, Grain, Guide, Origin, Place, Plane, ZoneKind
from nesting.trade.saws import SAWS, SawKind
from nesting.units import Unit, read_length

FULL = """
[job]
name = "Letter box"
units = "inch"
fraction = 32
currency = "EUR"
parts = "list.csv"
stages = "any"

[dimensions]
long = 40
deep = "9 1/2"
inside = "long - 2*birch_ply.t"
rail = 55

[numbers]
bays = 3

[[saw]]
kind = "Track Saw"
longest_cut = "rail"
place = "store"

[[saw]]
name = "old bench saw"
kind = "table saw"
kerf = "3/32"
cuts = ["rip", "crosscut", "resaw"]
widest_rip = 24
widest_crosscut = 20
tallest = "3 1/8"
smallest_piece = 0
crosscut_guide = "fence"

[[saw]]
name = "panel saw"
kerf = "3.2 mm"
cuts = ["rip"]

[materials."birch ply"]
kind = "sheet"
thickness = "0.703"
grain = "width"
trim = { left = "1/4", back = 0 }
allowance = { length = "1/2", width = "1/4" }
[[materials."birch ply".stock]]
length = 60
width = 60
price = 52
limit = 4
[[materials."birch ply".stock]]
length = "31"
width = "20 1/2"
owned = 1
tag = "A7"
trim = 0
[[materials."birch ply".stock]]
length = 60
width = 60
price = 49.5
name = "seconds"

[materials.mdf]
kind = "sheet"
thickness = "18 mm"
grain = "none"
[[materials.mdf.stock]]
length = 97
width = 49

[materials.ash]
kind = "lumber"
trim = { left = 2 }
[materials.ash.sections."5/4 board"]
thickness = "1 1/16"
width = "6 3/8"
[[materials.ash.stock]]
section = "5/4 board"
length = "7'"
price = 31.40
[[materials.ash.stock]]
section = "2 X 6"
lengths = { "8 ft" = 12.5, "10 ft" = 16 }
limit = 3
[[materials.ash.stock]]
section = "2x6"
lengths = [72, "100"]
owned = 2

[keep]
sheet = ["24 x 6 1/2"]
stick = 10

[[hardware]]
name = "hinge"
qty = 2
price = 3.25
note = "brass"

[[part]]
part = "lid"
qty = 1
material = "mdf"
length = "long/bays"
width = 9.5
"""
LIST = """\
part;qty;material;section;length;width;thickness;grain;extra_length;note
side;2;Birch-Ply;;deep;8,5;;width;1/8;"left
and right"
slat;5;ash;2x6;inside;;;;;
cleat;2;ash;;9;1 1/16;1;;;
"""


@pytest.fixture
def job(tmp_path):
    """A job that uses every key there is."""
    (tmp_path / "job.toml").write_text(FULL)
    (tmp_path / "list.csv").write_text(LIST)
    return read_job(tmp_path)


def inches(text):
    """Return a length in inches as ticks."""
    return read_length(text, Unit.INCH)


def test_head(job):
    """Name, units, money, stages and names of sizes are read."""
    assert (job.name, job.currency, job.stages) == ("Letter box", "EUR", None)
    assert (job.display.unit, job.display.denominator) == (Unit.INCH, 32)
    assert len(job.digest) == 64


def test_saws(job):
    """A saw is what the maker says, and for the rest what is usual for its kind."""
    track, bench, panel = job.shop.saws
    assert (track.name, track.kind, track.place) == (
        *("track saw", "track saw"),
        Place.STORE,
    )
    # common practice: 2.2 mm for the blade of a track saw
    assert (track.kerf, track.longest_cut) == (inches("2.2 mm"), inches("55"))
    assert track.planes == (Plane.RIP, Plane.CROSSCUT)
    assert (track.rip_guide, track.crosscut_guide) == (Guide.LINE, Guide.LINE)
    assert (bench.name, bench.kerf) == ("old bench saw", inches("3/32"))
    assert bench.planes == (Plane.RIP, Plane.CROSSCUT, Plane.RESAW)
    assert (bench.rip_guide, bench.crosscut_guide) == (Guide.FENCE, Guide.FENCE)
    assert (bench.widest_rip, bench.widest_crosscut) == (inches("24"), inches("20"))
    assert (bench.tallest, bench.smallest_piece) == (inches("3 1/8"), None)
    assert (panel.kind, panel.kerf, panel.planes) == (
        "",
        inches("3.2 mm"),
        (Plane.RIP,),
    )


def test_sheets(job):
    """A sheet has its measured thickness, grain, trims, allowance and stock."""
    ply = job.materials[0]
    assert (ply.name, ply.kind) == ("birch ply", MaterialKind.SHEET)
    assert ply.thickness == round(Fraction("0.703") * 40640)
    assert ply.allowance == Allowance(length=inches("1/2"), width=inches("1/4"))
    bought, owned, seconds = ply.stock
    assert (bought.id, bought.form, bought.grain) == (
        *("birch ply 60 x 60 in", Form.SHEET),
        Grain.WIDTH,
    )
    assert (bought.price_cents, bought.limit) == (5200, 4)
    # 1/8 in off each edge that is not named: common practice
    eighth = inches("1/8")
    assert bought.trim == Edges(
        low_x=inches("1/4"), high_x=eighth, low_y=eighth, high_y=0
    )
    assert owned.id == "birch ply 31 x 20 1/2 in, A7"
    assert (owned.origin, owned.price_cents, owned.limit) == (Origin.RACK, 0, 1)
    assert (owned.tag, owned.trim) == ("A7", Edges())
    assert (seconds.id, seconds.price_cents) == ("seconds", 4950)


def test_sheet_without_grain(job):
    """Where the grain does not matter, a part may be turned unless it says not."""
    mdf = job.materials[1]
    assert (mdf.has_grain, mdf.stock[0].grain) == (False, Grain.LENGTH)
    assert mdf.stock[0].price_cents is None
    (lid,) = [part for part in job.parts if part.name == "lid"]
    assert lid.grain is Grain.ANY


def test_lumber(job):
    """Lumber has measured and nominal sections, and lengths with their prices."""
    ash = job.materials[2]
    # American Softwood Lumber Standard, PS 20: a dry 2x6 is dressed to 1 1/2 x 5 1/2
    assert [(s.name, s.thickness, s.width) for s in ash.sections] == [
        ("5/4 board", inches("1 1/16"), inches("6 3/8")),
        ("2x6", inches("1 1/2"), inches("5 1/2")),
    ]
    assert [(s.id, s.price_cents, s.limit) for s in ash.stock] == [
        ("ash 5/4 board x 84 in", 3140, None),
        ("ash 2x6 x 96 in", 1250, 3),
        ("ash 2x6 x 120 in", 1600, 3),
        ("ash 2x6 x 72 in, owned", 0, 2),
        ("ash 2x6 x 100 in, owned", 0, 2),
    ]
    one = inches("1")  # common practice for the end that is not named
    assert {s.trim for s in ash.stock} == {Edges(low_x=inches("2"), high_x=one)}
    assert {s.form for s in ash.stock} == {Form.STICK}


def test_parts_of_both_lists(job):
    """Parts come from the CSV file first, then from the job file."""
    side, slat, cleat, lid = job.parts
    assert (side.quantity, side.material, side.line) == (2, "birch ply", 2)
    assert (side.length, side.width, side.thickness) == (
        *(inches("9 1/2"), inches("8 1/2")),
        None,
    )
    assert (side.grain, side.note) == (Grain.WIDTH, "left and right")
    assert side.allowance == Allowance(length=inches("1/8"))
    assert slat.length == inches("40") - 2 * round(Fraction("0.703") * 40640)
    assert (slat.section, slat.width, slat.line) == ("2x6", None, 4)
    assert (cleat.section, cleat.thickness) == (None, inches("1"))
    assert lid.length == 40 * 40640 // 3
    assert (lid.width, lid.allowance) == (inches("9.5"), Allowance())


def test_rests_and_hardware(job):
    """What is kept and what is bought beside the wood are read."""
    assert job.offcuts.sheet == ((inches("24"), inches("6 1/2")),)
    assert job.offcuts.stick == inches("10")
    (hinge,) = job.hardware
    assert (hinge.name, hinge.quantity, hinge.price_cents) == ("hinge", 2, 325)


SMALL = """
[job]
name = "Shelf"
units = "mm"
[materials.ply]
kind = "sheet"
thickness = 18
[[materials.ply.stock]]
length = 2440
width = 1220
"""


def small(folder, job=SMALL, parts="part,qty,length,width\nshelf,3,600,300\n"):
    """Write a small job and return it read."""
    (folder / "job.toml").write_text(job)
    (folder / "parts.csv").write_text(parts)
    return read_job(folder)


def test_defaults_of_a_small_job(tmp_path):
    """Where the maker says nothing, the trade's usual figures hold."""
    job = small(tmp_path)
    # teaching and common practice: 1/8 in kerfs, 12 in held at a table saw, 8 in at a
    # crosscut saw, rests kept from 24 x 6 or 12 x 12 in and from 12 in of a stick
    crosscut, table = job.shop.saws
    assert (crosscut.kerf, table.kerf) == (inches("1/8"), inches("1/8"))
    assert (crosscut.smallest_piece, table.smallest_piece) == (
        inches("8"),
        inches("12"),
    )
    assert (table.widest_rip, table.widest_crosscut) == (None, None)
    assert job.offcuts.sheet == (
        (inches("24"), inches("6")),
        (inches("12"), inches("12")),
    )
    assert job.offcuts.stick == inches("12")
    assert (job.stages, job.currency) == (4, "$")
    assert job.materials[0].stock[0].id == "ply 2440 x 1220 mm"


def test_only_material_goes_without_saying(tmp_path):
    """With a single material the part list needs no column for it."""
    (shelf,) = small(tmp_path).parts
    assert (shelf.material, shelf.length) == ("ply", 600 * 1600)


@pytest.mark.parametrize("name", ["", "job.toml"])
def test_folder_and_file_are_the_same_job(tmp_path, name):
    """A job may be named by its folder or by its file."""
    assert small(tmp_path) == read_job(tmp_path / name if name else str(tmp_path))


def test_digest_is_of_the_contents_only(tmp_path):
    """The digest changes with any byte of the files, and not with their place."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    first, second = small(tmp_path / "a"), small(tmp_path / "b")
    assert first.digest == second.digest
    assert first == second
    other = small(tmp_path / "b", job=SMALL + "# a remark\n")
    assert other.digest != first.digest


def test_nothing_is_kept_where_the_maker_says_so(tmp_path):
    """An empty list and a zero turn the keeping of rests off."""
    job = small(tmp_path, SMALL + "[keep]\nsheet = []\nstick = 0\n")
    assert (job.offcuts.sheet, job.offcuts.stick) == ((), None)


def test_same_stock_at_two_prices_gets_two_ids(tmp_path):
    """Two stocks of one size are told apart by their ids."""
    more = "[[materials.ply.stock]]\nlength = 2440\nwidth = 1220\nprice = 30\n"
    ids = [s.id for s in small(tmp_path, SMALL + more).materials[0].stock]
    assert ids == ["ply 2440 x 1220 mm", "ply 2440 x 1220 mm (2)"]


def test_faults_of_all_files_are_told_together(tmp_path):
    """Faults of the job file and of the part list come in one error."""
    with pytest.raises(InputError) as caught:
        small(
            tmp_path,
            SMALL.replace("2440", '"2440 furlongs"'),
            "part,qty,length,width\nshelf,none,600,300\nshelf,2,nine,300\n",
        )
    files = [Path(fault.path).name for fault in caught.value.faults]
    assert files == ["job.toml", "parts.csv", "parts.csv", "parts.csv"]


def test_bare_part_list_is_no_job(tmp_path):
    """A part list named as a job is told what it lacks."""
    (tmp_path / "parts.csv").write_text("part,qty,length,width\nshelf,3,600,300\n")
    with pytest.raises(InputError, match="without its materials"):
        read_job(tmp_path / "parts.csv")


@pytest.mark.parametrize("text", ["8.5", "8,5", "8 1/2"])
def test_decimals_and_fractions_agree(tmp_path, text):
    """However a size is written, it is the same size."""
    parts = f'part,qty,length,width\nshelf,3,"{text} in",300\n'
    (shelf,) = small(tmp_path, parts=parts).parts
    assert shelf.length == Decimal("8.5") * 40640


REFERENCE = Path(__file__).parents[2] / "docs" / "job-format.md"


def blocks(language):
    """Return the code blocks of a language in the reference."""
    return re.findall(rf"```{language}\n(.*?)```", REFERENCE.read_text(), re.DOTALL)


def test_example_of_the_reference_is_a_sound_job(tmp_path):
    """The example that makers copy from the reference reads as it stands."""
    (example,), (parts,) = blocks("toml"), blocks("csv")
    job = small(tmp_path, example, parts)
    assert [part.name for part in job.parts][-1] == "peg board"
    bay = next(part for part in job.parts if part.name == "bay bottom")
    # by hand: (28 - 2 x 23/32 - 2 x 23/32) / 3 = 201/24 in, down to the tick
    assert bay.length == 201 * 40640 // 24


@pytest.mark.parametrize("word", [*COLUMNS, *(kind.value for kind in SawKind)])
def test_reference_names_every_column_and_saw(word):
    """What can be written is in the reference."""
    assert (
        f"`{word}`" in REFERENCE.read_text() or f"| {word} |" in REFERENCE.read_text()
    )


def test_reference_gives_the_usual_kerfs():
    """The kerfs in the reference are those that a saw without one gets."""
    text = REFERENCE.read_text()
    for kind, practice in SAWS.items():
        (row,) = re.findall(
            rf"^\| {kind.value} \| (.*?) \| (.*?) \|", text, re.MULTILINE
        )
        assert read_length(row[0], Unit.INCH) == practice.kerf.value
        assert row[1] == ", ".join(practice.planes)


def test_damage_of_lumber_goes_across_unless_it_says_how_far(tmp_path):
    """A 2x6 is 5 1/2 wide: by itself, from y, and from y so far."""
    job = FULL.replace(
        'section = "2x6"\n',
        'section = "2x6"\ndamage = [{ x = 9, length = 2 }, '
        "{ x = 20, length = 1, y = 4 }, { x = 30, length = 1, y = 1, width = 2 }]\n",
        1,
    )
    assert job != FULL
    (tmp_path / "job.toml").write_text(job)
    (tmp_path / "list.csv").write_text(LIST)
    inch = Unit.INCH.ticks
    lumber = next(m for m in read_job(tmp_path).materials if m.sections)
    zones = next(one.zones for one in lumber.stock if one.zones)
    assert [(z.y, z.width) for z in zones] == [
        (0, 11 * inch // 2),
        (4 * inch, 3 * inch // 2),
        (inch, 2 * inch),
    ]


def test_crook_is_of_a_whole_family(tmp_path):
    """All its sections and lengths have it; without the key none has."""
    job = FULL.replace("trim = { left = 2 }\n", 'trim = 0\ncrook = "1/4"\n')
    (tmp_path / "list.csv").write_text(LIST)
    for text, crook in ((job, Unit.INCH.ticks // 4), (FULL, 0)):
        (tmp_path / "job.toml").write_text(text)
        lumber = next(m for m in read_job(tmp_path).materials if m.sections)
        assert {each.crook for each in lumber.stock} == {crook}


def test_pith_is_left_out_of_wide_sections_and_where_a_stock_says_so(tmp_path):
    """In the middle of a 2x8 (7 1/4), not of a 2x6, unless that says so itself."""
    job = FULL.replace("trim = { left = 2 }\n", 'trim = 0\npith = "1 in"\n')
    job = job.replace('section = "2x6"\n', 'section = "2x6"\npith = "3/4"\n')
    job = job.replace(
        'section = "5/4 board"\nlength = "7\'"', 'section = "2x8"\nlength = 96'
    )
    (tmp_path / "job.toml").write_text(job)
    (tmp_path / "list.csv").write_text(LIST)
    inch = Unit.INCH.ticks
    lumber = next(m for m in read_job(tmp_path).materials if m.sections)
    wide, plain, _, own, _ = lumber.stock
    (zone,) = wide.zones
    assert (zone.x, zone.length) == (0, 96 * inch)
    assert (zone.y, zone.width) == (25 * inch // 8, inch)
    assert zone.kind is ZoneKind.PITH
    assert plain.zones == ()
    (zone,) = own.zones
    assert (zone.y, zone.width) == (19 * inch // 8, 3 * inch // 4)


def test_blemishes_are_told_from_damage_and_clear_parts_from_others(tmp_path):
    """Both are read alike, and stand in the order of damage, then blemishes."""
    job = FULL.replace(
        'section = "2x6"\n',
        'section = "2x6"\nblemish = [{ x = 20, length = 1 }]\n'
        "damage = [{ x = 9, length = 2 }]\n",
        1,
    )
    (tmp_path / "job.toml").write_text(job)
    rows = LIST.replace(";note", ";note;clear").replace('and right"', 'and right";yes')
    rows = rows.replace("inside;;;;;", "inside;;;;;;").replace("1;;;", "1;;;;")
    (tmp_path / "list.csv").write_text(rows)
    read = read_job(tmp_path)
    lumber = next(m for m in read.materials if m.sections)
    zones = next(one.zones for one in lumber.stock if one.zones)
    assert [zone.kind for zone in zones] == [ZoneKind.DAMAGE, ZoneKind.BLEMISH]
    assert [part.is_clear for part in read.parts][:2] == [True, False]


def with_haul(tmp_path, shop, saw=""):
    """Return the shop of the full job with these lines more."""
    job = FULL.replace("[[saw]]", f"[shop]\n{shop}\n\n[[saw]]", 1)
    job = job.replace('place = "store"\n', f'place = "store"\n{saw}\n', 1)
    (tmp_path / "job.toml").write_text(job)
    (tmp_path / "list.csv").write_text(LIST)
    return read_job(tmp_path).shop


def test_the_saw_at_the_store_saws_what_cannot_be_carried(tmp_path):
    """With its own tolerance, or a quarter of an inch."""
    haul = with_haul(tmp_path, 'haul = "10 ft"').haul
    assert (haul.length, haul.saw.place) == (inches("10 ft"), Place.STORE)
    assert haul.tolerance == inches("1/4")
    haul = with_haul(tmp_path, 'haul = "10 ft"', 'tolerance = "1/2"').haul
    assert haul.tolerance == inches("1/2")
    assert with_haul(tmp_path, 'haul = "any"').haul is None


def test_without_a_saw_at_the_store_the_widest_kerf_is_reckoned(tmp_path):
    """The bench saw of 3/32 in, and a crosscut saw of 1/8 in."""
    (tmp_path / "job.toml").write_text(
        '[job]\nname = "a"\nunits = "inch"\n[shop]\nhaul = "8 ft"\n'
        '[[saw]]\nname = "bench"\nkerf = "3/32"\ncuts = ["crosscut"]\n'
        '[[saw]]\nname = "other"\nkerf = "1/8"\ncuts = ["crosscut"]\n'
        '[materials.fir]\nkind = "lumber"\n'
        '[[materials.fir.stock]]\nsection = "2x4"\nlength = "16 ft"\n'
    )
    (tmp_path / "parts.csv").write_text("part,qty,length\nleg,2,30\n")
    shop = read_job(tmp_path).shop
    assert shop.haul.saw.kerf == inches("1/8")
    assert shop.haul.tolerance == inches("1/4")
    assert shop.haul.saw not in shop.saws


def test_sheets_are_carried_home_in_pieces_of_a_size(tmp_path):
    """Cut by the saw at the store, at eighths of an inch, twice unless more is said."""
    haul = with_haul(tmp_path, 'haul_sheet = "5 ft x 36"').haul_sheet
    assert (haul.length, haul.width) == (inches("5 ft"), inches("36"))
    assert (haul.saw.place, haul.cuts) == (Place.STORE, 2)
    assert (haul.tolerance, haul.step) == (inches("1/4"), inches("1/8"))
    assert haul.called == '60" x 36"'
    shop = with_haul(
        tmp_path, 'haul_sheet = "60×48"\nstore_cuts = 3', 'tolerance = "1/2"'
    )
    assert shop.haul is None
    assert (shop.haul_sheet.cuts, shop.haul_sheet.tolerance) == (3, inches("1/2"))
    assert with_haul(tmp_path, 'haul_sheet = "any"').haul_sheet is None


def test_one_saw_is_made_up_for_boards_and_sheets(tmp_path):
    """As wide as the widest of the shop, and it cuts both ways."""
    (tmp_path / "job.toml").write_text(
        '[job]\nname = "a"\nunits = "mm"\n'
        '[shop]\nhaul = 2400\nhaul_sheet = "1500 x 1200"\n'
        '[[saw]]\nname = "bench"\nkerf = 2\ncuts = ["crosscut"]\n'
        '[[saw]]\nname = "other"\nkerf = 3\ncuts = ["rip"]\n'
        '[materials.fir]\nkind = "lumber"\n'
        '[[materials.fir.stock]]\nsection = "2x4"\nlength = "16 ft"\n'
    )
    (tmp_path / "parts.csv").write_text("part,qty,length\nleg,2,300\n")
    shop = read_job(tmp_path).shop
    assert shop.haul.saw == shop.haul_sheet.saw
    assert shop.haul_sheet.saw.kerf == 3 * 1600
    assert set(shop.haul_sheet.saw.planes) == {Plane.RIP, Plane.CROSSCUT}
    assert shop.haul_sheet.step == 1600
