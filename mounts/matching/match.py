"""Panels of a library with the same holes, pins and opening as one, and what differs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import hypot
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.geometry.registration import Point, Registration, find_registrations
from mounts.geometry.ties import MARGIN, sort_with_ties
from mounts.load.catalogue.cache import SUFFIX
from mounts.load.catalogue.folders import FOLDERS, short_path
from mounts.load.catalogue.panel_summary import PanelSummary
from mounts.matching.differences import Difference, differences
from mounts.matching.index import Index, Tell, candidates, panels_of

DEVIATIONS = 3.0  # standard deviations of both readings together by which a hole may lie off and be the same
WIDEST = 2.5  # mm by which it may at most
ALWAYS_WITHIN = 0.5  # mm that are always allowed
APART = 3.0  # mm between the middles of two openings, above which they are not the same place's
UP = 20.0  # degrees by which two who measured the same place may differ in what is up
NORMAL_99 = 2.3263  # of the standard normal distribution


@dataclass(frozen=True, slots=True)
class SearchOptions:
    """Options of a search.

    Attributes:
        within: greatest distance of a hole from its partner, mm; None for what the readings' errors give.
    """

    within: float | None = None


@dataclass(frozen=True, slots=True)
class Match:
    """One panel of the library on the one that is looked for.

    Attributes:
        known: the library's panel.
        fit: its points carried onto the other's.
        within: what was allowed, mm.
        pairs: names of the points that lie on each other, the library's first.
        spare: points of the library's panel that have none here; the mount has a hole for each.
        unused: points here for which its mount has no hole.
        agrees: whether what is left is no more than both readings' errors explain, 99 times in 100.
        differs: what else differs.
    """

    known: PanelSummary
    fit: Registration
    within: float
    pairs: tuple[tuple[str, str], ...]
    spare: tuple[str, ...]
    unused: tuple[str, ...]
    agrees: bool
    differs: tuple[Difference, ...]

    @property
    def is_whole(self) -> bool:
        """True if every point of both has its partner."""
        return not self.spare and not self.unused


@dataclass(frozen=True, slots=True)
class Looked:
    """Result of a search of the library.

    Attributes:
        known: the panel that was looked for.
        file: its file, as one names it.
        matches: the whole ones first, then those with most points, each the nearest first.
        count: how many panels were looked at.
        broken: names of those that do not load.
        trouble: why the index could not be kept; "" when it was.
    """

    known: PanelSummary
    file: Path
    matches: tuple[Match, ...]
    count: int
    broken: tuple[str, ...]
    trouble: str


def search_panels(root: Path, reference: str, wish: SearchOptions, tell: Tell, below: Sequence[Path] = ()) -> Looked:
    """Search a library.

    Args:
        root: the library's folder, or that of its topmost layer.
        reference: name of a panel in it, or a panel's file.
        wish: what counts as the same.
        tell: is called with how far reading is, where files must be read.
        below: folders of the layers below, the next one first.

    Raises:
        InputError: for a panel that is not there or does not load.
    """
    layers = [(one, panels_of(one, tell)) for one in (root, *below)]
    indices = [index for _, index in layers]
    known, file = _asked(layers, reference)
    tolerance = 2 * pair_tolerance(hypot(max(index.sd for index in indices), known.sd), wish)
    found: list[Match] = []
    broken: list[str] = []
    count = 0
    for depth, index in enumerate(indices):
        above, own = indices[:depth], index.row(known.name)
        for row in candidates(index.between, known.pattern, tolerance, pins=known.pins):
            other = index.known(row) if row != own else None
            if other is not None and not _is_hidden(other.name, above) and (match := match_panel(other, known, wish)):
                found.append(match)
        broken += [name for name in index.broken() if not _is_hidden(name, above)]
        count += sum(not _is_hidden(name, above) for name in index.names()) if above else index.count
    better = (
        (lambda one: not one.is_whole, 0.5),
        (lambda one: -len(one.pairs), 0.5),
        (lambda one: one.fit.worst, MARGIN),
    )
    found = sort_with_ties(found, *better)
    trouble = next((index.trouble for index in indices if index.trouble), "")
    return Looked(known, file, tuple(found), count, tuple(broken), trouble)


def _is_hidden(name: str, above: Sequence[Index]) -> bool:
    """Return whether a panel of that name in a layer above hides this one."""
    return any(index.row(name) is not None for index in above)


def _asked(layers: Sequence[tuple[Path, Index]], reference: str) -> tuple[PanelSummary, Path]:
    """Return the panel that is looked for: from the index where it is of the library, else from its file."""
    path = Path(reference)
    is_file = path.suffix in (SUFFIX, ".yml")
    for root, index in layers:
        folder = root / FOLDERS["panel"]
        if is_file and path.resolve().parent != folder.resolve():
            continue
        name = path.stem if is_file else reference
        row = index.row(name)
        if row is not None:
            file = short_path(folder / f"{name}{SUFFIX}")
            known = index.known(row)
            return (known, file) if known is not None else _loaded(file)
    if is_file:
        return _loaded(path)
    names = sorted({name for _, index in layers for name in index.names()})
    close = get_close_matches(reference, names, 1, 0.5)
    some = ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
    hint = f'did you mean "{close[0]}"?' if close else f"there: {some or 'none'}"
    raise InputError(Problem(f'no panel "{reference}" in {short_path(layers[0][0] / FOLDERS["panel"])}; {hint}'))


def _loaded(file: Path) -> tuple[PanelSummary, Path]:
    from mounts.load.resolve.library import load_profile
    from mounts.load.resolve.summarise import summarise_panel

    loaded = load_profile("panel", file)
    known = summarise_panel(loaded)
    if known is None:
        raise InputError(*loaded.problems)
    return known, file


def pair_tolerance(sd: float, wish: SearchOptions) -> float:
    """Return the greatest distance between paired holes, mm, for the joint standard deviation of both readings."""
    return wish.within if wish.within is not None else min(max(DEVIATIONS * sd, ALWAYS_WITHIN), WIDEST)


def match_panel(other: PanelSummary, known: PanelSummary, wish: SearchOptions) -> Match | None:
    """Register a library's panel on another one; None where too few points lie on each other."""
    both = hypot(other.sd, known.sd)
    within = pair_tolerance(both, wish)
    fewest = _fewest(len(other.points), len(known.points))
    found = find_registrations(other.pattern, known.pattern, within, fewest)
    if not found:
        return None
    fit = _likeliest(found, other, known, both)
    pairs = tuple((other.names[i], known.names[j]) for i, j in fit.pairs)
    return Match(
        known=other,
        fit=fit,
        within=within,
        pairs=pairs,
        spare=tuple(name for name in other.names if name not in {one for one, _ in pairs}),
        unused=tuple(name for name in known.names if name not in {two for _, two in pairs}),
        agrees=readings_agree(fit, both),
        differs=differences(other, known, fit.motion, pairs),
    )


def _fewest(here: int, there: int) -> int:
    """Return how many points must coincide: all of two, else all but one of the fewer, at least three."""
    if min(here, there) == 2:
        return 2 if here == there else 3
    return max(3, min(here, there) - 1)


def readings_agree(fit: Registration, sd: float) -> bool:
    """Return whether errors of `sd` a coordinate explain the residuals, with 99 % confidence.

    The sum of the squares over sd² is a chi-square of 2n − 3 degrees, three being spent on shift and turn; its
    quantile by Wilson and Hilferty, PNAS 17 (1931) 684-688.
    """
    free = 2 * len(fit.pairs) - 3
    most = free * (1 - 2 / (9 * free) + NORMAL_99 * (2 / (9 * free)) ** 0.5) ** 3
    explained: float = most * max(sd, 1e-6) ** 2
    return fit.sum_of_squares <= explained


def _likeliest(found: Sequence[Registration], other: PanelSummary, known: PanelSummary, sd: float) -> Registration:
    """Return the registration, of those as good as the best, that is the right way up and on the right side if any is.

    A regular pattern lies on another in several ways, between which only the readings' errors choose; but whoever
    measured knew what was up, and which side of the vehicle it was.
    """
    best = found[0]
    alike = [f for f in found if len(f.pairs) == len(best.pairs) and f.worst <= best.worst + sd]
    mirrored = other.side != known.side and other.other_side != "same"

    def cost(fit: Registration) -> tuple[bool, bool, float]:
        off = opening_off(other, known, fit)
        away = off is not None and hypot(*off) > APART
        stands = abs(fit.motion.turn) <= UP and fit.motion.mirrored == mirrored
        return (away, not stands, fit.worst)

    return min(alike, key=cost)


def opening_off(other: PanelSummary, known: PanelSummary, fit: Registration) -> Point | None:
    """Return the vector between both openings' centres in the library panel's frame, mm."""
    if other.opening is None or known.opening is None:
        return None
    (x, y), (u, v) = fit.motion.moved(other.opening[0]), known.opening[0]
    return (x - u, y - v)
