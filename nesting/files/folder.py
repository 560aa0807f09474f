"""Writing files together: an error leaves the old set or the new one, never half.

All files are first written under temporary names in their own folder. Only when every
one of them is on the disk are they renamed; files they replace are kept until the last
one is in place, and put back should one rename fail.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from nesting.errors import Fault, InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class _Move:
    """One file on its way: where it waits, where it goes, where the old one waits."""

    new: Path
    target: Path
    old: Path


def write_folder(folder: Path | str, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files into a folder, all of them or none.

    Parameters
    ----------
    folder
        The folder; made if it is not there, with those above it.
    files
        The contents by file name; a name may lead into a folder within, with ``/``.
        Files that have such a name already are replaced, others left alone.

    Returns
    -------
    tuple of Path
        The files that were written.

    Raises
    ------
    InputError
        The folder cannot be written; nothing in it has changed.
    """
    root = Path(folder)
    mark = secrets.token_hex(4)
    moves = [_move(root, name, mark) for name in files]
    made: list[Path] = []
    try:
        for move in moves:
            _make_folder(move.target.parent, made)
            if move.target.is_dir():
                raise IsADirectoryError(0, "a folder has that name", str(move.target))
        for move, content in zip(moves, files.values(), strict=True):
            _write(move.new, content)
        _put_in_place(moves)
    except OSError as error:
        _clear([move.new for move in moves], made)
        reason = error.strerror or str(error)
        what = f"cannot write {error.filename or root}: {reason}"
        remedy = "close programs that show its files, or choose another folder"
        fault = Fault(what=what, remedy=remedy, path=str(root))
        raise InputError(faults=(fault,)) from None
    except BaseException:  # Ctrl-C: leave nothing lying about
        _clear([move.new for move in moves], made)
        raise
    return tuple(move.target for move in moves)


def _move(root: Path, name: str, mark: str) -> _Move:
    """Return the paths of one file; a name that leads out of the folder is our bug."""
    pure = PurePosixPath(name)
    if pure.is_absolute() or ".." in pure.parts or not pure.name:
        message = f"{name!r} is no name of a file within a folder"
        raise ValueError(message)
    target = root.joinpath(*pure.parts)
    return _Move(
        new=target.with_name(f".{pure.name}.{mark}.new"),
        target=target,
        old=target.with_name(f".{pure.name}.{mark}.old"),
    )


def _make_folder(folder: Path, made: list[Path]) -> None:
    """Make a folder and those above it, remembering which were made."""
    if folder.is_dir():
        return
    if folder.parent != folder:
        _make_folder(folder.parent, made)
    folder.mkdir()
    made.append(folder)


def _write(path: Path, content: bytes) -> None:
    """Write one file to the disk."""
    with path.open("xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def _put_in_place(moves: list[_Move]) -> None:
    """Rename all files; if one cannot be, undo what was done and raise."""
    done: list[_Move] = []
    try:
        for move in moves:
            done.append(move)
            if move.target.exists():
                move.target.replace(move.old)
            move.new.replace(move.target)
    except BaseException:
        for move in reversed(done):
            with contextlib.suppress(OSError):
                if move.old.exists():
                    move.old.replace(move.target)
                elif not move.new.exists():
                    move.target.unlink(missing_ok=True)
        raise
    for move in moves:
        with contextlib.suppress(OSError):
            move.old.unlink(missing_ok=True)


def _clear(files: list[Path], folders: list[Path]) -> None:
    """Remove what was begun: files first, then the folders made for them."""
    for path in files:
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)
    for folder in reversed(folders):
        with contextlib.suppress(OSError):
            folder.rmdir()
