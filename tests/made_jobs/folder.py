"""A job as a folder on disk."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

from nesting.model.blank import USUAL_PRIORITY
from nesting.model.job import Allowance, Job, MaterialKind
from nesting.model.terms import Form, Origin
from nesting.units import Ticks, Unit, write_exact

COLUMNS = (
    "part", "qty", "material", "section", "length", "width", "thickness", "grain",
    "extra_length", "extra_width", "note", "match", "flow", "priority",
)  # fmt: skip


def write_job_folder(job: Job, folder: Path) -> Path:
    """Write a job as its maker would: ``job.toml`` and ``parts.csv``."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text(_toml(job), encoding="utf-8")
    (folder / "parts.csv").write_text(_csv(job), encoding="utf-8", newline="")
    return folder


def _toml(job: Job) -> str:
    unit = job.display.unit

    def size(ticks: Ticks) -> str:
        return json.dumps(write_exact(ticks, unit))

    inch = unit is Unit.INCH
    lines = [
        "[job]",
        f"name = {json.dumps(job.name)}",
        f'units = "{"inch" if inch else "mm"}"',
        f"fraction = {job.display.denominator}",
        f"currency = {json.dumps(job.currency)}",
    ]
    rough = job.shop.longest_rough
    longest = '"any"' if rough is None else size(rough)
    lines += ["", "[shop]", f"longest_rough = {longest}"]
    for saw in job.shop.saws:
        lines += ["", "[[saw]]", f"name = {json.dumps(saw.name)}"]
        lines += [f"kind = {json.dumps(saw.kind)}"] if saw.kind else []
        lines.append(f"cuts = {json.dumps([plane.value for plane in saw.planes])}")
        lines.append(f'rip_guide = "{saw.rip_guide}"')
        lines.append(f'crosscut_guide = "{saw.crosscut_guide}"')
        lines.append(f"kerf = {size(saw.kerf)}")
        lines.append(f"smallest_piece = {size(saw.smallest_piece or 0)}")
        for key in (
            "longest_cut", "widest_rip", "narrowest_rip", "widest_crosscut", "tallest",
        ):  # fmt: skip
            reach: Ticks | None = getattr(saw, key)
            lines += [] if reach is None else [f"{key} = {size(reach)}"]
    for material in job.materials:
        table = f"materials.{json.dumps(material.name)}"
        lines += ["", f"[{table}]", f'kind = "{material.kind}"']
        if material.thickness is not None:
            grain = material.stock[0].grain if material.has_grain else "none"
            lines += [f"thickness = {size(material.thickness)}", f'grain = "{grain}"']
        allowance = material.allowance
        length, width = size(allowance.length or 0), size(allowance.width or 0)
        extra = f"length = {length}, width = {width}"
        lines += [f"allowance = {{ {extra} }}"] if allowance != Allowance() else []
        if material.kind is MaterialKind.LUMBER:
            lines += ["eased = 0"]
        for section in material.sections:
            lines.append(f"[{table}.sections.{json.dumps(section.name)}]")
            lines.append(f"thickness = {size(section.thickness)}")
            lines.append(f"width = {size(section.width)}")
        for stock in material.stock:
            lines += [f"[[{table}.stock]]", f"name = {json.dumps(stock.id)}"]
            lines.append(f"length = {size(stock.length)}")
            trims = {"left": stock.trim.low_x, "right": stock.trim.high_x}
            if stock.form is Form.SHEET:
                lines.append(f"width = {size(stock.width)}")
                trims |= {"front": stock.trim.low_y, "back": stock.trim.high_y}
            else:
                lines.append(f"section = {json.dumps(stock.section)}")
            edges = ", ".join(f"{edge} = {size(trim)}" for edge, trim in trims.items())
            lines.append(f"trim = {{ {edges} }}")
            if stock.zones:
                damage = ", ".join(
                    f"{{ x = {size(z.x)}, y = {size(z.y)}, "
                    f"length = {size(z.length)}, width = {size(z.width)} }}"
                    for z in stock.zones
                )
                lines.append(f"damage = [{damage}]")
            if stock.origin is Origin.RACK:
                lines.append(f"owned = {stock.limit}")
                lines += [f"tag = {json.dumps(stock.tag)}"] if stock.tag else []
                continue
            lines += [] if stock.limit is None else [f"limit = {stock.limit}"]
            if stock.price_cents is not None:
                lines.append(f"price = {stock.price_cents / 100:.2f}")
    lines += ["", "[keep]"]
    kept = [
        " x ".join(write_exact(side, unit) for side in s) for s in job.offcuts.sheet
    ]
    lines += [f"sheet = {json.dumps(kept)}", f"stick = {size(job.offcuts.stick or 0)}"]
    for line in job.hardware:
        lines += ["", "[[hardware]]", f"name = {json.dumps(line.name)}"]
        lines.append(f"qty = {line.quantity}")
        if line.price_cents is not None:
            lines.append(f"price = {line.price_cents / 100:.2f}")
    return "\n".join(lines) + "\n"


def _csv(job: Job) -> str:
    unit = job.display.unit
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(COLUMNS)
    for number, part in enumerate(job.parts):
        sizes = []
        for ticks in (part.length, part.width, part.thickness):
            text = "" if ticks is None else write_exact(ticks, unit)
            if number % 2:  # as bare numbers, every other row
                text = text.removesuffix('"' if unit is Unit.INCH else " mm")
            sizes.append(text)
        own = part.allowance
        extra = ["", ""]
        if own != Allowance():
            extra = [write_exact(s or 0, unit) for s in (own.length, own.width)]
        writer.writerow(
            [
                part.name,
                part.quantity,
                part.material,
                part.section or "",
                *sizes,
                part.grain,
                *extra,
                part.note,
                part.match,
                part.flow or "",
                "" if part.priority == USUAL_PRIORITY else part.priority,
            ]
        )
    return stream.getvalue()


def alike(read: Job, made: Job) -> bool:
    """Tell whether a job read from disk is the one that was written."""
    plain = tuple(replace(part, line=None) for part in read.parts)
    return replace(read, parts=plain, digest="") == made
