"""Compiled copies of kernels, kept in a cache folder from one run to the next.

A source file of kernels is loaded a second time under another name, and there every
kernel is replaced by its compiled self, its callees copied into it. The cache folder is
named by a digest of all kernel sources, of where and when they were written, and of the
versions that make machine code of them: a changed helper can never meet a stale caller.
Where no folder can be written, the code is compiled anew in each process; where there
is no compiler, there are no compiled copies, and the plain functions do the same work
slowly.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import importlib.metadata
import importlib.util
import os
import platform
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import FunctionType, MappingProxyType
from typing import Any

_MARK = "complete"
_COMPILING = 25.0  # seconds that a search should have left to begin it


def may_compile() -> bool:
    """Tell whether there is a compiler and nobody has switched it off."""
    for switch in ("NESTING_NO_JIT", "NUMBA_DISABLE_JIT"):
        if os.environ.get(switch, "") not in ("", "0"):
            return False
    return importlib.util.find_spec("numba") is not None


def cache_folder(modules: Sequence[str]) -> Path | None:
    """Return the folder for the compiled copies of these modules, made if need be.

    Parameters
    ----------
    modules
        Dotted names of the kernel sources.

    Returns
    -------
    Path or None
        Under ``NUMBA_CACHE_DIR`` if that is set, else in the user's cache; None where
        neither can be written.
    """
    name = _digest(tuple(modules))
    for base in _bases():
        folder = base / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=folder):
                return folder
        except OSError:
            continue
    return None


def is_complete(modules: Sequence[str]) -> bool:
    """Tell whether the compiled copies of these modules wait in the cache."""
    folder = cache_folder(modules)
    return folder is not None and (folder / _MARK).is_file()


def mark_complete(modules: Sequence[str]) -> None:
    """Note that everything of these modules is in the cache now."""
    folder = cache_folder(modules)
    if folder is not None:
        with contextlib.suppress(OSError):
            (folder / _MARK).touch()


def pays_to_compile(modules: tuple[str, ...], seconds_left: float | None) -> bool:
    """Tell whether a search should go on compiled with what time it has left.

    Parameters
    ----------
    modules
        Dotted names of the kernel sources.
    seconds_left
        None for no limit. With little, a cold cache is not filled.
    """
    if not may_compile():
        return False
    return seconds_left is None or seconds_left > _COMPILING or is_complete(modules)


@functools.cache
def compiled(modules: tuple[str, ...]) -> Mapping[str, Any]:
    """Return the compiled kernels of some modules by name; each compiles when called.

    Parameters
    ----------
    modules
        Dotted names, callees before callers.

    Returns
    -------
    Mapping
        From function name to compiled function.
    """
    import numba

    folder = cache_folder(modules)
    decorate = functools.partial(
        numba.njit,
        nogil=True,
        error_model="numpy",
        _nrt=False,
        forceinline=True,  # a call hands over dozens of words: half the time went there
        cache=folder is not None,
    )
    made: dict[tuple[str, str], Any] = {}
    with _caching_in(numba.config, folder):
        for name in modules:
            for key, function in _load_again(name, made, decorate):
                made[name, key] = function
    return MappingProxyType({name: function for (_, name), function in made.items()})


def _load_again(
    name: str, made: Mapping[tuple[str, str], Any], decorate: Any
) -> Iterator[tuple[str, Any]]:
    spec = importlib.util.spec_from_file_location(f"{name}.compiled", _source(name))
    if spec is None or spec.loader is None:  # the file was found a moment ago
        raise ImportError(name)
    copy = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = copy
    spec.loader.exec_module(copy)
    for key, value in list(vars(copy).items()):
        source = getattr(value, "kernel", None)
        if not isinstance(source, FunctionType):
            continue
        if source.__module__ == spec.name:
            vars(copy)[key] = decorate(source)
            yield key, vars(copy)[key]
        else:
            vars(copy)[key] = made[source.__module__, key]


@contextlib.contextmanager
def _caching_in(config: Any, folder: Path | None) -> Iterator[None]:
    """Point numba's cache to a folder while functions are being decorated."""
    before = config.CACHE_DIR
    if folder is not None:
        config.CACHE_DIR = str(folder)
    try:
        yield
    finally:
        config.CACHE_DIR = before


def _source(module: str) -> Path:
    spec = importlib.util.find_spec(module)
    if spec is None or spec.origin is None:
        raise ImportError(module)
    return Path(spec.origin)


@functools.cache
def _digest(modules: tuple[str, ...]) -> str:
    sha = hashlib.sha256()
    for module in modules:
        source = _source(module)
        # The cache knows a source by its place and time, too: a copy is compiled anew.
        where = f"{module}\0{source}\0{source.stat().st_mtime_ns}\0"
        sha.update(where.encode() + source.read_bytes() + b"\0")
    for word in (
        sys.version,
        platform.machine(),
        platform.processor(),
        *(importlib.metadata.version(each) for each in ("numba", "llvmlite", "numpy")),
    ):
        sha.update(word.encode() + b"\0")
    return sha.hexdigest()[:16]


def _bases() -> Iterator[Path]:
    chosen = os.environ.get("NUMBA_CACHE_DIR")
    if chosen:
        yield Path(chosen)
        return
    with contextlib.suppress(RuntimeError):  # a user without a home
        if sys.platform == "win32":
            local = os.environ.get("LOCALAPPDATA")
            yield (Path(local) if local else Path.home()) / "nesting" / "cache"
        elif sys.platform == "darwin":
            yield Path.home() / "Library" / "Caches" / "nesting"
        else:
            cache = os.environ.get("XDG_CACHE_HOME")
            yield (Path(cache) if cache else Path.home() / ".cache") / "nesting"
