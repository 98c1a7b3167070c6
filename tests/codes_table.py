"""The table of codes in DEVELOPERS.md, as `findings/codes.py` declares them; run by itself, it writes that table."""

from __future__ import annotations

from pathlib import Path

from mounts.findings.codes import ROWS, Row

DOCUMENT = Path(__file__).parents[1] / "DEVELOPERS.md"
HEAD = "| code | says | group | limit is | unit |\n| --- | --- | --- | --- | --- |\n"


def rendered() -> str:
    """Return the table, a line a row."""
    return HEAD + "".join(map(_line, ROWS))


def rewritten(text: str) -> str:
    """Return a document with its table of codes made anew."""
    start = text.index(HEAD)
    return text[:start] + rendered() + text[text.index("\n\n", start) + 1 :]


def _line(row: Row) -> str:
    names = ", ".join(f"`{name}`" for name in row.names.split())
    limits = " or ".join(str(sense) for sense in row.senses)
    return f"| {names} | {row.says} | {row.group} | {limits} | {row.unit} |\n"


if __name__ == "__main__":
    DOCUMENT.write_text(rewritten(DOCUMENT.read_text("utf-8")), "utf-8")
