"""The JSON Schema of the plan file says what the records say."""

import json
from importlib import resources

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.files import plan_schema, write_plan
from nesting.files.plan_schema import SCHEMA_FILE, schema_text

TYPES = {
    "object": dict,
    "array": list,
    "string": str,
    "integer": int,
    "boolean": bool,
    "null": type(None),
}
SCHEMA = json.loads(
    (resources.files("nesting.files") / SCHEMA_FILE).read_text(encoding="utf-8")
)


def breaches(value, schema, where="plan"):
    """Yield each place where a value breaks a schema, as far as ours goes."""
    if "$ref" in schema:
        schema = {**SCHEMA["$defs"][schema["$ref"].rpartition("/")[2]], **schema}
    if "anyOf" in schema:
        found = [list(breaches(value, one, where)) for one in schema["anyOf"]]
        yield from [] if [] in found else found[0]
    names = schema.get("type", list(TYPES))
    wanted = tuple(TYPES[n] for n in ([names] if isinstance(names, str) else names))
    if not isinstance(value, wanted) or (
        isinstance(value, bool) and bool not in wanted
    ):
        yield f"{where}: {value!r} is no {names}"
    elif "const" in schema and value != schema["const"]:
        yield f"{where}: {value!r} is not {schema['const']!r}"
    elif isinstance(value, dict):
        yield from (
            f"{where}: {k} is missing"
            for k in schema.get("required", ())
            if k not in value
        )
        for key, inner in value.items():
            yield from breaches(
                inner, schema.get("properties", {}).get(key, {}), f"{where}.{key}"
            )
    elif isinstance(value, list):
        each = schema.get("prefixItems", [schema.get("items") or {}] * len(value))
        if len(each) != len(value):
            yield f"{where}: {len(value)} items, not {len(each)}"
        for place, (inner, one) in enumerate(zip(value, each, strict=False)):
            yield from breaches(inner, one, f"{where}[{place}]")


def test_file_is_up_to_date():
    """The committed schema is what the records give; write_schema.py writes it anew."""
    text = (resources.files("nesting.files") / SCHEMA_FILE).read_text(encoding="utf-8")
    assert text == schema_text()
    assert plan_schema() == SCHEMA


@given(data=st.data())
@settings(max_examples=40)
def test_every_plan_keeps_to_the_schema(plans, data):
    """Whatever the records can hold is allowed, and named, by the schema."""
    raw = json.loads(write_plan(data.draw(plans)))
    assert list(breaches(raw, SCHEMA)) == []
    assert set(raw) == set(SCHEMA["properties"])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda p: p.pop("shop"), "shop is missing"),
        (lambda p: p.update(format="x"), "is not 'nesting-plan/1'"),
        (lambda p: p["job"].update(fraction="16"), "job.fraction"),
        (lambda p: p["layouts"][0]["pieces"][0].update(x=None), "pieces[0].x"),
        (
            lambda p: p["layouts"][0]["stock"].update({"from": [["a"]]}),
            "1 items, not 2",
        ),
        (lambda p: p["layouts"][0]["cuts"][0].update(measure="9"), "cuts[0].measure"),
    ],
)
def test_what_is_no_plan_breaks_the_schema(plan, change, words):
    """The schema refuses what the reader refuses."""
    raw = json.loads(write_plan(plan))
    change(raw)
    (breach,) = breaches(raw, SCHEMA)
    assert words in breach


def test_keys_of_the_contract_are_there():
    """The keys that other programs read are all in the schema, under their names."""
    defs = SCHEMA["$defs"]
    assert set(defs["Cut"]["properties"]) >= {
        *("step", "piece", "plane", "at", "kerf", "saw", "makes", "setting"),
        *("measure", "from"),
    }
    assert set(defs["Piece"]["properties"]) >= {
        *("id", "x", "y", "z", "length", "width", "thickness", "fate", "blank"),
        "turned",
    }
    assert set(SCHEMA["properties"]) >= {
        *("format", "ticks_per_mm", "job", "shop", "parts", "blanks", "layouts"),
        *("offers", "needs", "settings", "unplaced", "purchases", "bounds"),
        *("made_by", "totals", "warnings"),
    }
