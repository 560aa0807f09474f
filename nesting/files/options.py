"""Materials given as options of a command, in a notation of one line each.

Blanks are free, sizes are as in `nesting.units`, capitals do not matter::

    sheet = NAME "=" LENGTH "x" WIDTH "x" THICKNESS ["@" PRICE] WORDS
    stick = NAME SECTION "=" LENGTH ["@" PRICE] { SEP LENGTH ["@" PRICE] } WORDS
    WORDS = ["max" N] ["own" N] ["no grain"]          SEP = ";" or ", " with its space

    birch ply = 96 x 48 x 23/32 @ 62.50 max 3
    mdf = 97 x 49 x 3/4 @ 41 no grain
    pine 2x4 = 96 @ 4.85, 120 @ 6.40
    ash 3/4 x 5 1/2 actual = 96 @ 14

A section is nominal, as PS 20 dresses it, unless ``actual`` follows, or the job is in
millimetres and the table does not have it. Options of one name are one material.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Final

from nesting.errors import InputError
from nesting.files.faults import FaultList, Spot, shown
from nesting.files.lumber import find_section, section_key, with_edges
from nesting.files.sizes import Sizes
from nesting.files.stock import (
    MOST_PIECES,
    USUAL_SHEET_TRIM,
    USUAL_STICK_TRIM,
    StockNames,
    Supply,
    build_stock,
    even_trim,
)
from nesting.files.sums import folded
from nesting.files.tables import cents, checked_text, whole_number
from nesting.model.job import Material, MaterialKind, Section
from nesting.model.mill import Allowances
from nesting.model.stock import Stock
from nesting.model.terms import Form, Origin
from nesting.trade.lumber import nominal_section
from nesting.units import Display, Ticks, Unit

LONGEST_OPTION: Final = 400

SHEET_FORM: Final = "write it like 'birch ply = 96 x 48 x 1/2 @ 62.50'"
STICK_FORM: Final = "write it like 'pine 2x4 = 96 @ 4.85, 120 @ 6.40'"
_WORDS: Final = re.compile(
    r"\s+(?:(?P<word>max|own)\s+(?P<count>\S+)|(?P<plain>no\s+grain))\s*$",
    re.IGNORECASE,
)
_TIMES: Final = re.compile(r"\s*[x×]\s*", re.IGNORECASE)
_SECTION: Final = re.compile(
    r"(?P<name>.*?\S)\s+(?P<section>[0-9½¼¾⅛⅜⅝⅞][^x×=]*[x×][^x×=]*?)"
    r"(?P<actual>\s+actual)?\s*",
    re.IGNORECASE,
)
_GLUED_COMMA: Final = re.compile(r"[0-9],[0-9]")
_NEXT_LENGTH: Final = re.compile(r"\s*;\s*|,\s+")


@dataclass(slots=True, kw_only=True)
class _Words:
    """What stands after the sizes of an option."""

    limit: int | None = None
    owned: int | None = None
    grain: bool = True


@dataclass(slots=True, kw_only=True)
class _Family:
    """A material that is being put together from several options."""

    name: str
    kind: MaterialKind
    thickness: Ticks | None = None
    grain: bool = True
    sections: dict[str, Section] = field(default_factory=dict)
    stock: list[Stock] = field(default_factory=list)


class OptionReader:
    """Reads the options that give materials, and puts those of one name together."""

    def __init__(self, display: Display, trim: str | None, faults: FaultList) -> None:
        self.sizes = Sizes(display.unit)
        self._names = StockNames(display)
        self._faults = faults
        self._families: dict[str, _Family] = {}
        self._broken: set[str] = set()
        self._trims = {Form.SHEET: USUAL_SHEET_TRIM, Form.STICK: USUAL_STICK_TRIM}
        if trim is not None:
            size = self.sizes.read(trim, Spot(field="trim"), faults, zero=True)
            if size is not None:
                self._trims = {form: even_trim(size, form) for form in self._trims}

    def materials(self) -> dict[str, Material | None]:
        """Return the materials under their `folded` names; None for faulty ones."""
        found: dict[str, Material | None] = dict.fromkeys(self._broken)
        for key, family in self._families.items():
            if key in self._broken or not family.stock:
                found[key] = None
                continue
            found[key] = Material(
                name=family.name,
                kind=family.kind,
                thickness=family.thickness,
                sections=tuple(family.sections.values()),
                has_grain=family.grain,
                stock=tuple(family.stock),
            )
        return found

    def read(
        self, text: str, spot: Spot, form: Callable[[str, str, _Words, Spot], None]
    ) -> None:
        """Read one option: its name, its trailing words, then what its form has."""
        remedy = SHEET_FORM if form == self.sheet else STICK_FORM
        before = len(self._faults)
        left, equals, right = text.partition("=")
        left = " ".join(left.split())
        if len(text) > LONGEST_OPTION:
            self._faults.add(spot, f"{shown(text)} is far too long", remedy)
        elif not equals or not left or not right.strip():
            self._faults.add(spot, f"cannot read {shown(text)}", remedy)
        elif checked_text(text, spot, self._faults, LONGEST_OPTION):
            words, right = self._words(right, spot)
            form(left, right, words, spot)
        if len(self._faults) > before and left:
            name = _SECTION.fullmatch(left) if form == self.stick else None
            self._broken.add(folded(name["name"] if name else left))

    def sheet(self, name: str, right: str, words: _Words, spot: Spot) -> None:
        """Read what a sheet has right of the equals sign."""
        text, price = self._price(right, spot)
        sides = _TIMES.split(text.strip())
        if len(sides) != 3:
            what = f"{shown(text.strip())} is no length x width x thickness"
            self._faults.add(spot, what, SHEET_FORM)
            return
        read = [self.sizes.read(side, spot, self._faults) for side in sides]
        length, width, thickness = read
        if length is None or width is None or thickness is None:
            return
        family = self._family(name, MaterialKind.SHEET, spot)
        if family is None:
            return
        if family.thickness not in (None, thickness):
            what = f"{name!r} has two thicknesses"
            self._faults.add(spot, what, "give each thickness a name of its own")
        family.thickness = thickness
        family.grain = family.grain and words.grain
        supply = self._supply(price, words)
        plain = self._names.sheet(family.name, length, width)
        family.stock += build_stock(
            id=self._names.claim(plain, supply, spot, self._faults),
            material=family.name,
            form=Form.SHEET,
            sizes=(length, width, thickness),
            trim=self._trims[Form.SHEET],
            supply=supply,
            spot=spot,
            faults=self._faults,
        )

    def stick(self, left: str, right: str, words: _Words, spot: Spot) -> None:
        """Read the section left, and the lengths right of the equals sign."""
        match = _SECTION.fullmatch(left)
        if match is None:
            what = f"{shown(left)} is no name and section"
            self._faults.add(spot, what, STICK_FORM)
            return
        section = self._section(match["section"], bool(match["actual"]), spot)
        family = self._family(match["name"], MaterialKind.LUMBER, spot)
        if not words.grain:
            self._faults.add(spot, "lumber always has a grain", "leave 'no grain' out")
        if section is None or family is None:
            return
        section = with_edges(section, Allowances.usual(self.sizes.unit).eased)
        section = family.sections.setdefault(section_key(section.name), section)
        for length, price in self._lengths(right, spot):
            supply = self._supply(price, words)
            plain = self._names.stick(family.name, section.name, length)
            family.stock += build_stock(
                id=self._names.claim(plain, supply, spot, self._faults),
                material=family.name,
                section=section.name,
                form=Form.STICK,
                sizes=(length, section.width, section.thickness),
                trim=self._trims[Form.STICK],
                supply=supply,
                eased=section.eased,
                spot=spot,
                faults=self._faults,
            )

    def _family(self, name: str, kind: MaterialKind, spot: Spot) -> _Family | None:
        """Return the material of a name, new or begun; None if its kind is another."""
        new = _Family(name=name, kind=kind)
        family = self._families.setdefault(folded(name), new)
        if family.kind is not kind:
            what = f"{name!r} is given as a sheet and as lumber"
            self._faults.add(spot, what, "give each a name of its own")
            return None
        return family

    def _section(self, text: str, actual: bool, spot: Spot) -> Section | None:
        """Return the section that is named, or that is measured."""
        if not actual and self.sizes.unit is Unit.MM:
            try:
                nominal_section(text)
            except InputError:
                actual = True
        if not actual:
            return find_section(text, {}, spot, self._faults, or_else="add 'actual'")
        sides = [self.sizes.read(s, spot, self._faults) for s in _TIMES.split(text)]
        if len(sides) != 2 or sides[0] is None or sides[1] is None:
            return None
        name = " x ".join(_TIMES.split(" ".join(text.split())))
        return Section(name=name, thickness=sides[0], width=sides[1])

    def _lengths(self, text: str, spot: Spot) -> Iterator[tuple[Ticks, int | None]]:
        """Yield length and price of each stick of an option."""
        found: list[tuple[Ticks, int | None]] = []
        priced: set[bool] = set()
        for entry in _NEXT_LENGTH.split(text.strip()):
            size, price = self._price(entry, spot)
            if _GLUED_COMMA.search(size):
                what = f"the comma in {shown(size)} could be meant in two ways"
                remedy = "lengths have a space after their comma, decimals a point"
                self._faults.add(spot, what, remedy)
                continue
            length = self.sizes.read(size.strip(), spot, self._faults)
            if length is not None:
                found.append((length, price))
                priced.add("@" in entry)
        if len(priced) > 1:
            what = "some of the lengths have a price and some have none"
            self._faults.add(spot, what, STICK_FORM)
        yield from found

    def _price(self, text: str, spot: Spot) -> tuple[str, int | None]:
        """Return what stands before a price, and the price in cents."""
        size, at, price = text.partition("@")
        return size, cents(price.strip(), spot, self._faults) if at else None

    def _words(self, text: str, spot: Spot) -> tuple[_Words, str]:
        """Return the words at the end of an option, and what stands before them."""
        words = _Words()
        given: list[str] = []
        while match := _WORDS.search(text):
            text = text[: match.start()]
            word = (match["word"] or "no grain").lower()
            given.append(word)
            if match["plain"]:
                words.grain = False
                continue
            count = whole_number(match["count"], 0, MOST_PIECES, spot, self._faults)
            if word == "max":
                words.limit = count
            else:
                words.owned = count
        if len(set(given)) < len(given):
            self._faults.add(spot, f"{given[0]!r} is there twice", "keep one")
        if words.owned is not None and ("max" in given or "@" in text):
            what = "what one owns has neither a price nor a 'max'"
            self._faults.add(spot, what, "give what is bought an option of its own")
        return words, text

    def _supply(self, price: int | None, words: _Words) -> Supply:
        """Return how the stock of an option is come by."""
        if words.owned is not None:
            return Supply(price_cents=0, limit=words.owned, origin=Origin.RACK)
        return Supply(price_cents=price, limit=words.limit)
