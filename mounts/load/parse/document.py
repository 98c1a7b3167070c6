"""One YAML file into plain data, with the line and column of every key and value.

YAML 1.2's core meaning: only true and false are truth values, `no`, `1:30` and `2026-11-20` are text, `010` is ten.
Refused, each with its place: a key given twice, tags, merges, aliases that multiply, great depth, large files.

Figures of one series of which some carry a unit and some do not: those were forgotten, and would count as mm.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import yaml

from mounts.errors import InputError, Problem
from mounts.load.parse.units import LENGTHS, quote_value, replace_unprintable, unit_of
from mounts.load.parse.yaml_syntax import find_mistake

NAMED = ("at", "at_clock", "readings", "to_opening", "heights", "this_seat", "other_seat", "pins", "points", "loops")
Trail = tuple[str | int, ...]
Spot = tuple[Path, int, int]  # file, line and column, both from 1

MOST_BYTES = 1_000_000
MOST_NODES = 50_000
MOST_DEPTH = 40
DIGITS = 8  # of a file's hash that people compare

_CORE = "tag:yaml.org,2002:"
_PLAIN = "plain"
_NULL = re.compile(r"~|null|Null|NULL|")
_BOOL = re.compile(r"(true|True|TRUE)|false|False|FALSE")
_INT = re.compile(r"[-+]?[0-9]{1,18}|0o[0-7]{1,18}|0x[0-9a-fA-F]{1,15}")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?|([-+]?)\.(inf|Inf|INF)|\.(nan|NaN|NAN)")


def find_missing_units(data: Any) -> Iterator[tuple[Trail, str]]:
    """Yield each figure that lacks the unit of the others in its series: its trail, and what to write.

    A series is a list, with the lists and mappings in it, or what is named by holes, clock directions or axes: of these
    only figures under the same keys are alike. A flange of "6.5 in", 4 thick, is none.
    """
    for trail, series in _series(data, ()):
        for alike in _alike(series).values():
            like = next(((value, unit) for _, value in alike if (unit := _unit(value)) and unit != "mm"), None)
            for inner, value in alike:
                if like and _unit(value) == "" and str(value).strip("+-0., "):
                    yield (*trail, *inner), _message(str(value), *like)


def _message(bare: str, like: str, unit: str) -> str:
    beside = f"{bare} has no unit and {quote_value(like)[1:-1]} beside it has"
    return f"{beside}; write {bare} {'in' if LENGTHS[unit] == LENGTHS['in'] else unit}, or {bare} mm"


def _series(data: Any, trail: Trail) -> Iterator[tuple[Trail, Any]]:
    """Yield the outermost series in a file."""
    if isinstance(data, list) or (isinstance(data, Mapping) and trail and trail[-1] in NAMED):
        yield trail, data
    elif isinstance(data, Mapping):
        for key, value in data.items():
            yield from _series(value, (*trail, key))


def _alike(series: Any) -> dict[Trail, list[tuple[Trail, Any]]]:
    """Return a series' figures by the keys that they stand under."""
    found: dict[Trail, list[tuple[Trail, Any]]] = {}
    outer = set(series) if isinstance(series, Mapping) else set()
    for trail, value in _leaves(series, ()):
        if _unit(value) is not None:
            names = trail[1:] if outer else trail
            found.setdefault(tuple(part for part in names if isinstance(part, str)), []).append((trail, value))
    return found


def _leaves(data: Any, trail: Trail) -> Iterator[tuple[Trail, Any]]:
    if isinstance(data, Mapping):
        for key, value in data.items():
            yield from _leaves(value, (*trail, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from _leaves(value, (*trail, index))
    else:
        yield trail, data


def _unit(value: Any) -> str | None:
    """Return the unit of length that a figure carries, "" for none; None for what is no length."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    unit = unit_of(value) if isinstance(value, str) else ""
    return unit if unit == "" or unit in LENGTHS else None


@dataclass(frozen=True)
class Document:
    """Content of a file, or of one branch of it.

    Attributes:
        file: the file it was read from.
        data: mappings, lists, text, numbers and truth values; None where a problem was found.
        keys, values: spot of every key and of every value, by its trail from the file's root.
        problems: what was wrong with the YAML itself.
        base: trail from the file's root to `data`.
        digest: first digits of the SHA-256 of its text, as `sha256sum` prints them.
    """

    file: Path
    data: Any
    keys: dict[Trail, Spot] = field(repr=False)
    values: dict[Trail, Spot] = field(repr=False)
    problems: tuple[Problem, ...] = ()
    base: Trail = ()
    digest: str = ""

    def under(self, *trail: str | int) -> Document:
        """Return the branch at `trail` as a document whose trails start there."""
        data = self.data
        for part in trail:
            data = data[part]
        return replace(self, data=data, base=self.base + trail)

    def spot(self, trail: Trail = (), *, key: bool = False) -> Spot:
        """Return the place of the value, or of its key if `key` is true; of the nearest holder if not given."""
        whole = self.base + trail
        while whole:
            if found := (self.keys.get(whole) if key else None) or self.values.get(whole):
                return found
            whole = whole[:-1]
        return self.values.get((), (self.file, 0, 0))

    def problem(self, trail: Trail, what: str, *, key: bool = False) -> Problem:
        """Return a problem with the value at `trail`, or with its key if `key` is true."""
        file, line, column = self.spot(trail, key=key)
        return Problem(what, format_trail(self.base + trail), file, line, column)


def format_trail(trail: Trail) -> str:
    """Return a trail with dots: `fixings.at.A`."""
    return replace_unprintable(".".join(str(part) for part in trail))


def read(path: Path, *, pure: bool = False, unfilled: bool = False) -> Document:
    """Read one YAML file that holds a mapping.

    Args:
        path: the file.
        pure: use PyYAML's Python parser even where libyaml is there.
        unfilled: whether a key may stand without a value, which is None then, as on a form.

    Raises:
        InputError: if the file cannot be read or parsed at all; lesser problems are in the document.
    """
    return parse(_text(path), path, pure=pure, unfilled=unfilled)


def parse(text: str, path: Path, *, pure: bool = False, unfilled: bool = False) -> Document:
    """Parse text that was read from `path`, as `read` does."""
    root = _compose(text, path, pure)
    if root is None or (
        isinstance(root, yaml.ScalarNode) and root.tag == _PLAIN and parse_plain_scalar(root.value) is None
    ):
        raise InputError(Problem("the file is empty; `mounts new` writes one to fill in", file=path))
    walk = _Walk(path, unfilled)
    data = walk.value(root, (), 0, ())
    if not isinstance(data, dict) and not walk.problems:
        what = f"{quote_value(data)} is not a profile; a file holds keys with values, such as kind: panel"
        raise InputError(Problem(what, "", path, root.start_mark.line + 1, root.start_mark.column + 1))
    if not isinstance(data, dict):
        raise InputError(*walk.problems)
    digest = hashlib.sha256(text.encode()).hexdigest()[:DIGITS]
    found = Document(path, data, walk.keys, walk.values, digest=digest)
    mixed = [found.problem(trail, what) for trail, what in find_missing_units(data)]
    return replace(found, problems=(*walk.problems, *mixed))


def _text(path: Path) -> str:
    try:
        if path.is_dir():
            raise InputError(Problem("this is a folder; give a YAML file", file=path))
        if not path.exists():
            raise InputError(Problem("there is no such file", file=path))
        if not path.is_file():
            raise InputError(Problem("this is not a plain file; give a YAML file", file=path))
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(Problem(f"the file cannot be read: {reason.lower()}", file=path)) from error
    if len(raw) > MOST_BYTES:
        raise InputError(Problem("the file is larger than 1 MB; a profile has a few kB", file=path))
    with suppress(UnicodeDecodeError):
        text = raw.decode("utf-8-sig")
        if not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text):
            return text
    raise InputError(Problem("this is not a text file in UTF-8; give a YAML file", file=path))


def _compose(text: str, path: Path, pure: bool) -> yaml.Node | None:
    """Return the node tree, with plain scalars marked so that they can be given YAML 1.2's meaning."""
    base: Any = yaml.SafeLoader if pure else getattr(yaml, "CSafeLoader", yaml.SafeLoader)

    class Loader(base):  # type: ignore[misc]
        def resolve(self, kind: type[yaml.Node], value: object, implicit: object) -> str:
            if kind is yaml.ScalarNode:
                return _PLAIN if implicit and implicit[0] else f"{_CORE}str"  # type: ignore[index]
            return f"{_CORE}map" if kind is yaml.MappingNode else f"{_CORE}seq"

    try:
        loader = Loader(text)
        try:
            node: yaml.Node | None = loader.get_single_node()
            return node
        finally:
            loader.dispose()
    except RecursionError as error:
        raise InputError(Problem(f"values are nested deeper than {MOST_DEPTH}", file=path)) from error
    except yaml.YAMLError as error:
        raise InputError(_syntax_problem(error, text, path)) from error


def _syntax_problem(error: yaml.YAMLError, text: str, path: Path) -> Problem:
    mark = getattr(error, "problem_mark", None)
    reason = str(getattr(error, "problem", None) or getattr(error, "reason", None) or error).splitlines()[0]
    if mark is None:
        return Problem(f"this is not readable as YAML: {reason}", file=path)
    lines = text.splitlines()
    if mark.line < len(lines) and "\t" in lines[mark.line][: mark.column + 1]:
        reason = "a tab stands where YAML needs spaces"
    elif "nesting" in reason:
        reason = f"values are nested deeper than {MOST_DEPTH}"
    elif told := find_mistake(lines, mark.line, mark.column):
        line, column, reason = told
        return Problem(f"this is not readable as YAML: {reason}", "", path, line + 1, column + 1)
    return Problem(f"this is not readable as YAML: {reason}", "", path, mark.line + 1, mark.column + 1)


class _Walk:
    """Builds plain data from a node tree, noting where everything stands and what is wrong with it."""

    def __init__(self, path: Path, unfilled: bool) -> None:
        self.path = path
        self.unfilled = unfilled
        self.keys: dict[Trail, Spot] = {}
        self.values: dict[Trail, Spot] = {}
        self.problems: list[Problem] = []
        self.count = 0

    def value(self, node: yaml.Node, trail: Trail, depth: int, holders: tuple[yaml.Node, ...]) -> Any:
        """Return the data of a node; None where there is a problem with it."""
        self.values[trail] = self._spot(node)
        self.count += 1
        if self.count > MOST_NODES:
            raise InputError(self._problem(node, trail, f"more than {MOST_NODES} values once aliases are expanded"))
        if wrong := self._wrong(node, depth, holders):
            return self._refuse(node, trail, wrong)
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, trail, depth, (*holders, node))
        if isinstance(node, yaml.SequenceNode):
            inner = (*holders, node)
            return [self.value(item, (*trail, i), depth + 1, inner) for i, item in enumerate(node.value)]
        data = node.value if node.tag == f"{_CORE}str" else parse_plain_scalar(node.value)
        if data is None and not self.unfilled:
            return self._refuse(node, trail, "no value is given; give one, or delete the line")
        return data

    @staticmethod
    def _wrong(node: yaml.Node, depth: int, holders: tuple[yaml.Node, ...]) -> str:
        if any(node is holder for holder in holders):
            return "an alias stands inside what it repeats"
        if depth > MOST_DEPTH:
            return f"values are nested deeper than {MOST_DEPTH}"
        if node.tag.removeprefix(_CORE) not in (_PLAIN, "str", "int", "float", "bool", "null", "map", "seq"):
            return f"the tag {replace_unprintable(node.tag.replace(_CORE, '!!'))} is not allowed; write the plain value"
        return ""

    def _mapping(self, node: yaml.Node, trail: Trail, depth: int, holders: tuple[yaml.Node, ...]) -> dict[str, Any]:
        data: dict[str, Any] = {}
        for key, held in self._pairs(node, trail):
            inner = (*trail, key.value)
            if inner in self.keys and key.value in data:
                first = self.keys[inner][1]
                self._refuse(key, inner, f"the key {quote_value(key.value)} is given twice (first on line {first})")
                continue
            self.keys[inner] = self._spot(key)
            if key.value.isdigit() and data and held.value == "" and held.start_mark.index == key.end_mark.index:
                self._refuse(
                    key, inner, f"a comma ends the value before it; write a decimal point, as in 0.{key.value}"
                )
                continue
            data[key.value] = self.value(held, inner, depth + 1, holders)
        return {key: value for key, value in data.items() if value is not None}

    def _pairs(self, node: yaml.Node, trail: Trail) -> Iterator[tuple[yaml.Node, yaml.Node]]:
        """Yield the mapping's pairs with valid keys; note the others as problems."""
        for key, held in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self._refuse(key, trail, "a key must be plain text")
            elif key.tag == _PLAIN and key.value == "<<":
                self._refuse(key, (*trail, "<<"), "merging with << is not allowed; use based_on, or write it out")
            elif key.tag not in (_PLAIN, f"{_CORE}str"):
                self._refuse(key, (*trail, key.value), "a key has no tag; write plain text")
            else:
                yield key, held

    def _spot(self, node: yaml.Node) -> Spot:
        return (self.path, node.start_mark.line + 1, node.start_mark.column + 1)

    def _problem(self, node: yaml.Node, trail: Trail, what: str) -> Problem:
        _, line, column = self._spot(node)
        return Problem(what, format_trail(trail), self.path, line, column)

    def _refuse(self, node: yaml.Node, trail: Trail, what: str) -> None:
        self.problems.append(self._problem(node, trail, what))


def parse_plain_scalar(text: str) -> str | int | float | bool | None:
    """Return the value of an unquoted scalar by YAML 1.2's core schema."""
    if _NULL.fullmatch(text):
        return None
    if found := _BOOL.fullmatch(text):
        return found[1] is not None
    if _INT.fullmatch(text):
        return int(text, {"0o": 8, "0x": 16}.get(text[:2], 10))
    if _FLOAT.fullmatch(text):
        return float(text.lower().replace(".inf", "inf").replace(".nan", "nan"))
    return text
