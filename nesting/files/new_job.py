"""A fresh job folder: a small project with comments, which plans as it is."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Final

from nesting.errors import Fault, InputError
from nesting.files.folder import write_folder
from nesting.files.job_file import JOB_FILE, PARTS_FILE

STARTER_FILES: Final = (JOB_FILE, PARTS_FILE)


def starter_files() -> dict[str, bytes]:
    """Return the contents of a fresh job folder by file name."""
    home = resources.files(__package__) / "starter"
    return {name: (home / name).read_bytes() for name in STARTER_FILES}


def new_job(folder: Path | str) -> tuple[str, ...]:
    """Make a job folder with an example to change, and return its file names.

    Parameters
    ----------
    folder
        Where; it must not exist yet, or be empty.

    Raises
    ------
    InputError
        Something is there already, or the folder cannot be written.
    """
    path = Path(folder)
    try:
        taken = path.exists() and (not path.is_dir() or any(path.iterdir()))
    except OSError as error:
        reason = error.strerror or str(error)
        fault = Fault(what=f"it cannot be looked into ({reason})", path=str(path))
        raise InputError(faults=(fault,)) from None
    if taken:
        what = "it holds something already" if path.is_dir() else "it is a file"
        remedy = "name a new folder, or an empty one"
        raise InputError(faults=(Fault(what=what, remedy=remedy, path=str(path)),))
    files = starter_files()
    write_folder(path, files)
    return tuple(files)
