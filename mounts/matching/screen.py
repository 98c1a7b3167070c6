"""Result of a search of the library, on one screen."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from re import sub
from textwrap import wrap

from mounts.lengths import Units
from mounts.load.catalogue.panel_summary import Opening, PanelSummary
from mounts.load.editing.template import format_scalar
from mounts.matching.differences import Difference
from mounts.matching.match import Looked, Match
from mounts.matching.serving import UPRIGHT, Serving
from mounts.write.files import safe_name

PROOF = "like holes are no proof: hold the part's 1:1 template, or its first-check slice, against the panel first"

SEEN = 0.005  # mm: less is written as none
Found = Sequence[tuple[Match, tuple[Serving, ...]]]


def matches_text(looked: Looked, found: Found, width: int, units: Units) -> str:
    """Render the matches for the screen.

    Args:
        looked: what was found.
        found: those that are shown, with the mounts known for each.
        width: columns of the screen.
        units: in which the panel that was looked for is typed.
    """
    lines = [*_panel_lines(looked.known, looked.count, units)]
    for whole, title in ((True, "the same pattern"), (False, "part of the pattern")):
        held = [(match, known) for match, known in found if match.is_whole is whole]
        if held:
            lines += ["", title]
        for match, known in held:
            lines += _match_lines(match, known, looked.known, units)
    lines += _closing_lines(looked, len(found))
    return "\n".join(line for text in lines for line in _wrap(text, width)) + "\n"


def _closing_lines(looked: Looked, told: int) -> Iterator[str]:
    """Yield what was left out, not searched, and not found."""
    if not looked.matches:
        what = "pins" if looked.known.pins else "holes"
        yield from ("", f"no panel in the library has these {what}; measure on, and give it a job: mounts new job")
    if len(looked.matches) > told:
        yield from ("", f"and {len(looked.matches) - told} more, further off: --most {len(looked.matches)}")
    if looked.broken:
        yield from (
            "",
            f"not looked at, since they do not load: {_list_names(looked.broken)} (mounts list panel --check)",
        )
    if told:
        yield from ("", PROOF)


def _wrap(text: str, width: int) -> list[str]:
    """Wrap a line to a width, with a hanging indent."""
    more = " " * (len(text) - len(text.lstrip()) + 2)
    return wrap(text, width, subsequent_indent=more, break_long_words=False, break_on_hyphens=False) or [""]


def _panel_lines(known: PanelSummary, count: int, units: Units) -> Iterator[str]:
    """Yield the lines of the panel that was looked for."""
    yield f"{known.name}  {known.about}".rstrip()
    yield f"  {_measured(known, units)}"
    what = "pins" if known.pins else "fixings"
    hole = "grille" if known.pins else "opening"
    opening = f"{hole} {_opening(known.opening, units)}" if known.opening else f"no {hole} measured"
    yield f"  {len(known.points)} {what}, {opening}; looked at {count} panels"


def _measured(known: PanelSummary, units: Units) -> str:
    """Return who measured a panel, when and how well, its error in some units."""
    return sub(r"(?<=read to )[\d.]+", lambda found: units(float(found[0])), known.measured)


def _opening(opening: Opening, units: Units) -> str:
    """Return an opening's shape and its sizes, the wider first."""
    sizes = dict.fromkeys(units.read(size) for size in (opening[2], opening[1]))
    return f"{opening[3].split()[0]} {' × '.join(sizes)}"


def _match_lines(match: Match, known: Sequence[Serving], panel: PanelSummary, units: Units) -> Iterator[str]:
    worst = match.fit.worst
    off = f"off by {units(worst, 2)} at most (max {units(match.within, 2)})" if worst >= SEEN else "nowhere off"
    yield f"  {match.known.name}  {off}; {_placement(match)}"
    yield f"    {_measured(match.known, units)}"
    yield f"    {', '.join(f'{one} on {two}' for one, two in match.pairs)}{_unpaired_holes(match)}"
    if not match.agrees:
        yield "    the readings differ by more than their errors explain: another pattern, or a slip in one of them"
    yield from _difference_lines(match, panel, units)
    if not known:
        yield f"    no job is known for it; one for this panel: mounts new job {panel.name}"
    told: dict[str, list[Serving]] = {}
    for one in known:
        told.setdefault(_mount_line(one), []).append(one)
    for text, alike in told.items():
        yield f"    {', '.join(one.job for one in alike)}: {text}"
    drawn = [one for one in known if one.as_read is not None]
    if drawn:
        yield from _next_steps(next((one for one in drawn if one.goes_on), drawn[0]), match, panel)


def _difference_lines(match: Match, panel: PanelSummary, units: Units) -> Iterator[str]:
    """Yield the differences: less room for a mount, measured on one panel only, better here."""
    openings = {one[3]: _opening(one, units) for one in (panel.opening, match.known.opening) if one}

    def write(value: float | str | None, unit: str) -> str:
        if isinstance(value, str) or value is None:
            return openings.get(value or "", value or "nothing")
        return units(value) if unit == "mm" else f"{value:g}°"

    differences = match.differs
    both = [d for d in differences if d.here is not None and d.there is not None]
    for title, held in (
        ("otherwise here", [_difference(d, write) for d in both if d.worse]),
        ("better here", [_difference(d, write) for d in both if not d.worse]),
        ("not measured here", [f"{d.what} ({write(d.there, d.unit)} there)" for d in differences if d.here is None]),
        ("not measured there", [f"{d.what} ({write(d.here, d.unit)} here)" for d in differences if d.there is None]),
    ):
        if held:
            yield f"    {title}: {'; '.join(held)}"


def _placement(match: Match) -> str:
    """Return in words how the mount lies here."""
    motion = match.fit.motion
    hand = "as a mirror image" if motion.mirrored else "in the same hand"
    turn = f", turned {abs(motion.turn):.0f} {'clockwise' if motion.turn > 0 else 'anticlockwise'}"
    return hand + (turn if abs(motion.turn) >= UPRIGHT else ", upright")


def _unpaired_holes(match: Match) -> str:
    """Return in words which holes have no partner."""
    told = []
    if match.spare:
        told.append(f"its {_list_names(match.spare)} has nothing here")
    if match.unused:
        told.append(f"{_list_names(match.unused)} here stays unused")
    return "".join(f"; {text}" for text in told)


def _list_names(names: Sequence[str]) -> str:
    return ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")


def _difference(one: Difference, write: Callable[[float | str | None, str], str]) -> str:
    here = f"{one.what} {write(one.here, one.unit)}"
    return here if one.there == 0.0 else f"{here}, there {write(one.there, one.unit)}"


def _mount_line(one: Serving) -> str:
    """Return what is said of a job's mount; jobs with the same text share a line."""
    if one.as_read is None:
        return one.why
    return f"{one.side} part, {one.kind} for {one.speaker}, {one.holes}: {_chances(one)}"


def _chances(one: Serving) -> str:
    assert one.as_read is not None
    if one.if_same is None:
        return f"goes on in {_percent(one.as_read)} as read here"
    alone = f"{_percent(one.as_read)} by this panel's readings alone"
    return f"goes on in {_percent(one.if_same)} if both are one pattern, in {alone}"


def _percent(chance: float) -> str:
    return f"{100 * chance:.0f} %"


def _next_steps(one: Serving, match: Match, panel: PanelSummary) -> Iterator[str]:
    """Yield what to do next with the mount of a job."""
    if serves_as_it_is(one, match):
        yield f"    next: mounts build {one.job}, and print the {one.side} part as it is"
        return
    name, text = own_job(one, panel)
    why = "whether it clears what differs" if one.goes_on and match.is_whole else "what fits this panel"
    yield f"    next: a job of its own shows {why}; write jobs/{name}.yaml, then mounts check it:"
    yield from (f"        {line}" for line in text.splitlines())


def serves_as_it_is(one: Serving, match: Match) -> bool:
    """Return whether a mount serves this panel unchanged: it goes on, and nothing that it needs differs."""
    return one.goes_on and match.is_whole and not any(difference.worse for difference in match.differs)


def own_job(one: Serving, panel: PanelSummary) -> tuple[str, str]:
    """Return name and text of a job that makes a known job's mount for this panel."""
    name = safe_name(f"{panel.name}-{one.speaker}")
    keys = {"kind": one.kind, "name": name, "based_on": one.job, "panel": panel.name}
    lines = [*(f"{key}: {format_scalar(value)}" for key, value in keys.items()), f"sides: [{panel.side}]", *one.turned]
    return name, "\n".join(lines) + "\n"
