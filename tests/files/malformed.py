"""Malformed job folders, each with what the maker must be told: the table of two users.

`tests/files/test_malformed.py` reads each of them; `scripts/campaign_malformed.py` runs
the command on each. All are one sound job with one thing wrong with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

SOUND_JOB = """\
[job]
name = "Crate"
units = "inch"

[dimensions]
length = 30
inner = "length - 2*ply.t"

[[saw]]
kind = "table saw"
kerf = "1/8"

[materials.ply]
kind = "sheet"
thickness = "1/2"

[[materials.ply.stock]]
length = 96
width = 48
price = 52.50

[materials.pine]
kind = "lumber"

[[materials.pine.stock]]
section = "2x4"
lengths = { "8 ft" = 4.85 }

[[materials.pine.stock]]
section = "1x3"
lengths = ["6 ft", "8 ft"]
price = 3.10

[[hardware]]
name = "screw"
qty = 12
price = 0.04
"""
SOUND_PARTS = """\
part,qty,material,section,length,width,thickness,grain,note
side,2,ply,,length,11 1/4,,,
bottom,1,ply,,inner,10,,any,
runner,2,pine,2x4,length,,,,
strip,4,pine,,20,2 1/2,3/4,,
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Malformed:
    """A job folder that cannot be read."""

    name: str
    files: dict[str, bytes]
    """By name, what lies in the folder."""
    says: tuple[str, ...]
    """What the message must hold: the place, what was read, what would do."""
    faults: int = 1
    """How many faults must be told: one each, none that only follows from another."""
    named: str = ""
    """The file that is named to the reader instead of the folder."""

    def write(self, folder: Path) -> Path:
        """Write the files and return the path that is named to the reader."""
        for name, content in self.files.items():
            (folder / name).write_bytes(content)
        return folder / self.named if self.named else folder


def _job(name: str, old: str, new: str, *says: str, faults: int = 1) -> Malformed:
    """Return the sound job with a change in job.toml."""
    assert SOUND_JOB.count(old) == 1, f"{name}: {old!r} must stand there once"
    text = SOUND_JOB.replace(old, new)
    files = {"job.toml": text.encode(), "parts.csv": SOUND_PARTS.encode()}
    return Malformed(name=name, files=files, says=("job.toml", *says), faults=faults)


def _parts(name: str, old: str, new: str, *says: str, faults: int = 1) -> Malformed:
    """Return the sound job with a change in parts.csv."""
    assert SOUND_PARTS.count(old) == 1, f"{name}: {old!r} must stand there once"
    return _list(name, SOUND_PARTS.replace(old, new).encode(), *says, faults=faults)


def _list(name: str, content: bytes, *says: str, faults: int = 1) -> Malformed:
    """Return the sound job with another parts.csv."""
    files = {"job.toml": SOUND_JOB.encode(), "parts.csv": content}
    return Malformed(name=name, files=files, says=("parts.csv", *says), faults=faults)


def _raw_job(name: str, content: bytes, *says: str, faults: int = 1) -> Malformed:
    """Return a job folder with another job.toml."""
    files = {"job.toml": content, "parts.csv": SOUND_PARTS.encode()}
    return Malformed(name=name, files=files, says=("job.toml", *says), faults=faults)


def _encodings() -> Iterator[Malformed]:
    """Yield files that are no text, or not the text we read."""
    yield _list("utf-16 list", SOUND_PARTS.encode("utf-16"), "UTF-16", "UTF-8")
    yield _list(
        "utf-16 list without a mark", SOUND_PARTS.encode("utf-16-le"), "zero byte"
    )
    latin = SOUND_PARTS.replace("strip", "Füllung").encode("latin-1")
    yield _list("latin-1 list", latin, "line 5", "0xfc is not UTF-8", "save it as")
    yield _list("zero byte", SOUND_PARTS.encode() + b"x\0y", "line 6", "binary data")
    yield _list("picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary data")
    yield _list("archive", b"PK\x03\x04\x14\0\x06\0", "binary data", "CSV UTF-8")
    yield _list("empty list", b"", "the file is empty")
    yield _list("list of blanks", b" \n\t\n", "the file is empty")
    yield _list(
        "huge list", SOUND_PARTS.encode() + b"x" * 5_000_000, "larger than 5 MB"
    )
    yield _raw_job("empty job", b"", "the file is empty")
    yield _raw_job("utf-16 job", SOUND_JOB.encode("utf-16"), "UTF-16", "UTF-8")
    yield _raw_job("binary job", b"[job]\n\0\1\2", "line 2", "binary data")


def _toml() -> Iterator[Malformed]:
    """Yield what is no TOML, or TOML that is too much."""
    yield _job("bare fraction", '"1/8"', "1/8", "line 11", "quotes", '"23 1/2"')
    yield _job("bare word", '"sheet"', "sheet", "line 14", "not TOML", "in quotes")
    yield _job("open text", '"Crate"', '"Crate', "line 2", "not TOML", "quote")
    yield _job("key twice", 'units = "inch"', 'name = "Box"', "line 3", "key once")
    yield _job("table twice", "[materials.pine]\n", "[materials.ply]\n", "line 22")
    yield _job("no equals sign", "length = 30", "length 30", "line 6", "'='")
    yield _raw_job("prose", b"Dear shop, please cut this.\n", "line 1", "not TOML")
    deep = b"a = " + b"[" * 3000 + b"]" * 3000
    yield _raw_job("deep lists", deep, "nested far too deep")
    long = b"a = " + b"9" * 9000
    yield _raw_job("long number", long, "number is too long")


def _tables() -> Iterator[Malformed]:
    """Yield keys and values that are not what they should be."""
    yield _raw_job(
        "nothing in it",
        b"# later\n",
        "'job' is missing",
        "'materials' is missing",
        faults=2,
    )
    yield _job(
        "misspelt key",
        "price = 52.50",
        "prise = 52.50",
        "line 20",
        "materials.ply.stock[1].prise",
        "did you mean 'price'?",
    )
    yield _job(
        "misspelt table",
        "[dimensions]",
        "[dimension]",
        "line 5",
        "'dimensions'?",
        faults=4,
    )
    yield _job("no name", 'name = "Crate"\n', "", "line 1", "'name' is missing")
    yield _job("no units", 'units = "inch"\n', "", "line 1", "'units' is missing")
    yield _job("other units", '"inch"', '"inches"', "line 3", "did you mean 'inch'?")
    yield _job(
        "fraction", 'units = "inch"', 'units = "inch"\nfraction = 17', "17", "16, 32"
    )
    yield _job(
        "stages", 'units = "inch"', 'units = "inch"\nstages = "all"', "'all'", '"any"'
    )
    yield _job("number for text", '"Crate"', "12", "line 2", "a text", "quotes")
    yield _job(
        "list for text", '"Crate"', "[]", "line 2", "a text is wanted, not a list"
    )
    yield _job("date for size", "length = 30", "length = 2024-02-30", "not TOML")
    yield _job("day for size", "length = 30", "length = 2024-02-29", "is no number")
    yield _job("no number", "length = 30", "length = nan", "'NaN' is no number")
    yield _job("endless", "length = 30", "length = inf", "'Infinity' is no number")
    yield _job("tiny", "length = 30", "length = 1e-999999999", "too many decimals")
    yield _job("vast", "length = 30", "length = 1e999999999", "far too large")
    yield _job("true size", "length = 30", "length = true", "true is no number")
    yield _job("control sign", '"Crate"', '"Cra\\u0007te"', "cannot be printed")
    yield _job("long name", '"Crate"', '"' + 90 * "C" + '"', "90 characters", "80")
    yield _job("negative price", "52.50", "-52.50", "line 20", "less than nothing")
    yield _job("fine price", "52.50", "52.505", "line 20", "finer than a cent")
    yield _job("price with a sign", "52.50", '"$52.50"', "is no price", "62.50")
    yield _job("half a screw", "qty = 12", "qty = 1.5", "hardware[1].qty", "'1.5'")
    yield _job("table for list", "[[hardware]]", "[hardware]", "double brackets")
    yield _job(
        "list for table",
        "[materials.ply]\n",
        "[[materials.ply]]\n",
        "line 13",
        "a table is wanted, not a list",
    )
    yield _job(
        "owned and priced",
        "price = 52.50",
        "price = 52.50\nowned = 1",
        "line 20",
        "do not go together",
    )


def _shop() -> Iterator[Malformed]:
    """Yield saws that do not exist."""
    yield _job("kind of saw", '"table saw"', '"tabel saw"', "line 10", "'table saw'?")
    yield _job("kerf in mm", '"1/8"', "3.2", "line 11", '3.2"', '"3.2 mm"')
    yield _job(
        "cut it cannot make",
        'kind = "table saw"',
        'kind = "miter saw"\ncuts = ["rip"]',
        "line 11",
        "a miter saw does not rip",
    )
    yield _job(
        "unknown cut", 'kerf = "1/8"', 'cuts = ["ripp"]', "saw[1].cuts[1]", "'rip'?"
    )
    yield _job(
        "nameless saw",
        'kind = "table saw"\n',
        "",
        "line 9",
        "'name'",
        "'cuts'",
        faults=2,
    )
    yield _job(
        "two saws of one name",
        'kerf = "1/8"',
        'kerf = "1/8"\n[[saw]]\nkind = "table saw"',
        "line 12",
        "two saws named 'table saw'",
    )


def _stock() -> Iterator[Malformed]:
    """Yield materials and stock that nothing can be cut from."""
    yield _job("kind of material", '"lumber"', '"timber"', "line 23", "'lumber'?")
    yield _job("no kind", 'kind = "sheet"\n', "", "line 13", "'kind' is missing")
    yield _job(
        "no thickness",
        'thickness = "1/2"\n',
        "",
        "line 13",
        "'thickness' is missing",
    )
    yield _job(
        "no stock",
        '[[materials.pine.stock]]\nsection = "1x3"\nlengths',
        '[[materials.oak.stock]]\nsection = "1x3"\nlengths',
        "line 29",
        "'kind' is missing",
    )
    yield _job("length zero", "length = 96", "length = 0", "line 18", "more than zero")
    yield _job("width below zero", "width = 48", "width = -48", "less than nothing")
    yield _job(
        "trimmed away",
        'thickness = "1/2"',
        'thickness = "1/2"\ntrim = 30',
        "line 18",
        "trimmed to nothing",
    )
    yield _job(
        "trim of no edge",
        'thickness = "1/2"',
        'thickness = "1/2"\ntrim = { top = "1/8" }',
        "materials.ply.trim.top",
        "known are back, front, left, right",
    )
    yield _job("section", '"2x4"', '"2x13"', "line 26", "the nearest are", "sections")
    yield _job(
        "no section",
        'section = "2x4"\n',
        "",
        "line 25",
        "'section' is missing",
    )
    yield _job("no lengths", 'lengths = { "8 ft" = 4.85 }\n', "", "'lengths'")
    yield _job("lengths as text", '["6 ft", "8 ft"]', '"6 ft"', "line 31", '["8 ft"')
    yield _job("unquoted feet", '{ "8 ft" = 4.85 }', "{ 8.5 = 4.85 }", "is no number")
    yield _job("one length twice", '["6 ft", "8 ft"]', '["8 ft", 96]', "given twice")
    yield _job(
        "two names alike",
        "[materials.pine]\n",
        '[materials.Ply]\nkind = "sheet"\nthickness = 1\n'
        "stock = [{ length = 9, width = 9 }]\n[materials.pine]\n",
        "line 22",
        "'Ply' reads like another material",
    )


def _sizes() -> Iterator[Malformed]:
    """Yield sizes and sums that make no sense."""
    side = "length,11 1/4"
    yield _parts("unknown name", side, "lenght,11 1/4", "line 2, length", "'length'?")
    yield _parts("area", side, "length*length,11 1/4", "line 2", "an area")
    yield _parts("ratio", side, "length/inner,11 1/4", "plain number", "length")
    yield _parts("open bracket", side, "(length - 2,11 1/4", "bracket is missing")
    yield _parts("closed bracket", side, "length - 2),11 1/4", "bracket too many")
    yield _parts("two ways", side, "length/3/4,11 1/4", "two ways", "brackets")
    yield _parts("by nothing", side, "length/0,11 1/4", "divided by 0")
    yield _parts("code", side, "__import__('os'),11 1/4", "no place in a size")
    yield _parts("a hundred brackets", side, "(" * 99 + "1" + ")" * 99 + ",1", "24")
    yield _parts("long sum", side, "1+" * 150 + "1,11 1/4", "200 characters")
    yield _parts("unit", side, "30 inchs,11 1/4", "'inchs' is no unit")
    yield _parts("thousands", side, '"1,000",11 1/4', "thousands separator")
    yield _parts("zero", side, "0,11 1/4", "line 2, length", "more than zero")
    yield _parts("negative", side, "-30,11 1/4", "less than nothing")
    yield _parts("came to nothing", side, "30 - length,11 1/4", "comes to nothing")
    yield _parts("nan", side, "nan,11 1/4", "'nan' is neither a unit")
    yield _parts("infinite", side, "inf,11 1/4", "'inf' is neither a unit")
    yield _parts("over a kilometre", side, "40000,11 1/4", "over 1 km")
    yield _job(
        "cycle",
        "length = 30",
        'length = "inner + 1"',
        "line 6",
        "itself",
        "length needs inner needs length",
    )
    yield _job("own name", "length = 30", 'length = "length"', "depends on itself")
    yield _job(
        "unit as name", "length = 30", "length = 30\nm = 3", "line 7, ", "'m' is a unit"
    )
    yield _job("hyphen in name", "length = 30", "length = 30\nin-side = 3", "in-side")
    growing = "\n".join(f'n{i} = "n{i - 1} * n{i - 1}"' for i in range(1, 40))
    yield _job(
        "growing numbers",
        "[dimensions]",
        f"[numbers]\nn0 = 7\n{growing}\n[dimensions]",
        "grow far too long",
    )


def _lists() -> Iterator[Malformed]:
    """Yield part lists whose form is wrong."""
    yield _parts(
        "no heading",
        "part,qty,material,section,length,width,thickness,grain,note\n",
        "",
        "line 1",
        "names no column",
        "part,qty,material,length,width",
    )
    yield _parts(
        "other heading",
        "part,qty",
        "part,quantity",
        "line 1, quantity",
        "did you mean 'qty'?",
    )
    yield _parts("misspelt heading", "thickness", "thicknes", "line 1", "'thickness'?")
    yield _parts("heading twice", "grain,note", "note,note", "line 1", "twice")
    yield _parts(
        "cell without heading",
        "grain,note\nside,2,ply,,length,11 1/4,,,",
        "grain,\nside,2,ply,,length,11 1/4,,,left",
        "line 2",
        "no heading",
    )
    yield _parts(
        "short row",
        "bottom,1,ply,,inner,10,,any,",
        "bottom,1,ply,,inner,10",
        "line 3",
        "6 cells",
        "9",
    )
    yield _parts(
        "long row",
        "bottom,1,ply,,inner,10,,any,",
        "bottom,1,ply,,inner,10,,any,one,two",
        "line 3",
        "10 cells",
        "quotes",
    )
    yield _parts("decimal comma", "inner,10,", "inner,10,5,", "line 3", "10 cells")
    yield _parts("open quote", "bottom,1", '"bottom,1', "line 3", "never closed")
    yield _parts("text after a quote", "bottom,1", '"bot"tom,1', "line 3", "quote")
    yield _list("headings only", SOUND_PARTS.splitlines()[0].encode(), "has no parts")
    rows = "".join(f"p{i},1,ply,,10,5,,,\n" for i in range(20_001))
    yield _list(
        "too many rows",
        (SOUND_PARTS.splitlines()[0] + "\n" + rows).encode(),
        "line 20002",
        "more than 20000",
    )
    missing = {"job.toml": SOUND_JOB.encode()}
    yield Malformed(
        name="no parts at all", files=missing, says=("no parts", "[[part]]")
    )
    elsewhere = SOUND_JOB.replace(
        'units = "inch"', 'units = "inch"\nparts = "../p.csv"'
    )
    yield Malformed(
        name="list elsewhere",
        files={"job.toml": elsewhere.encode()},
        says=("job.toml, line 4", "'../p.csv'", "folder"),
    )
    gone = SOUND_JOB.replace('units = "inch"', 'units = "inch"\nparts = "list.csv"')
    yield Malformed(
        name="list that is gone",
        files={"job.toml": gone.encode()},
        says=("list.csv", "there is no such file"),
    )
    yield Malformed(name="empty folder", files={}, says=("the folder has no job.toml",))
    yield Malformed(name="no folder", files={}, named="nowhere", says=("no such file",))


def _rows() -> Iterator[Malformed]:
    """Yield parts that are none."""
    bottom = "bottom,1,ply,,inner,10,,any,"
    yield _parts("nameless part", "bottom,1,ply", ",1,ply", "line 3, part", "not given")
    yield _parts("name twice", "bottom,1", "Side,1", "line 3, part", "first on line 2")
    yield _parts("no quantity", "bottom,1,", "bottom,,", "line 3, qty", "not given")
    yield _parts("half a part", "bottom,1,", "bottom,1.5,", "line 3, qty", "'1.5'")
    yield _parts("no copies", "bottom,1,", "bottom,0,", "line 3, qty", "1 to 100000")
    yield _parts("negative copies", "bottom,1,", "bottom,-2,", "line 3", "too few")
    yield _parts("too many copies", "bottom,1,", "bottom,100001,", "line 3", "too many")
    yield _parts("copies in words", "bottom,1,", "bottom,two,", "'two'", "whole number")
    yield _parts(
        "material",
        bottom,
        bottom.replace("ply", "plyy"),
        "line 3, material",
        "did you mean 'ply'?",
    )
    yield _job(
        "a narrowest rip wider than the widest",
        'kerf = "1/8"\n',
        'kerf = "1/8"\nwidest_rip = 24\nnarrowest_rip = "24 1/16"\n',
        "line 13",
        "narrowest_rip",
        "wider than the widest",
    )
    yield _parts("no material", bottom, bottom.replace("ply", ""), "line 3, material")
    yield _parts("no length", bottom, bottom.replace("inner", ""), "line 3, length")
    yield _parts(
        "sheet without width", bottom, bottom.replace("10", ""), "line 3, width"
    )
    yield _parts(
        "sheet with section",
        bottom,
        bottom.replace("ply,", "ply,2x4"),
        "line 3, section",
        "is a sheet",
    )
    yield _parts(
        "section not sold",
        "runner,2,pine,2x4",
        "runner,2,pine,2x8",
        "line 4, section",
        "'2x8'",
    )
    yield _parts(
        "which section",
        "runner,2,pine,2x4",
        "runner,2,pine,",
        "line 4, width",
        "2x4, 1x3",
    )
    yield _parts(
        "grain",
        bottom,
        bottom.replace("any", "across"),
        "line 3, grain",
        "any, length, width",
    )
    yield _parts("bell in a name", "bottom", "bot\x07tom", "line 3, part", "printed")
    for name, cells, says in (
        ("a run of one part", ("", "row,", "", ""), ("line 3, match", "one part")),
        ("a flow of no run", ("", ",along", "", ""), ("line 3, flow", "in none")),
        ("a flow unknown", ("row,up", "row,", "", ""), ("line 2, flow", "across")),
        (
            "a run along and across",
            ("row,along", "row,across", "", ""),
            ("line 3, flow", "across here and along before"),
        ),
        (
            "a run of two materials",
            ("row,", "", "row,", ""),
            ("line 4, match", "is of 'ply'"),
        ),
        ("a run of lumber", ("", "", "row,", ""), ("line 4, match", "is lumber")),
        ("a run too long", ("", "", "", ""), ("line 2, match", "101 members")),
    ):
        heading, *rows = SOUND_PARTS.splitlines()
        lines = [heading + ",match,flow"]
        lines += [f"{row},{more or ','}" for row, more in zip(rows, cells, strict=True)]
        text = "\n".join(lines) + "\n"
        if "101 members" in says:
            text = text.replace("side,2", "side,101").replace(
                "length,11 1/4,,,,,", "length,11 1/4,,,,row,"
            )
        yield Malformed(
            name=name,
            files={"job.toml": SOUND_JOB.encode(), "parts.csv": text.encode()},
            says=("parts.csv", *says),
        )
    sheet = "length = 96\nwidth = 48\n"
    for name, damage, says in (
        ("damage as a text", '"in the corner"', "a list of tables"),
        ("damage without a width", "[{ x = 1, y = 1, length = 2 }]", "'width'"),
        ("damage of no size", "[{ x = 1, y = 1, length = 0, width = 2 }]", "0"),
        (
            "damage beside the sheet",
            "[{ x = 90, y = 1, length = 7, width = 2 }]",
            "lies partly beside it",
        ),
        (
            "damage with a key too many",
            "[{ x = 9, y = 1, length = 7, width = 2, depth = 1 }]",
            "depth",
        ),
        (
            "damage all over",
            f"[{', '.join(['{ x = 9, y = 1, length = 7, width = 2 }'] * 21)}]",
            "more than 20",
        ),
    ):
        yield _job(name, sheet, f"{sheet}damage = {damage}\n", "ply", says)
    lumber = 'section = "2x4"\n'
    for name, damage, says in (
        ("a knot without a length", "[{ x = 10 }]", "'length'"),
        ("a knot behind the end", '[{ x = "7 ft", length = 13 }]', "partly beside it"),
        ("a knot beside the edge", "[{ x = 1, y = 4, length = 2 }]", "partly beside"),
        ("a knot that is wider", "[{ x = 1, length = 2, width = 4 }]", "partly beside"),
        (
            "a blemish behind the end",
            '[]\nblemish = [{ x = "9 ft", length = 1 }]',
            "lies",
        ),
        ("pith wider than the board", "[]\npith = 4", "its pith lies partly beside"),
        ("a knot of nothing", "[{ x = 1, length = 2, width = 0 }]", "0"),
    ):
        yield _job(name, lumber, f"{lumber}damage = {damage}\n", says)
    yield _job(
        "pith of crooked boards",
        'kind = "lumber"\n',
        'kind = "lumber"\ncrook = "1/4"\npith = 1\n',
        "exclude each other",
    )
    for name, haul, says in (
        ("a haul in words", '"far"', "far"),
        ("a haul of inches meant as feet", "10", "less than 1 ft"),
        ("no haul at all", "0", "0"),
    ):
        yield _job(name, "[[saw]]\n", f"[shop]\nhaul = {haul}\n\n[[saw]]\n", says)
    for name, lines, says in (
        ("a sheet carried in words", 'haul_sheet = "far"', "no size of a piece"),
        ("a sheet carried by one side", "haul_sheet = 60", "no size of a piece"),
        ("a sheet carried in feet", 'haul_sheet = "5 x 4"', "less than 1 ft"),
        ("a sheet of nothing", 'haul_sheet = "60 x 0"', "0"),
        ("store cuts without a car", "store_cuts = 2", "cannot be carried whole"),
        ("no store cuts", 'haul_sheet = "60 x 48"\nstore_cuts = 0', "too few"),
        ("many store cuts", 'haul_sheet = "60 x 48"\nstore_cuts = 9', "too many"),
    ):
        yield _job(name, "[[saw]]\n", f"[shop]\n{lines}\n\n[[saw]]\n", says)
    saw = 'kerf = "1/8"\n'
    for name, more, says in (
        ("a tolerance at home", 'tolerance = "1/4"', "only a saw at the store"),
        (
            "a tolerance of feet",
            'place = "store"\ntolerance = "1 ft"',
            "no saw at a store is so far off",
        ),
    ):
        yield _job(name, saw, f"{saw}{more}\n", says)
    heading, side, *rest = SOUND_PARTS.splitlines()
    for name, priority in (
        ("a priority of nothing", "0"),
        ("a priority too high", "10"),
        ("a priority in words", "high"),
        ("half a priority", "1.5"),
    ):
        rows = [f"{heading},priority", f"{side},{priority}", *(f"{r}," for r in rest)]
        yield Malformed(
            name=name,
            files={
                "job.toml": SOUND_JOB.encode(),
                "parts.csv": ("\n".join(rows) + "\n").encode(),
            },
            says=("parts.csv", "line 2, priority", priority),
        )
    rows = [f"{heading},priority", *(f"{r},3" for r in (side, *rest))]
    yield Malformed(
        name="a priority of lumber",
        files={
            "job.toml": SOUND_JOB.encode(),
            "parts.csv": ("\n".join(rows) + "\n").encode(),
        },
        says=("line 4, priority", "line 5, priority", "only sheets have priorities"),
        faults=2,
    )
    note = "n" * 501
    yield _parts(
        "endless note", bottom, bottom + note, "line 3, note", "501 characters"
    )
    part = '\n[[part]]\npart = "lid"\nqty = 1\nmaterial = "ply"\nlength = 9\nwide = 5\n'
    yield _job(
        "key of a part",
        "[[hardware]]\n",
        part + "\n[[hardware]]\n",
        "line 40",
        "part[1].wide",
        "width",
        faults=2,
    )


MALFORMED = tuple(
    case
    for group in (_encodings, _toml, _tables, _shop, _stock, _sizes, _lists, _rows)
    for case in group()
)
"""Every case; their names are unique."""
