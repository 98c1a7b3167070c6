"""The order in which reprints happen, and so the order in which findings are told."""

from __future__ import annotations

from collections.abc import Iterable

from mounts.findings.report import Finding

ORDER = (
    "placed",  # a mesh that was drawn elsewhere: without its place nothing else can be told
    "aim",  # where it looks, since all else follows from that
    *("clear.trim", "way.trim", "clear.grille"),  # the trim closes
    *("clear.glass", "clear.thing", "clear.room", "clear.standing", "clear.terminals"),  # the window winds down
    "chance",  # how sure all that is
    *("pattern", "panel", "hole", "clear.body", "way", "hand"),  # it goes on, the speaker goes in, on the right side
    *("base", "recess", "clear.hardware", "clear.bead", "seat", "shrink", "access"),  # flat, true, and within reach
    *("clear.behind", "clear.plug", "clear.cable", "slit", "fit", "size", "hold", "strain"),  # a device's own sleeve
    *("air", "passage", "wrap"),  # a board's devices and cables
    *("stake", "press"),  # a cup's heads, and what holds its tweeter
    *("screw", "load", "seal", "flat", "sound", "aim", "heat", "wall", "edges", "print", "bed", "solid"),
)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings sorted by their codes' place in the order; those of one code stay as they are."""
    return tuple(sorted(findings, key=_rank))


def _rank(finding: Finding) -> int:
    """Place of a finding's code; the most telling of several prefixes that fit counts."""
    fitting = [prefix for prefix in ORDER if finding.code.startswith(prefix)]
    return ORDER.index(max(fitting, key=len)) if fitting else len(ORDER)
