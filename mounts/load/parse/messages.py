"""Messages for what pydantic found, as problems with a place, in a fabricator's words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from difflib import get_close_matches
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from mounts.errors import Problem
from mounts.kinds.registry import KIND_MODULES, declaration_of
from mounts.load.parse.document import Document, Trail, format_trail
from mounts.load.parse.typed_units import typed_units
from mounts.load.parse.units import LengthsError, quote_value

Model = type[BaseModel]
MISTAKES = 100  # mistakes of one file that are listed; more than these have one cause


def validation_problems(
    error: ValidationError, model: Model, document: Document, known: Iterable[Problem] = ()
) -> list[Problem]:
    """Return every error as a problem, except those that follow from one already known.

    Args:
        error: what validating `document` against `model` raised.
        known: problems that were found before; whatever lies at or below their paths is not said twice.
    """
    told = [problem.where for problem in known]
    every = [e for e in error.errors(include_url=False) if not _below(_trail(e, document), document, told)]
    errors = every[:MISTAKES]
    typos = _typos(errors, model, document)
    replaced = {(trail[:-1], near) for trail, near in typos.items()}
    found = []
    for detail in errors:
        trail = _trail(detail, document)
        if detail["type"] == "missing" and (trail[:-1], str(trail[-1])) in replaced:
            continue
        found.append(_problem(detail, trail, model, document, typos.get(trail, "")))
    if len(every) > MISTAKES:
        more = _trail(every[MISTAKES], document)
        found.append(
            document.problem(more, f"from here on {len(every) - MISTAKES:,} more mistakes; mend those above first")
        )
    return found


def _below(trail: Trail, document: Document, told: list[str]) -> bool:
    where = format_trail(document.base + trail)
    return any(where == path or where.startswith(f"{path}.") for path in told if path)


def _typos(errors: list[ErrorDetails], model: Model, document: Document) -> dict[Trail, str]:
    """Return the nearest valid key for each unknown one that resembles any; each valid key is used once."""
    typos: dict[Trail, str] = {}
    for detail in errors:
        if detail["type"] == "extra_forbidden":
            trail = _trail(detail, document)
            taken = {near for other, near in typos.items() if other[:-1] == trail[:-1]} | set(_at(document, trail[:-1]))
            free = [key for key in keys_at(model, document, trail[:-1]) if key not in taken]
            if near := nearest_option(str(trail[-1]), free, 0.6):
                typos[trail] = near
    return typos


def _problem(detail: ErrorDetails, trail: Trail, model: Model, document: Document, near: str) -> Problem:
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "extra_forbidden":
        keys = keys_at(model, document, trail[:-1])
        hint = f"keys here: {', '.join(keys)}"
        if near:
            hint = f'did you mean "{near}"?'
        elif kinds := _kinds_with(trail, model):
            hint = f"only a {' or a '.join(kinds)} has it; leave it out"
        elif elsewhere := _elsewhere(trail, model, document):
            hint = elsewhere
        return document.problem(trail, f"unknown key {quote_value(trail[-1])}; {hint}", key=True)
    if kind == "missing":
        return document.problem(trail, _missing(trail, model, document), key=True)
    if kind == "union_tag_invalid":
        held, trail = detail["input"], (*trail, "is")
        tags = str(context["expected_tags"]).replace("'", "").split(", ")
        return document.problem(trail, _choice(held.get("is"), tags))
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        keys = keys_at(model, document, trail)
        what = f"{quote_value(detail['input'])} is given; keys with values are needed" + (
            f": {', '.join(keys)}" if keys else ""
        )
        return document.problem(trail, what)
    if isinstance(error := context.get("error"), LengthsError):
        return document.problem(trail, error.write(typed_units([(document.data, model)])))
    return document.problem(trail, _words(kind, context, detail))


def _elsewhere(trail: Trail, model: Model, document: Document) -> str:
    """Return where a key belongs that is valid further out or in a mapping beside it; "" where it is unknown."""
    *_, key = trail
    for level in range(len(trail) - 2, -1, -1):
        if key in keys_at(model, document, trail[:level]):
            place = f"under {format_trail(document.base + trail[:level])}" if level else "at the margin"
            return f"it belongs {place}, beside {trail[level]}"
    holder = _at(document, trail[:-1])
    for beside, held in holder.items() if isinstance(holder, dict) else ():
        if isinstance(held, dict) and key in keys_at(model, document, (*trail[:-1], beside)):
            return f"it belongs under {format_trail((*document.base, *trail[:-1], beside))}"
    return ""


def _kinds_with(trail: Trail, model: Model) -> list[str]:
    """Return the other kinds of job that have a key which this kind has not."""
    files = {word: declaration_of(word).file for word in KIND_MODULES}
    if len(trail) != 1 or model not in files.values():
        return []
    return [word for word, file in files.items() if trail[0] in _fields(file)]


def _missing(trail: Trail, model: Model, document: Document) -> str:
    holder = _at(document, trail[:-1])
    if isinstance(trail[-1], int) and isinstance(holder, list):
        return f"{len(holder)} given; one more is needed"
    about = _description(model, document, trail)
    return f'the key "{trail[-1]}" is missing' + (f": {about}" if about else "")


def _words(kind: str, context: dict[str, Any], detail: ErrorDetails) -> str:
    """Return the sentence for an error that needs no context."""
    match kind:
        case "value_error":
            return str(context["error"])
        case "literal_error":
            return _choice(detail["input"], str(context["expected"]).replace("'", "").replace(" or ", ", ").split(", "))
        case "union_tag_not_found":
            return 'the key "is" is missing: what it is, such as rivet-nut or screw'
        case "tuple_type" | "list_type":
            return f"{quote_value(detail['input'])} is given; a list in brackets is needed"
        case "too_long" | "too_short":
            bound = f"at most {context['max_length']}" if kind == "too_long" else f"at least {context['min_length']}"
            return f"{context['actual_length']} given; {bound} needed"
    return f"{quote_value(detail['input'])} does not fit: {detail['msg'].lower()}"


def _choice(given: object, options: list[str]) -> str:
    """Return what may be given instead, and which of many options the value resembles."""
    near = nearest_option(given, options, 0.6) if isinstance(given, str) and len(options) > 3 else ""
    hint = f'; did you mean "{near}"?' if near else ""
    return f"{quote_value(given)} is not known here; give {join_options(options)}{hint}"


def nearest_option(given: str, options: Iterable[str], alike: float = 0.5) -> str:
    """Return the option that a word resembles most, ignoring case; "" when it resembles none."""
    known = {option.lower(): option for option in options}
    found = get_close_matches(given.lower(), known, 1, alike)
    return known[found[0]] if found else ""


def join_options(options: Sequence[str]) -> str:
    """Return options as a sentence lists them: a, b or c."""
    return " or ".join([", ".join(options[:-1]), options[-1]] if options[1:] else options)


def _trail(detail: ErrorDetails, document: Document) -> Trail:
    """Return the error's location in the data, without the parts that name a union's branch or a shorthand."""
    trail: list[str | int] = []
    here, loc = document.data, detail["loc"]
    for i, part in enumerate(loc):
        if isinstance(here, dict) and part in here:
            here = here[str(part)]
        elif isinstance(here, list) and isinstance(part, int) and part < len(here):
            here = here[part]
        elif i == len(loc) - 1 and detail["type"] in ("missing", "extra_forbidden") and isinstance(here, dict | list):
            here = None
        else:
            continue
        trail.append(part)
    return tuple(trail)


def _at(document: Document, trail: Trail) -> Any:
    data = document.data
    for part in trail:
        data = data[part]
    return data


def keys_at(model: Model, document: Document, trail: Trail) -> list[str]:
    """Return the keys that may stand in the mapping at `trail`."""
    models = _models(model, document, trail)
    return list(_fields(models[0])) if len(models) == 1 else []


def _fields(model: Model) -> dict[str, Any]:
    fields = {field.alias or name: field for name, field in model.model_fields.items()}
    return {key: field for key, field in fields.items() if not (key == "name" and not field.is_required())}


def _description(model: Model, document: Document, trail: Trail) -> str:
    for found in _models(model, document, trail[:-1]):
        if field := _fields(found).get(str(trail[-1])):
            return field.description or ""
    return ""


def _models(model: Model, document: Document, trail: Trail) -> list[Model]:
    """Return the models that the mapping at `trail` may be; several only for a union without a discriminator."""
    found: list[Any] = [model]
    data = document.data
    for part in trail:
        data = data[part]
        found = [inner for one in found for inner in _inside(one, part, data)]
    return [one for one in found if isinstance(one, type) and issubclass(one, BaseModel)]


def _inside(annotation: Any, part: str | int, data: Any) -> Iterator[Any]:
    """Return the models in an annotation; `is` in the data selects a union's branch."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        if field := {f.alias or n: f for n, f in annotation.model_fields.items()}.get(str(part)):
            yield from _branches(field.annotation, data)
        return
    arguments = [a for a in get_args(annotation) if a is not Ellipsis]
    if get_origin(annotation) is dict:
        yield from _branches(arguments[1], data)
    elif get_origin(annotation) is tuple and arguments and isinstance(part, int):
        yield from _branches(arguments[min(part, len(arguments) - 1)], data)
    elif get_origin(annotation) is tuple and arguments:  # one where a list may stand
        yield from _inside(arguments[0], part, data)


def _branches(annotation: Any, data: Any) -> Iterator[Any]:
    if get_origin(annotation) is Annotated:
        yield from _branches(get_args(annotation)[0], data)
    elif get_origin(annotation) in (Union, UnionType):
        for one in get_args(annotation):
            yield from _branches(one, data)
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        tag = annotation.model_fields.get("is_")
        if tag is None or not isinstance(data, dict) or data.get("is") in get_args(tag.annotation):
            yield annotation
    else:
        yield annotation
