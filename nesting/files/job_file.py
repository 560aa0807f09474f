"""A job folder or a ``job.toml``, read into a `nesting.model.job.Job`."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import Final

from nesting.errors import InputError
from nesting.files.dimensions import Definition, define
from nesting.files.faults import FaultList, Spot, shown
from nesting.files.materials import read_materials, thickness_names
from nesting.files.part_table import MOST_ROWS, read_rows
from nesting.files.parts import PartReader, rows_of
from nesting.files.shop import MOST_SAWS, read_shop
from nesting.files.sizes import Sizes
from nesting.files.stock import StockNames
from nesting.files.sums import Kind
from nesting.files.tables import LONGEST_NOTE, Table
from nesting.files.text import TextFile, read_text
from nesting.files.toml_file import parse_toml
from nesting.model.job import Hardware, Job, Part
from nesting.model.mill import Allowances, Climate
from nesting.model.stock import OffcutRule
from nesting.model.terms import Prefer
from nesting.trade.defaults import default_length
from nesting.units import Display, Ticks, Unit

JOB_FILE: Final = "job.toml"
PARTS_FILE: Final = "parts.csv"
MOST_HARDWARE: Final = 2000
MOST_STAGES: Final = 20

_TABLES: Final = (
    *("dimensions", "numbers", "shop", "saw", "jointer", "planer", "milling"),
    *("climate", "keep", "hardware", "part"),
)

_PREFERENCES: Final = {each.value: each for each in Prefer}
UNITS: Final = {"inch": Unit.INCH, "mm": Unit.MM}
"""The words for the units of a job."""
FRACTIONS: Final = (16, 32, 64)
"""The finest fractions of an inch that a job may be shown in."""


def read_job(path: Path | str) -> Job:
    """Return the job of a job folder or of its ``job.toml``.

    Parameters
    ----------
    path
        The folder, or the file in it. The parts come from the ``[[part]]`` tables and
        from the CSV file that ``parts`` names, or from ``parts.csv`` beside it.

    Returns
    -------
    Job
        Read and checked as far as reading goes; whether the parts fit their stock is
        not asked here.

    Raises
    ------
    InputError
        Something cannot be read; it carries the faults of all files, each with its
        place, what was read and what would do.
    """
    faults = FaultList()
    found = _job_path(Path(path), faults)
    file = None if found is None else read_text(found, faults)
    job = None if file is None else _JobReader(file, faults).read()
    faults.raise_any()
    if job is None:  # a fault is always noted where something is missing
        raise InputError(f"{path}: the job cannot be read")
    return job


def usual_offcuts() -> OffcutRule:
    """Return which rests are kept where the maker does not say."""
    square = default_length("offcut_keep_sheet_square")
    long = default_length("offcut_keep_sheet_length")
    narrow = default_length("offcut_keep_sheet_width")
    return OffcutRule(
        sheet=((long, narrow), (square, square)),
        stick=default_length("offcut_keep_lumber_length"),
    )


def digest(*parts: bytes) -> str:
    """Return a SHA-256 over what was read, each part with its length, as hex digits."""
    total = hashlib.sha256()
    for part in parts:
        total.update(len(part).to_bytes(8, "big"))
        total.update(part)
    return total.hexdigest()


class _JobReader:
    """Reads the tables of one job file, in the order in which they need each other."""

    def __init__(self, file: TextFile, faults: FaultList) -> None:
        self._file = file
        self._faults = faults
        self._read = [file.raw]

    def read(self) -> Job | None:
        """Return the job, or None after noting the faults."""
        toml = parse_toml(self._file, self._faults)
        if toml is None:
            return None
        root = Table(toml, toml.data, (), self._faults)
        head, goods = root.table("job"), root.table("materials")
        there = root.need("job", "materials", form="add a table [{}]")
        if not there or head is None or goods is None:
            for key in _TABLES:
                root.raw(key)
            root.close()
            return None
        head.need("name", "units")
        name = head.text("name")
        display = self._display(head)
        currency = head.text("currency", default="$", longest=8)
        stages = self._stages(head)
        prefer = head.choice("prefer", _PREFERENCES, Prefer.OFFCUTS)
        named = head.text("parts")
        head.close()

        sizes = define(self._definitions(root, goods), display.unit, self._faults)
        shop = read_shop(
            root.tables("saw", MOST_SAWS),
            root.table("shop"),
            sizes,
            self._faults,
            (root.table("jointer"), root.table("planer")),
        )
        climate = self._climate(root.table("climate"))
        allowances = _allowances(root.table("milling"), sizes, display.unit)
        stock_names = StockNames(display)
        materials = read_materials(
            goods, allowances.eased, sizes, stock_names, self._faults
        )
        offcuts = self._offcuts(root.table("keep"), sizes)
        hardware = self._hardware(root.tables("hardware", MOST_HARDWARE))
        parts = self._parts(root, named, PartReader(materials, sizes, self._faults))
        root.close()
        if len(self._faults) or shop is None:
            return None
        return Job(
            name=name,
            display=display,
            currency=currency,
            shop=shop,
            materials=tuple(m for m in materials.values() if m is not None),
            parts=parts,
            hardware=hardware,
            offcuts=offcuts,
            stages=stages,
            prefer=prefer,
            allowances=allowances,
            climate=climate,
            digest=digest(*self._read),
        )

    def _display(self, head: Table) -> Display:
        """Return how the job's sizes are shown; its unit is that of bare numbers."""
        unit = head.choice("units", UNITS, Unit.INCH)
        fraction = head.whole("fraction", FRACTIONS[0], FRACTIONS[-1])
        if fraction is not None and fraction not in FRACTIONS:
            what = f"sizes are not shown in {fraction} parts of an inch"
            self._faults.add(head.spot("fraction"), what, "write 16, 32 or 64")
            fraction = None
        return Display(unit=unit, denominator=fraction or FRACTIONS[0])

    def _climate(self, table: Table | None) -> Climate:
        """Return between what humidity the furniture lives."""
        usual = Climate()
        if table is None:
            return usual
        dry, humid = table.whole("dry", 0, 99), table.whole("humid", 0, 99)
        table.close()
        climate = Climate(
            dry=usual.dry if dry is None else dry,
            humid=usual.humid if humid is None else humid,
        )
        if climate.dry > climate.humid:
            what = f"dry is {climate.dry} % and humid {climate.humid} %"
            self._faults.add(table.spot("dry"), what, "put the lower one under dry")
        return climate

    def _stages(self, head: Table) -> int | None:
        """Return how many levels of cuts a sheet may take, None for any number."""
        raw = head.raw("stages")
        if isinstance(raw, str):
            if raw.strip().lower() != "any":
                what = f"{shown(raw)} is no number of stages"
                self._faults.add(head.spot("stages"), what, 'write a number or "any"')
            return None
        return 4 if raw is None else head.whole("stages", 1, MOST_STAGES)

    def _definitions(self, root: Table, goods: Table) -> Iterator[Definition]:
        """Yield all names that sizes may use."""
        for key, kind in (("dimensions", Kind.LENGTH), ("numbers", Kind.RATIO)):
            table = root.table(key)
            for name, raw in () if table is None else table.data.items():
                spot = table.spot(name) if table is not None else Spot()
                yield Definition(name=name, raw=raw, spot=spot, kind=kind)
        yield from thickness_names(goods)

    def _offcuts(self, table: Table | None, sizes: Sizes) -> OffcutRule:
        """Return which rests are kept."""
        usual = usual_offcuts()
        if table is None:
            return usual
        sheets, stick = table.raw("sheet"), table.size("stick", sizes, zero=True)
        kept: list[tuple[Ticks, Ticks]] = []
        listed = [sheets] if isinstance(sheets, str) else sheets
        if isinstance(listed, list):
            for place, raw in enumerate(listed):
                kept += self._kept(raw, table.spot("sheet", place), sizes)
        elif sheets is not None:
            self._kept(sheets, table.spot("sheet"), sizes)
        table.close()
        return OffcutRule(
            sheet=usual.sheet if sheets is None else tuple(kept),
            stick=usual.stick if "stick" not in table else stick or None,
        )

    def _kept(self, raw: object, spot: Spot, sizes: Sizes) -> list[tuple[Ticks, Ticks]]:
        """Return one size of a sheet's rest that is kept, nothing if it is faulty."""
        sides = raw.replace("×", "x").split("x") if isinstance(raw, str) else []
        if len(sides) != 2:
            what = f"{shown(raw)} is no size of a rest of a sheet"
            self._faults.add(spot, what, 'write ["24 x 6", "12 x 12"], or [] for none')
            return []
        read = [sizes.read(side.strip(), spot, self._faults) for side in sides]
        length, width = read
        return [] if length is None or width is None else [(length, width)]

    def _hardware(self, tables: list[Table]) -> tuple[Hardware, ...]:
        """Return the lines of the shopping list that are not cut."""
        lines: list[Hardware] = []
        for table in tables:
            table.need("name", "qty")
            name = table.text("name")
            quantity = table.whole("qty", 1, 1_000_000)
            price = table.cents("price")
            note = table.text("note", longest=LONGEST_NOTE)
            table.close()
            if quantity is not None:
                lines.append(
                    Hardware(name=name, quantity=quantity, price_cents=price, note=note)
                )
        return tuple(lines)

    def _parts(self, root: Table, named: str, reader: PartReader) -> tuple[Part, ...]:
        """Return the parts of all lists, in the order in which they are written."""
        rows = []
        path = self._parts_path(root, named)
        if path is not None:
            file = read_text(path, self._faults)
            if file is not None:
                self._read.append(file.raw)
                rows += read_rows(file, reader.needed, self._faults)
        tables = root.tables("part", MOST_ROWS)
        if path is None and not tables and not len(self._faults):
            what = f"the job has no parts: neither {PARTS_FILE} nor [[part]]"
            remedy = f"put {PARTS_FILE} beside {JOB_FILE}"
            self._faults.add(Spot(path=self._file.path), what, remedy)
        rows += rows_of(tables, self._faults)
        if len(rows) > MOST_ROWS:
            what = f"there are more than {MOST_ROWS} parts"
            self._faults.add(Spot(path=self._file.path), what, "split the job")
            return ()
        parts = [reader.read(row) for row in rows]
        reader.check_runs()
        if not parts and not len(self._faults):
            what = "the part list has no parts"
            self._faults.add(Spot(path=str(path)), what, "write one in each row")
        return tuple(part for part in parts if part is not None)

    def _parts_path(self, root: Table, named: str) -> Path | None:
        """Return the path of the part list, None where there is none to read."""
        folder = Path(self._file.path).parent
        if not named:
            usual = folder / PARTS_FILE
            return usual if usual.exists() else None
        if Path(named).name != named or "\\" in named or named in (".", ".."):
            what = f"{shown(named)} does not lie beside {JOB_FILE}"
            spot = root.spot("job", "parts")
            self._faults.add(spot, what, "name a file of the job's folder")
            return None
        return folder / named


def _allowances(table: Table | None, sizes: Sizes, unit: Unit) -> Allowances:
    """Return what milling takes off; what is not given is the usual."""
    usual = Allowances.usual(unit)
    if table is None:
        return usual
    names = [field.name for field in fields(Allowances)]
    read = {name: table.size(name, sizes, zero=True) for name in names}
    table.close()
    return replace(usual, **{k: v for k, v in read.items() if v is not None})


def _job_path(path: Path, faults: FaultList) -> Path | None:
    """Return the job file that a path means, or None after noting that it is none."""
    spot = Spot(path=str(path))
    try:
        folder = path.is_dir()
        missing = folder and not (path / JOB_FILE).exists()
    except (OSError, ValueError):
        return path  # reading it will say why not
    if missing:
        remedy = f"a job folder holds {JOB_FILE}; a part list is named itself"
        faults.add(spot, f"the folder has no {JOB_FILE}", remedy)
        return None
    if not folder and path.suffix.lower() in (".csv", ".tsv", ".txt"):
        remedy = "give the materials with it, or name a job folder"
        faults.add(spot, "this is a part list without its materials", remedy)
        return None
    return path / JOB_FILE if folder else path
