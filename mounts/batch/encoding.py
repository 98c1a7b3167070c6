"""Frozen values as plain JSON and back, each under the name of its type; only types that are listed come back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

TYPE = ""  # the key under which a value's type is told; no field has that name


def encode(value: Any) -> Any:
    """Encode a value of frozen dataclasses, enumerations, tuples, texts and numbers as plain JSON.

    Raises:
        TypeError: for any other value.
    """
    if isinstance(value, Enum):
        return {TYPE: _type_name(type(value)), "value": value.value}
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, tuple | list):
        return [encode(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {TYPE: _type_name(type(value))} | {one.name: encode(getattr(value, one.name)) for one in fields(value)}
    raise TypeError(f"{type(value).__name__} cannot be encoded")


def decode(tree: Any, types: Sequence[type]) -> Any:
    """Return the value that `encode` was given; lists come back as tuples.

    Args:
        tree: plain JSON.
        types: that may occur in it.

    Raises:
        KeyError, TypeError, ValueError: if it is anything else.
    """
    return _decode(tree, {_type_name(one): one for one in types})


def _type_name(kind: type) -> str:
    """Return a type's name with its module, since names may repeat."""
    return f"{kind.__module__}.{kind.__name__}"


def _decode(tree: Any, types: Mapping[str, Any]) -> Any:
    if isinstance(tree, list):
        return tuple(_decode(item, types) for item in tree)
    if isinstance(tree, dict):
        held = {key: _decode(value, types) for key, value in tree.items() if key != TYPE}
        return types[tree[TYPE]](**held)
    return tree
