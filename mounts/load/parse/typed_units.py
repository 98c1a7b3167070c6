"""Units in which a person typed lengths: mm, inches, or both, by which everything is shown to them again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel

from mounts.lengths import Units
from mounts.load.parse.units import LENGTHS, unit_of

Annotation = Any
IMPERIAL = ("in", "inch", "inches", '"', "ft")


def typed_units(files: Iterable[tuple[Mapping[str, Any], type[BaseModel]]]) -> Units:
    """Return the units of all lengths in some files: inches or both only where any is typed in inches.

    Args:
        files: content of each, and the model that it is validated against.
    """
    files = list(files)
    if not any(_is_imperial(leaf) for data, _ in files for leaf, _ in _leaves(data, ())):
        return Units.MM
    metric = any(_is_metric(leaf, kinds) for data, model in files for leaf, kinds in _leaves(data, (model,)))
    return Units.BOTH if metric else Units.INCHES


def _leaves(data: Any, kinds: tuple[Annotation, ...]) -> Iterator[tuple[Any, tuple[Annotation, ...]]]:
    """Yield every plain value with what it may be."""
    if isinstance(data, Mapping):
        models = [model for kind in kinds for model in _models(kind)]
        for key, value in data.items():
            fields = [_fields(model)[key] for model in models if key in _fields(model)]
            yield from _leaves(value, tuple(fields) or kinds)
    elif isinstance(data, list):
        for value in data:
            yield from _leaves(value, kinds)
    else:
        short = [
            _fields(model)[word]
            for kind in kinds
            for model in _models(kind)
            if (word := getattr(model, "shorthand", ""))
        ]
        yield data, (*kinds, *short)


def _models(annotation: Annotation) -> Iterator[type[BaseModel]]:
    """Yield the models in an annotation, at any depth of its arguments."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in (annotation.annotation,) if hasattr(annotation, "annotation") else get_args(annotation):
        yield from _models(inner)


def _fields(model: type[BaseModel]) -> dict[str, Any]:
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _is_imperial(leaf: Any) -> bool:
    return isinstance(leaf, str) and unit_of(leaf) in IMPERIAL


def _is_metric(leaf: Any, kinds: Iterable[Annotation]) -> bool:
    """Return whether a value is a length in mm: by its unit, or a bare figure where a length is asked for."""
    if isinstance(leaf, bool):
        return False
    if isinstance(leaf, str) and (unit := unit_of(leaf)):
        return unit in LENGTHS and unit not in IMPERIAL
    is_figure = (isinstance(leaf, int | float) and leaf != 0) or (isinstance(leaf, str) and unit_of(leaf) == "")
    return is_figure and any("'x-value': 'length'" in repr(kind) for kind in kinds)
