"""Text files: what is read, and what is refused before it is looked at."""

import codecs
import os

import pytest

from nesting.errors import InputError
from nesting.files.faults import FaultList
from nesting.files.text import read_text


def read(path, **kwargs):
    """Return the text of a file, or raise its faults."""
    faults = FaultList()
    file = read_text(path, faults, **kwargs)
    faults.raise_any()
    return file.text


def test_byte_order_mark_is_dropped(tmp_path):
    """UTF-8 is read with the mark that spreadsheets put before it, and without."""
    path = tmp_path / "parts.csv"
    path.write_bytes(codecs.BOM_UTF8 + "Füllung ½".encode())
    assert read(path) == "Füllung ½"


def test_largest_file_is_still_read(tmp_path):
    """A file of just the limit is read, one byte more is not."""
    path = tmp_path / "list.csv"
    path.write_bytes(b"x" * 100)
    assert len(read(path, largest=100)) == 100
    with pytest.raises(InputError, match="larger than"):
        read(path, largest=99)


@pytest.mark.parametrize("mark", [codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE])
def test_utf_16_is_named(tmp_path, mark):
    """Text in UTF-16 is refused by its name, in either order of bytes."""
    path = tmp_path / "list.csv"
    path.write_bytes(mark + b"p\0a\0")
    with pytest.raises(InputError, match="UTF-16"):
        read(path)


def test_folder_is_no_file(tmp_path):
    """A folder where a file is wanted is refused."""
    with pytest.raises(InputError, match="no file"):
        read(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_pipe_is_not_waited_for(tmp_path):
    """A pipe, which would never end, is refused rather than read."""
    path = tmp_path / "pipe"
    os.mkfifo(path)
    with pytest.raises(InputError, match="no file"):
        read(path)


def test_absurd_name_is_refused(tmp_path):
    """A name that no system takes is a fault like any other."""
    with pytest.raises(InputError, match=r"cannot be read|no such file"):
        read(tmp_path / ("n" * 5000))
