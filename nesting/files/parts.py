"""Parts: a row of a part list, checked and put into a `nesting.model.job.Part`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final, TypedDict

from nesting.errors import InputError
from nesting.files.faults import FaultList, Spot, shown, suggestion
from nesting.files.joinery import read_build, read_edging, read_joints
from nesting.files.lumber import section_key
from nesting.files.part_table import COLUMNS, PartRow, column_hint
from nesting.files.sizes import Sizes
from nesting.files.sums import folded
from nesting.files.tables import (
    LONGEST_NOTE,
    Table,
    checked_text,
    chosen,
    whole_number,
)
from nesting.model.blank import USUAL_PRIORITY
from nesting.model.job import Allowance, Material, MaterialKind, Part
from nesting.model.mill import Edging, Joint, Wish
from nesting.model.terms import Flow, Grain
from nesting.trade.lumber import nominal_section
from nesting.units import Ticks

MOST_COPIES: Final = 100_000
"""The highest quantity of one part."""

MOST_IN_RUN: Final = 100
"""The most members of one run."""

LAST_PRIORITY: Final = 9
"""The highest number, which is left out first."""

_GRAINS: Final = {grain.value: grain for grain in Grain}
_EDGES: Final = {"square": 1, "any": 0}
_YES_OR_NO: Final = {"yes": 1, "no": 0}
_FLOWS: Final = {flow.value: flow for flow in Flow}
_NEEDED: Final = {
    "part": "name",
    "qty": "quantity",
    "material": "material",
    "length": "length",
}
_EXTRAS: Final = ("extra_length", "extra_width", "extra_thickness")


class _Making(TypedDict, total=False):
    """How a part is made, as far as its row says."""

    joints: tuple[Joint, ...]
    is_overall: bool
    wish: Wish | None
    edging: Edging | None
    is_fitted: bool
    is_clear: bool


class PartReader:
    """Reads the parts of one job, from all its lists.

    Parameters
    ----------
    materials
        The job's materials under their `folded` names; None for a faulty one, about
        which nothing more is said.
    sizes
        Reads sizes.
    faults
        Where every fault is noted.
    """

    def __init__(
        self,
        materials: Mapping[str, Material | None],
        sizes: Sizes,
        faults: FaultList,
    ) -> None:
        self._materials = materials
        self._sizes = sizes
        self._faults = faults
        self._seen: dict[str, Spot] = {}
        self._runs: dict[str, list[tuple[PartRow, Part]]] = {}
        self._torn: set[str] = set()
        self._spelt: dict[str, str] = {}

    @property
    def needed(self) -> tuple[str, ...]:
        """The columns a part list must have; an only material goes without saying."""
        needed = tuple(_NEEDED)
        if len(self._materials) == 1:
            return tuple(column for column in needed if column != "material")
        return needed

    def read(self, row: PartRow) -> Part | None:
        """Return the part of a row, or None after noting its faults."""
        before = len(self._faults)
        for column in self.needed:
            if column not in row.cells:
                remedy = f"give each part its {_NEEDED[column]}"
                self._faults.add(row.at(column), f"{column!r} is not given", remedy)
        name = self._text(row, "part", 80)
        self._check_twice(name, row)
        quantity = None
        if "qty" in row.cells:
            quantity = whole_number(
                row.cells["qty"], 1, MOST_COPIES, row.at("qty"), self._faults
            )
        sizes = {key: self._size(row, key) for key in ("length", "width", "thickness")}
        extras = {key: self._size(row, key, zero=True) for key in _EXTRAS}
        grain = None
        if "grain" in row.cells:
            raw = row.cells["grain"]
            grain = chosen(raw, _GRAINS, row.at("grain"), self._faults)
        note = self._text(row, "note", LONGEST_NOTE)
        match = self._text(row, "match", 40)
        if match:  # a run has one name, however it is spelt
            match = self._spelt.setdefault(folded(match), match)
        flow = None
        if "flow" in row.cells:
            flow = chosen(row.cells["flow"], _FLOWS, row.at("flow"), self._faults)
            if not match:
                what = "a flow is that of a run, and the part is in none"
                self._faults.add(row.at("flow"), what, "name its run under match")
        priority = None
        if "priority" in row.cells:
            priority = whole_number(
                row.cells["priority"],
                1,
                LAST_PRIORITY,
                row.at("priority"),
                self._faults,
            )
        material = self._material(row)
        section, square = None, False
        if material is not None:
            section = self._section(row, material)
            self._check_sizes(row, material, section)
            square = self._square_edges(row, material, section)
            if material.kind is MaterialKind.LUMBER and priority is not None:
                what = f"{material.name!r} is lumber: only sheets have priorities"
                self._faults.add(row.at("priority"), what, "leave the cell empty")
        made = self._making(row)
        if len(self._faults) > before or material is None:
            self._torn.add(folded(match))
            return None
        if quantity is None or sizes["length"] is None:
            return None  # it builds on a name that is faulty itself
        default = Grain.LENGTH if material.has_grain else Grain.ANY
        part = Part(
            name=name,
            quantity=quantity,
            material=material.name,
            length=sizes["length"],
            width=sizes["width"],
            thickness=sizes["thickness"],
            grain=grain or default,
            section=section,
            allowance=Allowance(
                length=extras["extra_length"],
                width=extras["extra_width"],
                thickness=extras["extra_thickness"],
            ),
            note=note,
            match=match,
            flow=flow,
            priority=USUAL_PRIORITY if priority is None else priority,
            path=row.spot.path,
            line=row.spot.line,
            square_edges=square,
            **made,
        )
        if match:
            self._runs.setdefault(folded(match), []).append((row, part))
        return part

    def _making(self, row: PartRow) -> _Making:
        """Return what a row says of how its part is made."""
        made: _Making = {}
        joints = self._text(row, "joints", LONGEST_NOTE)
        if joints:
            made["joints"], made["is_overall"] = read_joints(
                joints, row.at("joints"), self._sizes, self._faults
            )
        build = self._text(row, "build", 40)
        if build:
            made["wish"] = read_build(build, row.at("build"), self._faults)
        edging = self._text(row, "edging", 120)
        if edging:
            made["edging"] = self._edging(edging, row)
        if "fitted" in row.cells:
            made["is_fitted"] = self._is_so(row, "fitted")
        if "clear" in row.cells:
            made["is_clear"] = self._is_so(row, "clear")
        return made

    def _is_so(self, row: PartRow, column: str) -> bool:
        """Return whether a cell says yes."""
        raw = row.cells[column]
        if isinstance(raw, bool):
            raw = "yes" if raw else "no"
        return bool(chosen(raw, _YES_OR_NO, row.at(column), self._faults))

    def _edging(self, text: str, row: PartRow) -> Edging | None:
        spot = row.at("edging")
        read = read_edging(text, spot, self._materials, self._sizes, self._faults)
        if read is None:
            return None
        material = self._materials.get(folded(read.material))
        return None if material is None else replace(read, material=material.name)

    def check_runs(self) -> None:
        """Note what is wrong with the runs of the parts that have been read."""
        for key, rows in self._runs.items():
            row, first = rows[0]
            name = shown(first.match)
            count = sum(part.quantity for _, part in rows)
            if count < 2 and key not in self._torn:
                what = f"the run {name} is this one part"
                remedy = "write the same match on those it goes on to, or none"
                self._faults.add(row.at("match"), what, remedy)
            elif count > MOST_IN_RUN:
                what = f"the run {name} has {count} members"
                remedy = f"no more than {MOST_IN_RUN} go in one run"
                self._faults.add(row.at("match"), what, remedy)
            flow = next((p.flow for _, p in rows if p.flow is not None), None)
            for row, part in rows:
                if part.material != first.material:
                    what = f"the run {name} is of {first.material!r}, this part is not"
                    remedy = "parts of one run come from one sheet"
                    self._faults.add(row.at("match"), what, remedy)
                elif part.section is not None:
                    what = f"{part.material!r} is lumber: only sheets are matched"
                    self._faults.add(row.at("match"), what, "leave the cell empty")
                elif part.flow not in (None, flow):
                    what = f"the run {name} goes {part.flow} here and {flow} before"
                    remedy = "say it on one of its parts, or alike on all"
                    self._faults.add(row.at("flow"), what, remedy)

    def _check_twice(self, name: str, row: PartRow) -> None:
        """Note a part whose name another has."""
        key = name.casefold()
        if key in self._seen:
            first = self._seen[key]
            where = f" (first on line {first.line})" if first.line else ""
            what = f"the part {name!r} is there twice{where}"
            self._faults.add(row.at("part"), what, "add up qty, or name them apart")
        elif name:
            self._seen[key] = row.spot

    def _text(self, row: PartRow, column: str, longest: int) -> str:
        raw = row.cells.get(column)
        if raw is None:
            return ""
        if not isinstance(raw, str):
            what = f"a text is wanted, not {shown(raw)}"
            self._faults.add(row.at(column), what, "put it in quotes")
            return ""
        return checked_text(raw, row.at(column), self._faults, longest)

    def _size(self, row: PartRow, column: str, *, zero: bool = False) -> Ticks | None:
        if column not in row.cells:
            return None
        raw = row.cells[column]
        return self._sizes.read(raw, row.at(column), self._faults, zero=zero)

    def _material(self, row: PartRow) -> Material | None:
        """Return the part's material, or None where it is unknown or faulty."""
        if "material" not in row.cells:
            only = list(self._materials.values())
            return only[0] if len(only) == 1 else None
        name = self._text(row, "material", 80)
        if not name or not self._materials or folded(name) in self._materials:
            return self._materials.get(folded(name))
        known = [m.name for m in self._materials.values() if m is not None]
        what = f"{name!r} is no material of this job"
        remedy = suggestion(name, known) or "add it to the materials"
        self._faults.add(row.at("material"), what, remedy)
        return None

    def _section(self, row: PartRow, material: Material) -> str | None:
        """Return the name of the part's section: its own, or the only one there is."""
        names = {section_key(s.name): s.name for s in material.sections}
        wanted = self._text(row, "section", 40)
        if not wanted:
            return next(iter(names.values())) if len(names) == 1 else None
        if not names:
            what = f"{material.name!r} is a sheet and has no sections"
            self._faults.add(row.at("section"), what, "leave the cell empty")
            return None
        key = section_key(wanted)
        if key not in names:
            try:
                key = section_key(nominal_section(wanted).name)
            except InputError:
                key = ""
        if key not in names:
            what = f"{material.name!r} is not sold as {wanted!r} in this job"
            remedy = suggestion(wanted, names.values())
            self._faults.add(row.at("section"), what, remedy)
            return None
        return names[key]

    def _square_edges(
        self, row: PartRow, material: Material, section: str | None
    ) -> bool:
        """Return whether a part may not keep the rounded edges of its lumber."""
        if "edges" not in row.cells:
            return False
        spot = row.at("edges")
        if not chosen(row.cells["edges"], _EDGES, spot, self._faults):
            return False
        if material.kind is MaterialKind.SHEET:
            what = f"{material.name!r} is a sheet: only lumber has rounded edges"
            self._faults.add(spot, what, "leave the cell empty")
        eased = any(s.eased for s in material.sections if s.name == section)
        if eased and "width" not in row.cells:
            what = f"a part as wide as {section} keeps its rounded edges"
            self._faults.add(spot, what, "give the part a width, or leave this empty")
        return True

    def _check_sizes(
        self, row: PartRow, material: Material, section: str | None
    ) -> None:
        """Note a width or thickness that neither the part nor its stock gives."""
        if material.kind is MaterialKind.SHEET:
            if "width" not in row.cells:
                what = "a part from a sheet needs a width"
                self._faults.add(
                    row.at("width"), what, "give each part of a sheet both"
                )
            return
        if section is not None or "section" in row.cells:
            return
        missing = [key for key in ("width", "thickness") if key not in row.cells]
        if missing:
            named = ", ".join(s.name for s in material.sections)
            what = f"neither the section nor the {' and '.join(missing)} is given"
            remedy = f"{material.name!r} is sold as {named}: name one under section"
            self._faults.add(row.at(missing[0]), what, remedy)


def rows_of(tables: list[Table], faults: FaultList) -> list[PartRow]:
    """Return the ``[[part]]`` tables of a job file as rows of a part list."""
    rows: list[PartRow] = []
    for table in tables:
        cells: dict[str, object] = {}
        for key, raw in table.data.items():
            if key in COLUMNS:
                cells[key] = raw
            else:
                what = f"{shown(key)} is no key of a part"
                faults.add(table.spot(key), what, column_hint(key))
        spots = {key: table.spot(key) for key in COLUMNS}
        rows.append(PartRow(cells=cells, spots=spots, spot=table.spot()))
    return rows
