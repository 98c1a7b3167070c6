"""The JSON Schema: current, draft 7, and accepting whatever loads."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from mounts.load.editing.template import blank_file
from mounts.load.parse.document import parse, read
from tests.schema import build_schema, schema_text

WHOLE = build_schema()
TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "number": (int, float),
    "integer": (int,),
    "boolean": (bool,),
}


def fits(value: Any, rule: Any) -> bool:
    """Whether a value meets a schema: the words of draft 7 that ours uses, as json-schema.org defines them."""
    if isinstance(rule, bool):
        return rule
    if "$ref" in rule:
        return fits(value, WHOLE["definitions"][rule["$ref"].removeprefix("#/definitions/")])
    return (
        all(fits(value, part) for part in rule.get("allOf", ()))
        and (any(fits(value, part) for part in rule.get("anyOf", ())) or "anyOf" not in rule)
        and (sum(fits(value, part) for part in rule.get("oneOf", ())) == 1 or "oneOf" not in rule)
        and value in rule.get("enum", [value])
        and value == rule.get("const", value)
        and is_of(value, rule.get("type"))
        and fits_inside(value, rule)
        and fits_bounds(value, rule)
    )


def is_of(value: Any, kinds: Any) -> bool:
    named = [kinds] if isinstance(kinds, str) else kinds
    return named is None or any(
        isinstance(value, TYPES[kind]) and (kind == "boolean" or not isinstance(value, bool)) for kind in named
    )


def fits_inside(value: Any, rule: Any) -> bool:
    if isinstance(value, dict):
        known, others = rule.get("properties", {}), rule.get("additionalProperties", True)
        return set(rule.get("required", ())) <= set(value) and all(
            fits(held, known.get(key, others)) for key, held in value.items()
        )
    if isinstance(value, list):
        rules = rule.get("items", True)
        if isinstance(rules, list):
            return len(value) <= len(rules) and all(fits(v, r) for v, r in zip(value, rules, strict=False))
        return all(fits(held, rules) for held in value)
    return True


def fits_bounds(value: Any, rule: Any) -> bool:
    if isinstance(value, list):
        return rule.get("minItems", 0) <= len(value) <= rule.get("maxItems", len(value))
    if isinstance(value, dict):
        return rule.get("minProperties", 0) <= len(value)
    if isinstance(value, str):
        return re.search(rule.get("pattern", ""), value) is not None
    return rule.get("minimum", value) <= value <= rule.get("maximum", value)


def test_the_committed_schema_is_current(profiles: Path) -> None:
    """Write it again with `schema_text()` into profiles/schema.json."""
    assert (profiles / "schema.json").read_text(encoding="utf-8") == schema_text()


def test_only_words_of_draft_7() -> None:
    text = schema_text()
    assert json.loads(text) == WHOLE
    assert WHOLE["$schema"] == "http://json-schema.org/draft-07/schema#"
    later = r'"(prefixItems|\$defs|\$dynamicRef|unevaluated\w+|dependent\w+|minContains|discriminator|x-\w+)"'
    assert re.findall(later, text) == []
    assert '"null"' not in text
    named = set(re.findall(r'"#/definitions/(\w+)"', text))
    assert named <= set(WHOLE["definitions"])


def test_every_shipped_profile_fits_and_names_the_schema(profiles: Path) -> None:
    files = sorted(profiles.glob("*/*.yaml"))
    assert len(files) > 20
    for file in files:
        assert fits(read(file).data, WHOLE), file
        first = file.read_text(encoding="utf-8").splitlines()[0]
        assert first == "# yaml-language-server: $schema=../schema.json", file


@pytest.mark.parametrize("kind", ["ring", "panel", "speaker", "device"])
def test_blanks_fit(kind: Any) -> None:
    assert fits(parse(blank_file(kind, "mine"), Path("mine.yaml")).data, WHOLE)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("height: 22", "hight: 22"),
        ("height: 22", "height: true"),
        ("[left, right]", "left"),
        ("[left, right]", "[top]"),
        ("height: 22", "limits: {glas: 1}"),
        ("height: 22", "gaskets: {base: {thickness: 3}}"),
        ("speaker: cone\n", ""),
        ("kind: ring", "kind: rung"),
        ("panel: door", "panel: {opening: 120}"),
    ],
)
def test_what_an_editor_should_mark(shop: Any, old: str, new: str) -> None:
    shop.change("jobs/woofer.yaml", old, new)
    assert not fits(read(Path("profiles/jobs/woofer.yaml")).data, WHOLE)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("height: 22", "height: 6 1/2 in"),
        ("height: 22", "wire: {at: 45, across: 8}"),
        ("height: 22", "limits: {temperatures: {door: 80}}"),
        ("panel: door", "panel: {opening: 120, fixings: {at: {A: [70, 0], B: [-70, 0]}}}"),
        ("kind: ring\nname: woofer\npanel: door\n", "kind: ring\nname: woofer\nbased_on: other\n"),
    ],
)
def test_what_an_editor_should_let_pass(shop: Any, old: str, new: str) -> None:
    shop.change("jobs/woofer.yaml", old, new)
    assert fits(read(Path("profiles/jobs/woofer.yaml")).data, WHOLE)
