"""Units in which a person typed lengths: mm, inches, or both, by which everything is shown to them again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from mounts.lengths import Units
from mounts.load.parse.document import Document
from mounts.load.parse.units import LENGTHS, unit_of

Annotation = Any
FEW = 4  # times as many in inches
IMPERIAL = ("in", "inch", "inches", '"', "ft")


def typed_units(files: Iterable[tuple[Mapping[str, Any], type[BaseModel]]]) -> Units:
    """Return the units of the lengths in some files: both where these differ, or where one mixes them.

    Args:
        files: content of each, and the model that it is validated against.
    """
    files = list(files)
    if not any(_is_imperial(leaf) for data, _ in files for leaf, _ in _leaves(data, ())):
        return Units.MM
    return Units.shared(units for data, model in files if (units := _units_of(data, model)) is not None)


def find_units(document: Document, value: BaseModel) -> Units:
    """Return the units in which one file is typed, for a message about it."""
    return typed_units([(document.data, type(value))])


def _units_of(data: Mapping[str, Any], model: type[BaseModel]) -> Units | None:
    """Return the units of one file; None where it has no lengths.

    A few figures in mm, such as a sheet's thickness, do not make a file in inches a mixed one.
    """
    leaves = [*_leaves(data, (model,))]
    imperial = sum(_is_imperial(leaf) for leaf, _ in leaves)
    metric = sum(_is_metric(leaf, kinds) for leaf, kinds in leaves)
    if not imperial:
        return Units.MM if metric else None
    return Units.INCHES if FEW * metric < imperial else Units.BOTH


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
    told = (repr((kind.annotation, kind.metadata)) for kind in kinds if isinstance(kind, FieldInfo))
    return is_figure and any("'x-value': 'length'" in text for text in told)
