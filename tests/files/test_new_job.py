"""A fresh job folder holds a small project that can be read as it is."""

import pytest

from nesting.errors import InputError
from nesting.files import new_job, read_job, starter_files
from nesting.model.job import MaterialKind


def test_starter_is_a_sound_job(tmp_path):
    """The example reads without a fault and shows sheets and lumber."""
    assert new_job(tmp_path / "stand") == ("job.toml", "parts.csv")
    job = read_job(tmp_path / "stand")
    assert 8 <= len(job.parts) <= 12
    assert {m.kind for m in job.materials} == set(MaterialKind)
    assert {part.material for part in job.parts} == {m.name for m in job.materials}


def test_parts_of_the_starter_fit_its_stock(tmp_path):
    """Each part fits between the trims of some stock of its material and section."""
    new_job(tmp_path)
    job = read_job(tmp_path)
    for part in job.parts:
        (material,) = [m for m in job.materials if m.name == part.material]
        assert any(
            part.length <= stock.usable_length
            and (part.width is None or part.width <= stock.usable_width)
            and stock.section == (part.section or "")
            for stock in material.stock
        )


def test_starter_goes_into_an_empty_folder(tmp_path):
    """An empty folder will do, and its files are those of the package."""
    new_job(tmp_path)
    for name, content in starter_files().items():
        assert (tmp_path / name).read_bytes() == content


@pytest.mark.parametrize("taken", ["folder", "file"])
def test_nothing_is_overwritten(tmp_path, taken):
    """A folder that holds something, or a file, is refused and left alone."""
    path = tmp_path / "stand"
    if taken == "folder":
        path.mkdir()
        (path / "notes.txt").write_text("mine")
    else:
        path.write_text("mine")
    with pytest.raises(InputError, match="name a new folder"):
        new_job(path)
    assert [p.name for p in tmp_path.rglob("*.*")] == ["notes.txt"] * (
        taken == "folder"
    )
