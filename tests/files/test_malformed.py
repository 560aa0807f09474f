"""Every kind of malformed job is refused in clear sentences, and in no other way."""

import importlib.util
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.files import read_job

_SPEC = importlib.util.spec_from_file_location(
    "malformed_jobs", Path(__file__).with_name("malformed.py")
)
assert _SPEC is not None
assert _SPEC.loader is not None
malformed = importlib.util.module_from_spec(_SPEC)
sys.modules[_SPEC.name] = malformed  # dataclasses look their module up
_SPEC.loader.exec_module(malformed)


def test_sound_job_is_read(tmp_path):
    """The job from which all malformed ones are made is itself sound."""
    (tmp_path / "job.toml").write_text(malformed.SOUND_JOB)
    (tmp_path / "parts.csv").write_text(malformed.SOUND_PARTS)
    assert len(read_job(tmp_path).parts) == 4


def test_cases_are_many_and_named_apart():
    """The table holds at least forty cases, each with a name of its own."""
    names = [case.name for case in malformed.MALFORMED]
    assert len(names) >= 40
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("case", malformed.MALFORMED, ids=lambda case: case.name)
def test_malformed_job_is_refused(case, tmp_path):
    """A malformed job raises InputError with place, what was read and what would do."""
    path = case.write(tmp_path)
    with pytest.raises(InputError) as caught:
        read_job(path)
    told = str(caught.value)
    for words in case.says:
        assert words in told
    assert len(caught.value.faults) == case.faults, told
    for fault in caught.value.faults:
        assert fault.path.startswith(str(tmp_path))  # where
        assert fault.what  # what
        assert fault.remedy  # what would do
        assert len(str(fault)) < 500
        assert str(fault).isprintable()


SPLICES = st.tuples(
    st.integers(0, 600),
    st.integers(0, 8),
    st.text("\"'[]{}=,;\n#0123456789.-+*/()x½ntif\x00\x1b\u2028", max_size=6),
)


def spliced(text, splices):
    """Return a text with slips of the finger in it."""
    for place, length, new in splices:
        at = place % (len(text) + 1)
        text = text[:at] + new + text[at + length :]
    return text


@given(
    job=st.lists(SPLICES, max_size=3),
    parts=st.lists(SPLICES, max_size=3),
)
@settings(max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_slips_of_the_finger_do_no_worse_than_be_refused(tmp_path, job, parts):
    """Whatever is typed into a sound job, it is read or refused, in lines of text."""
    (tmp_path / "job.toml").write_text(spliced(malformed.SOUND_JOB, job), newline="")
    (tmp_path / "parts.csv").write_text(
        spliced(malformed.SOUND_PARTS, parts), newline=""
    )
    try:
        told, parts_read = (), read_job(tmp_path).parts
    except InputError as error:
        told, parts_read = error.faults, ()
    assert told or parts_read
    assert all(fault.remedy and str(fault).isprintable() for fault in told)
