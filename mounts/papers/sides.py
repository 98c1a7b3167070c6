"""Sheets that both sides of a job share: one side is drawn and written, and what differs on the other stands beside."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from difflib import SequenceMatcher
from typing import TypeVar, cast

from mounts.design.drawing import Callout, Dimension, Drawing, Item, Stroke
from mounts.papers.values import WRITE, TableBlock

T = TypeVar("T")
ALIKE = 0.1  # mm to which the outlines of two templates must mirror each other
SIMILAR = 0.4  # share of words below which two texts stand one after the other


class UnlikeError(Exception):
    """Two sides differ in more than words."""


def are_mirrored(one: Drawing, other: Drawing) -> bool:
    """Return whether two templates are mirror images, by the boxes of their outlines."""
    boxes = [stroke.outline.box for stroke in one.strokes]
    found = [_mirrored(stroke.outline.box) for stroke in other.strokes]
    return len(boxes) == len(found) and all(
        abs(a - b) < ALIKE
        for left, right in zip(sorted(boxes), sorted(found), strict=True)
        for a, b in zip(left, right, strict=True)
    )


def _mirrored(box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    return (-box[2], box[1], -box[0], box[3])


def share(one: T, other: T, names: tuple[str, str]) -> T:
    """Return a value of papers for both sides: texts with what differs on the other side, drawings of the first side.

    Args:
        one, other: values of the same shape, such as steps or sheets.
        names: of both sides.

    Raises:
        UnlikeError: if they differ in more than words.
    """
    return cast("T", _shared(one, other, names))


def _shared(one: object, other: object, names: tuple[str, str]) -> object:
    if type(one) is not type(other):
        raise UnlikeError
    if isinstance(one, str) and isinstance(other, str):
        return one if one == other else both_texts(one, other, names[1])
    if isinstance(one, Drawing) and isinstance(other, Drawing):
        return _view(one, other, names)
    if isinstance(one, tuple) and isinstance(other, tuple):
        if len(one) != len(other):
            raise UnlikeError
        return tuple(_shared(a, b, names) for a, b in zip(one, other, strict=True))
    if is_dataclass(one) and not isinstance(one, type):
        held = {f.name: _shared(getattr(one, f.name), getattr(other, f.name), names) for f in fields(one)}
        shared = replace(one, **held)
        return _with_room(shared, names) if isinstance(shared, TableBlock) else shared
    if one != other:
        raise UnlikeError
    return one


def _with_room(table: TableBlock, names: tuple[str, str]) -> TableBlock:
    """Return the table with a column to write in for each side in place of every one."""
    rooms = [k for k in range(len(table.head)) if table.rows and all(row[k] == WRITE for row in table.rows)]
    head, rows, shares = list(table.head), [list(row) for row in table.rows], list(table.shares)
    for k in reversed(rooms):
        head[k : k + 1] = names
        shares[k : k + 1] = [shares[k], shares[k]]
        for row in rows:
            row[k : k + 1] = [WRITE, WRITE]
    return replace(table, head=tuple(head), rows=tuple(map(tuple, rows)), shares=tuple(shares))


def _view(one: Drawing, other: Drawing, names: tuple[str, str]) -> Drawing:
    """Return the first side's view, whose sizes must be the other's, with the callouts of both."""
    sizes, others = (sorted(d.text for d in view.items if isinstance(d, Dimension)) for view in (one, other))
    strokes = [any(isinstance(item, Stroke) for item in view.items) for view in (one, other)]
    left = [item.text for item in other.items if isinstance(item, Callout)]
    if sizes != others or any(strokes) or len(left) != sum(isinstance(item, Callout) for item in one.items):
        raise UnlikeError

    def both(item: Item) -> Item:
        if not isinstance(item, Callout):
            return item
        mine = item.text
        near = max(left, key=lambda text: SequenceMatcher(None, mine, text).ratio())
        left.remove(near)
        return replace(item, text=share(item.text, near, names))

    return replace(one, title=share(one.title, other.title, names), items=tuple(map(both, one.items)))


def both_texts(one: str, other: str, name: str) -> str:
    """Return a text with the words that differ on the other side behind them.

    >>> both_texts("axis: 8° towards 10:30, low", "axis: 8° towards 1:30, low", "RIGHT")
    'axis: 8° towards 10:30 (RIGHT 1:30), low'
    """
    words, others = _words(one), _words(other)
    match = SequenceMatcher(None, words, others, autojunk=False)
    if match.ratio() < SIMILAR:
        return f"{one} ({name}: {other})"
    said = ""
    for what, a, b, c, d in match.get_opcodes():
        mine, theirs = "".join(words[a:b]), "".join(others[c:d]).strip()
        if what == "equal":
            said += mine
        else:
            said += f"{mine}{' ' * bool(mine and not mine.endswith(' '))}({name} {theirs or 'without'})"
    return said


def _words(text: str) -> Sequence[str]:
    return re.findall(r"\s+|[,;]|[^\s,;]+?(?=[,;]?(?:\s|$))", text)
