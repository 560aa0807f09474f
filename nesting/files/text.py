"""Reading text files that people and spreadsheets wrote; the first door of the room."""

from __future__ import annotations

import codecs
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from nesting.files.faults import FaultList, Spot

if TYPE_CHECKING:
    from pathlib import Path

LARGEST: Final = 5_000_000
"""Bytes of the largest job or part list that is read."""

_UTF_16: Final = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_AS_UTF_8: Final = 'save it as UTF-8 text (spreadsheets offer "CSV UTF-8")'


@dataclass(frozen=True, slots=True, kw_only=True)
class TextFile:
    """A text file that was read."""

    path: str
    """As the user named it."""
    text: str
    raw: bytes
    """What the text was decoded from, for the digest."""


def read_text(path: Path, faults: FaultList, largest: int = LARGEST) -> TextFile | None:
    """Return the text of a file, or None after noting why there is none.

    Parameters
    ----------
    path
        The file; UTF-8, with or without a byte order mark.
    faults
        Where a missing, empty, huge, binary or wrongly encoded file is noted.
    largest
        The most bytes that are read.
    """
    spot = Spot(path=str(path))
    try:
        if not path.exists():
            faults.add(spot, "there is no such file", "check its name and folder")
            return None
        if not path.is_file():
            faults.add(spot, "this is no file that could be read", "name another")
            return None
        with path.open("rb") as stream:
            raw = stream.read(largest + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        remedy = "check its name and who may read it"
        faults.add(spot, f"the file cannot be read ({reason})", remedy)
        return None
    if len(raw) > largest:
        most = f"{largest // 1_000_000} MB"
        faults.add(spot, f"the file is larger than {most}", "split it or clean it up")
        return None
    text = _decoded(raw, spot, faults)
    return None if text is None else TextFile(path=str(path), text=text, raw=raw)


def _decoded(raw: bytes, spot: Spot, faults: FaultList) -> str | None:
    """Return the bytes as text, or None after noting why they are none."""
    if raw.startswith(_UTF_16):
        faults.add(spot, "the text is UTF-16, which is not read", _AS_UTF_8)
        return None
    if b"\0" in raw:
        line = raw[: raw.index(b"\0")].count(b"\n") + 1
        where = Spot(path=spot.path, line=line)
        faults.add(where, "there are binary data (a zero byte), no text", _AS_UTF_8)
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        where = Spot(path=spot.path, line=line)
        what = f"byte {raw[error.start]:#04x} is not UTF-8 text"
        faults.add(where, what, _AS_UTF_8)
        return None
    if not text.strip():
        faults.add(spot, "the file is empty", "fill it in, or name another")
        return None
    return text
