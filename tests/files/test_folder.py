"""Writing files together: all of them, or none and no trace."""

from pathlib import Path

import pytest

from nesting.errors import InputError
from nesting.files import write_folder

NEW = {"plan.json": b"new plan", "drawings.pdf": b"new drawings", "labels/a.txt": b"a"}


def contents(folder):
    """Return all files under a folder with their contents."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_files_are_written_into_a_new_folder(tmp_path):
    """The folder is made with those above it, and holds the files and nothing else."""
    target = tmp_path / "jobs" / "bench"
    written = write_folder(target, NEW)
    assert contents(target) == NEW
    assert set(written) == {target.joinpath(*name.split("/")) for name in NEW}


def test_old_files_are_replaced_and_others_left(tmp_path):
    """Files of the same names are replaced; what else lies there stays."""
    (tmp_path / "plan.json").write_bytes(b"old plan")
    (tmp_path / "notes.txt").write_bytes(b"mine")
    write_folder(tmp_path, NEW)
    assert contents(tmp_path) == {**NEW, "notes.txt": b"mine"}


def test_same_folder_can_be_written_again(tmp_path):
    """Writing twice leaves the second set and no temporary files."""
    write_folder(tmp_path, dict.fromkeys(NEW, b"once"))
    write_folder(tmp_path, NEW)
    assert contents(tmp_path) == NEW


@pytest.fixture
def old_set(tmp_path):
    """A folder with an older set of two of the files."""
    old = {"plan.json": b"old plan", "drawings.pdf": b"old drawings"}
    for name, content in old.items():
        (tmp_path / name).write_bytes(content)
    return old


@pytest.mark.parametrize("step", range(8))
def test_failure_at_any_step_leaves_the_old_set(tmp_path, old_set, monkeypatch, step):
    """Whichever rename fails, the old files are back and no new one is left."""
    calls = iter(range(99))
    replace = Path.replace
    undone = []

    def failing(self, target):
        if not undone and next(calls) == step:
            undone.append(self)
            raise PermissionError(13, "in use by a viewer", str(self))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", failing)
    if step >= 5:  # two old files and three new ones: five renames
        write_folder(tmp_path, NEW)
        assert contents(tmp_path) == NEW
        return
    with pytest.raises(InputError, match="in use by a viewer"):
        write_folder(tmp_path, NEW)
    assert contents(tmp_path) == old_set
    assert not (tmp_path / "labels").exists()


def test_full_disk_leaves_no_trace(tmp_path, old_set, monkeypatch):
    """An error while the files are written leaves the old set and no new folder."""

    def full(self, mode="r"):
        raise OSError(28, "No space left on device", str(self))

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(InputError, match="No space left"):
        write_folder(tmp_path / "new" / "deep", NEW)
    assert not (tmp_path / "new").exists()
    assert {p.name for p in tmp_path.iterdir()} == set(old_set)


def test_interrupt_leaves_no_trace(tmp_path, monkeypatch):
    """Ctrl-C in the middle is passed on, and nothing is left."""

    def interrupted(fd):
        raise KeyboardInterrupt

    monkeypatch.setattr("os.fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path / "new", NEW)
    assert list(tmp_path.iterdir()) == []


def test_folder_in_the_place_of_a_file(tmp_path):
    """A folder that has the name of a file is not touched."""
    (tmp_path / "plan.json").mkdir()
    with pytest.raises(InputError, match="a folder has that name") as caught:
        write_folder(tmp_path, NEW)
    assert caught.value.faults[0].remedy
    assert contents(tmp_path) == {}


def test_file_in_the_place_of_the_folder(tmp_path):
    """A file that has the name of the folder is a fault in words."""
    (tmp_path / "out").write_bytes(b"a file")
    with pytest.raises(InputError, match="cannot write"):
        write_folder(tmp_path / "out" / "bench", NEW)
    assert contents(tmp_path) == {"out": b"a file"}


@pytest.mark.parametrize("name", ["../plan.json", "/plan.json", "", "a/../../b"])
def test_names_cannot_lead_out_of_the_folder(tmp_path, name):
    """A file name that leaves the folder is a bug of the caller."""
    with pytest.raises(ValueError, match="no name of a file"):
        write_folder(tmp_path, {name: b""})
