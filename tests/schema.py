"""The JSON Schema of every kind of file, for editors that complete and check keys while a person types.

Draft 7, since editors' YAML support goes no further. It is looser than loading: contradictions between values and
the meaning of texts with units are not told by it.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from mounts.kinds.registry import KIND_MODULES, declaration_of
from mounts.load.models.hardware import Hardware
from mounts.load.models.kit import KitFile
from mounts.load.models.pins import PinPanel
from mounts.load.resolve.library import MODELS

Json = dict[str, Any]
NUMBER_OR_TEXT = {"type": ["number", "string"]}
VALUES: Json = {
    "length": {**NUMBER_OR_TEXT, "description": 'mm, or a text with its unit such as "6.5 in"'},
    "angle": {**NUMBER_OR_TEXT, "description": 'degrees, or a text such as "12 deg"'},
    "clock": {**NUMBER_OR_TEXT, "description": 'clock direction such as "10:30", or degrees clockwise from 12:00'},
    "mass": {**NUMBER_OR_TEXT, "description": 'kg, or a text with its unit such as "2.3 lb"'},
    "frequency": {**NUMBER_OR_TEXT, "description": 'Hz, or a text with its unit such as "4 kHz"'},
    "area": {"type": "string", "description": 'a text with its unit, such as "133 cm2"'},
}
EMPTY: tuple[Any, ...] = (None, "", [], {}, (), [0.0, 0.0])  # defaults that tell a person nothing
IN_PLACE = "InPlace"  # a part written out in a job needs neither kind nor name


def schema_text() -> str:
    """Return the schema of all kinds of files as JSON, the same bytes every time."""
    return json.dumps(build_schema(), indent=1, ensure_ascii=False) + "\n"


def build_schema() -> Json:
    """Return the schema of all kinds of files: one definition a model, chosen by `kind`."""
    profiles: list[type[BaseModel]] = [*MODELS.values(), PinPanel]
    jobs = [declaration_of(word).file for word in KIND_MODULES]
    models: list[type[BaseModel]] = [*profiles, *jobs, KitFile]
    _, raw = models_json_schema([(m, "validation") for m in models], ref_template="#/definitions/{model}")
    made = {name: _simplify(held) for name, held in sorted(raw["$defs"].items())}
    for name in [model.__name__ for model in profiles if model is not Hardware]:
        needed = [key for key in made[name]["required"] if key not in ("kind", "name")]
        made[name + IN_PLACE] = {**made[name], "required": needed}
    for model in jobs:
        made[model.__name__] = _based_on_or_whole(made[model.__name__])
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "mounts: panels, speakers, materials, printers, hardware, ports, devices, jobs and kits",
        "oneOf": [{"$ref": f"#/definitions/{model.__name__}"} for model in models],
        "definitions": {**VALUES, **made},
    }


def _based_on_or_whole(job: Json) -> Json:
    """Return a job's schema where a job with `based_on` needs only its kind and its name."""
    needed = ["kind", "name"]
    return {**job, "required": needed, "anyOf": [{"required": ["based_on"]}, {"required": job["required"]}]}


def _simplify(node: Any) -> Any:
    """Return a node of the schema in draft 7, without what an editor does not need; null is never allowed."""
    if not isinstance(node, dict):
        return [_simplify(part) for part in node] if isinstance(node, list) else node
    if "x-value" in node:
        return _ref(node["x-value"], node)
    if "x-part" in node:
        return {**_about(node), "anyOf": [{"type": "string"}, _ref(node["x-part"] + IN_PLACE, {})]}
    if "$ref" in node:
        return _ref(node["$ref"].removeprefix("#/definitions/"), node)
    return _or_one(_without_null(_draft_7(node)))


def _or_one(node: Json) -> Json:
    """Return the schema of a list that may also be written as its only item."""
    if not node.pop("x-or-one", False):
        return node
    return {**_about(node), "anyOf": [node["items"], {"type": "array", "items": node["items"]}]}


def _draft_7(node: Json) -> Json:
    kept = {key: value for key, value in node.items() if key not in ("title", "discriminator")}
    if kept.get("default") in EMPTY:
        kept.pop("default", None)
    if "prefixItems" in kept:
        kept["items"] = kept.pop("prefixItems")
        kept["additionalItems"] = False
    return {
        key: value if key in ("default", "const", "enum") else _properties(key, value) for key, value in kept.items()
    }


def _properties(key: str, value: Any) -> Any:
    """Convert the value of a key; the keys of `properties` are names, not words of the schema."""
    if key == "properties":
        return {name: _simplify(held) for name, held in value.items()}
    return _simplify(value)


def _without_null(node: Json) -> Json:
    options = [option for option in node.get("anyOf", ()) if option != {"type": "null"}]
    if "anyOf" not in node or len(options) == len(node["anyOf"]):
        return node
    rest = {key: value for key, value in node.items() if key != "anyOf"}
    if len(options) > 1:
        return {**rest, "anyOf": options}
    if "$ref" in options[0] and rest:
        return {**rest, "allOf": options}
    return {**options[0], **rest}


def _about(node: Json) -> Json:
    """Return what a person reads of a node: description and default."""
    return {key: node[key] for key in ("description", "default") if node.get(key) not in EMPTY}


def _ref(name: str, node: Json) -> Json:
    """Return a reference to a definition, inside `allOf` since draft 7 ignores keys beside a bare reference."""
    about, reference = _about(node), {"$ref": f"#/definitions/{name}"}
    return {**about, "allOf": [reference]} if about else reference


if __name__ == "__main__":
    (Path(__file__).parents[1] / "profiles" / "schema.json").write_text(schema_text(), "utf-8")
