"""Faults of a text that is no YAML, found by what stands there rather than by how a parser got stuck."""

from __future__ import annotations

import re

PAIR = re.compile(r"\s*(?:\w[\w .:-]*?|\"[^\"]*\")\s*:(\s|$)")  # a line that gives a key
OPENS, CLOSES = "[{", "]}"


def find_mistake(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    """Return line, column (from 0) and reason of a mistake that a YAML parser met; None to keep the parser's own.

    A parser stops where it can go no further, which is often a line or more after the mistake.
    """
    if line >= len(lines):  # the parser came to the end
        line, column = len(lines) - 1, len(lines[-1])
    for seen in (_unclosed_quote, _brackets, _after_quote, _sign, _no_colon, _two_colons, _indent):
        if found := seen(lines, line, column):
            return found
    return None


def _bare(line: str) -> str:
    """Return a line with quoted text and its comment blanked out."""
    bare = re.sub(r"\"(?:[^\"\\]|\\.)*\"|(?<![\w])'(?:[^']|'')*'", lambda quoted: "·" * len(quoted.group()), line)
    return re.sub(r"(^|\s)#.*", lambda comment: comment.group(1), bare)


def _before(lines: list[str], line: int) -> int | None:
    """Return the index of the last line before that holds more than a comment."""
    return next((k for k in range(line - 1, -1, -1) if _bare(lines[k]).strip()), None)


def _unclosed_quote(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    for k in range(line, -1, -1):
        rest = _bare(lines[k])
        for found in re.finditer(r"(?:^|[\s:,\[{-])([\"'])", rest):
            if rest.count(found.group(1), found.start(1)) % 2:
                sign = found.group(1)
                return k, found.start(1), f"the quote {sign} that begins here does not end; close it, or take it out"
    return None


def _brackets(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    """Find a bracket that stays open or is closed by another kind; else what stands in place of a comma."""
    stack: list[tuple[str, int, int]] = []
    for k in range(line + 1):
        for at, sign in enumerate(_bare(lines[k])[: column if k == line else None]):
            if sign in OPENS:
                stack.append((sign, k, at))
            elif sign in CLOSES and stack:
                stack.pop()
    if not stack:
        return None
    opened, k, at = stack[-1]
    close = CLOSES[OPENS.index(opened)]
    here = lines[line][column : column + 1]
    if here in (other for other in CLOSES if other != close):
        return line, column, f"{here} stands where {close} is needed: line {k + 1} has {opened}"
    if k == line and here and here not in "]}":
        return line, column, "a comma is missing before this, or a colon and a space after the word before it"
    return k, at, f"the bracket {opened} that begins here does not end; close it with {close}"


def _after_quote(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    if re.search(r":\s+([\"']).*\1$", lines[line][:column].rstrip()) and lines[line][column:].strip():
        return line, column, "something stands after the closing quote; put all of the value in quotes, or none of it"
    return None


def _no_colon(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    """Find a line without a key among lines with keys; the parser stops at it or at the next line."""
    for k in (line, _before(lines, line)):
        bare = _bare(lines[k]) if k is not None else ""
        if k is not None and re.match(r"\s*[\w][^\[\]{}]*$", bare) and not PAIR.match(bare):
            word = bare.strip().split(":")[0].split("=")[0].split()[0]
            return (
                k,
                len(bare) - len(bare.lstrip()),
                f"no key is given here; write a colon and a space, as in {word}: …",
            )
    return None


def _two_colons(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    found = PAIR.match(lines[line])
    if found and re.search(r":(\s|$)", _bare(lines[line])[found.end() :]) and column >= found.end() - 1:
        return line, column, "a second colon in this line; put the value in quotes, or a key on a line of its own"
    return None


def _indent(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    """Find a key that begins in a column in which none of its neighbours begins."""
    own = len(lines[line]) - len(lines[line].lstrip())
    before = _before(lines, line)
    if before is None or not PAIR.match(lines[line]):
        return None
    above = _bare(lines[before]).rstrip()
    if above.endswith(":") and len(above) - len(above.lstrip()) < own:
        return None
    levels: dict[int, str] = {}
    for k in range(before, -1, -1):
        bare = _bare(lines[k])
        if PAIR.match(bare) and (here := len(bare) - len(bare.lstrip())) < min(levels, default=1000):
            levels[here] = bare.strip().split(":")[0]
    if own in levels:
        return None
    told = " or ".join(f"{word} ({here + 1})" for here, word in sorted(levels.items(), reverse=True)[:3])
    return line, own, f"this key begins in column {own + 1}; let it begin where its like do: {told}"


def _sign(lines: list[str], line: int, column: int) -> tuple[int, int, str] | None:
    sign = lines[line][column : column + 1]
    if sign in ("@", "%", "`", "&", "*", "!", "|", ">"):
        return line, column, f"a value cannot begin with {sign}; put it in quotes"
    return None
