"""Plan files: what is written is read back, and what is no plan is refused."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.files import parse_plan, read_plan, write_plan
from nesting.files.plan_json import to_json
from nesting.model.plan import FORMAT


@given(data=st.data())
@settings(max_examples=60)
def test_plans_come_back_as_they_went(plans, data):
    """Any plan that is written is read back the same, and written the same again."""
    plan = data.draw(plans)
    text = write_plan(plan)
    assert parse_plan(text) == plan
    assert write_plan(parse_plan(text)) == text


@given(data=st.data())
@settings(max_examples=30)
def test_text_is_the_plain_json_of_the_records(plans, data):
    """The layout of the text does not matter to any reader of JSON."""
    plan = data.draw(plans)
    assert json.loads(write_plan(plan)) == to_json(plan)


def test_keys_are_those_of_the_format(plan):
    """Keys stand in the order of the records, without their underscores."""
    read = json.loads(write_plan(plan))
    assert list(read)[:4] == ["format", "ticks_per_mm", "job", "shop"]
    assert (read["format"], read["ticks_per_mm"]) == ("nesting-plan/1", 1600)
    assert read["layouts"][0]["stock"]["from"] == [["L0", "b"]]
    assert read["layouts"][0]["cuts"][0]["from"] == "low"


def test_text_is_made_for_reading_differences(plan):
    """Each piece and each cut has a line, and letters stay letters."""
    text = write_plan(plan)
    lines = text.splitlines()
    assert text.endswith("}\n")
    assert len([line for line in lines if '"fate": ' in line]) == 2
    assert len([line for line in lines if '"step": ' in line]) == 1
    assert "Règle ½" in text
    assert all(line == line.rstrip() for line in lines)


def changed(plan, change):
    """Return the message for a plan whose JSON was changed."""
    raw = json.loads(write_plan(plan))
    change(raw)
    with pytest.raises(InputError) as caught:
        parse_plan(json.dumps(raw), "plan.json")
    return str(caught.value)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda p: p.update(format="nesting-plan/2"), "'nesting-plan/2'"),
        (lambda p: p.pop("format"), "this is no plan"),
        (lambda p: p.update(ticks_per_mm=1000), "'1000' ticks per mm"),
        (lambda p: p.pop("layouts"), "layouts: it is missing"),
        (lambda p: p.update(layouts={}), "layouts: a list is wanted, not a table"),
        (lambda p: p.update(job=None), "job: an object is wanted, not null"),
        (lambda p: p["job"].update(name=3), "job.name: a text is wanted, not '3'"),
        (
            lambda p: p["layouts"][0]["cuts"][0].update(at=80000.0),
            "layouts[0].cuts[0].at: a whole number is wanted, not '80000.0'",
        ),
        (
            lambda p: p["layouts"][0]["pieces"][1].update(x=True),
            "layouts[0].pieces[1].x: a whole number is wanted, not true",
        ),
        (
            lambda p: p["layouts"][0]["pieces"][1].update(turned=0),
            "pieces[1].turned: true or false is wanted, not '0'",
        ),
        (
            lambda p: p["layouts"][0]["stock"].update({"from": [["L0"]]}),
            "stock.from[0]: a list of 2 is wanted",
        ),
        (
            lambda p: p["layouts"][0]["cuts"][0].update(makes="a"),
            "cuts[0].makes: a list is wanted, not 'a'",
        ),
        (
            lambda p: p["layouts"][0]["pieces"][0].pop("fate"),
            "layouts[0].pieces[0].fate: it is missing",
        ),
        (lambda p: p["job"].update(name="\ud800"), "half a character"),
    ],
)
def test_wrong_shapes_are_told_with_their_place(plan, change, words):
    """A value of a wrong type is refused with its path in the file."""
    assert words in changed(plan, change)


def test_all_wrong_values_are_told(plan):
    """Every wrong value is told, not only the first."""

    def change(raw):
        for piece in raw["layouts"][0]["pieces"]:
            piece["x"] = "0"

    assert len(changed(plan, change).splitlines()) == 2


def test_unknown_keys_are_passed_over(plan):
    """Later versions may add keys; a reader of today does not mind."""
    raw = json.loads(write_plan(plan))
    raw["weather"] = {"rain": True}
    raw["layouts"][0]["pieces"][0]["colour"] = "red"
    assert parse_plan(json.dumps(raw)) == plan


def test_missing_keys_take_defaults(plan):
    """What has a default may be left out."""
    raw = json.loads(write_plan(plan))
    for key in ("offers", "needs", "warnings", "cautions"):
        del raw[key]
    del raw["layouts"][0]["pieces"][0]["z"]
    assert parse_plan(json.dumps(raw)) == plan


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("{", "line 1: this is not JSON"),
        ("[" * 100_000, "nested far too deep"),
        ('{"format": NaN}', "NaN is no number"),
        ('{"format": "a", "format": "b"}', "stands twice"),
        ("[]", "this is no plan"),
        ("9" * 10_000, "not JSON"),
    ],
)
def test_what_is_no_plan_is_refused(tmp_path, text, words):
    """Anything that is not a plan's JSON is refused in a sentence."""
    path = tmp_path / "plan.json"
    path.write_text(text)
    with pytest.raises(InputError, match=words):
        read_plan(path)


def test_plans_are_read_from_files(tmp_path, plan):
    """A plan in a file is read by its path, as text or as Path."""
    path = tmp_path / "plan.json"
    path.write_text(write_plan(plan), encoding="utf-8")
    assert read_plan(path) == read_plan(str(path)) == plan


@given(
    place=st.integers(0, 5000),
    length=st.integers(0, 9),
    new=st.text('{}[]",:0123456789.-etrufalsn \\', max_size=6),
)
@settings(max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_spoilt_plans_do_no_worse_than_be_refused(plan, place, length, new):
    """A plan file that was spoilt is read as some plan or refused, never more."""
    text = write_plan(plan)
    at = place % len(text)
    try:
        read = parse_plan(text[:at] + new + text[at + length :])
    except InputError:
        return
    assert read.format == FORMAT
