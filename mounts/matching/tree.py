"""Result of a search of the library, as one JSON document."""

from __future__ import annotations

import json
from collections.abc import Sequence

from mounts.load.catalogue.panel_summary import PanelSummary
from mounts.matching.match import Looked, Match
from mounts.matching.screen import Found, own_job, serves_as_it_is
from mounts.matching.serving import Serving

SCHEMA = 1  # of the JSON document; rises when a field changes its meaning


def matches_json(looked: Looked, found: Found) -> str:
    """Return the matches as one JSON document ending in a line end.

    schema: number of this format (1).
    panel: {name, file, measured: {by, on, holes, sd}}; holes is null where it is not stated.
    looked_at, broken: how many panels the library has, and names of those that do not load.
    matches: one entry a panel that was found, the nearest first:
        panel, about, measured: as above; whole: whether every point has its partner.
        worst, rms, within: greatest deviation, root of their mean square, and what was allowed, mm.
        agrees: whether both readings' errors explain it.
        motion: {mirrored, turn, shift} from there to here: mirrored x → −x first, then clockwise, then the shift.
        pairs: [there, here] by name; spare: points only there; unused: points only here.
        differs: {what, here, there, worse}.
        jobs: {job, file, kind, speaker, side, holes, chance: {as_read, if_same}, sure, goes_on, serves_as_it_is,
            own_job: {name, text} of a job for this panel that is based on it, why}; null where
            the match is given in short only.
    """
    told = {match.known.name: known for match, known in found}
    tree = {
        "schema": SCHEMA,
        "panel": {"name": looked.known.name, "file": str(looked.file), "measured": _measured(looked.known)},
        "looked_at": looked.count,
        "broken": list(looked.broken),
        "matches": [_match_tree(match, told.get(match.known.name), looked.known) for match in looked.matches],
    }
    return json.dumps(tree, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _measured(known: PanelSummary) -> dict[str, object]:
    return {"by": known.by or None, "on": known.on or None, "holes": known.read_with or None, "sd": known.sd}


def _match_tree(match: Match, known: Sequence[Serving] | None, panel: PanelSummary) -> dict[str, object]:
    fit = match.fit
    return {
        "panel": match.known.name,
        "about": match.known.about,
        "measured": _measured(match.known),
        "whole": match.is_whole,
        "worst": round(fit.worst, 4),
        "rms": round((fit.sum_of_squares / len(fit.pairs)) ** 0.5, 4),
        "within": round(match.within, 4),
        "agrees": match.agrees,
        "motion": {
            "mirrored": fit.motion.mirrored,
            "turn": round(fit.motion.turn, 4),
            "shift": [round(v, 4) for v in fit.motion.shift],
        },
        "pairs": [list(pair) for pair in match.pairs],
        "spare": list(match.spare),
        "unused": list(match.unused),
        "differs": [{"what": d.what, "here": d.here, "there": d.there, "worse": d.worse} for d in match.differs],
        "jobs": None if known is None else [_serving_tree(one, match, panel) for one in known],
    }


def _serving_tree(one: Serving, match: Match, panel: PanelSummary) -> dict[str, object]:
    return {
        "job": one.job,
        "file": str(one.file),
        "kind": one.kind or None,
        "speaker": one.speaker or None,
        "side": one.side or None,
        "holes": one.holes or None,
        "chance": {"as_read": one.as_read, "if_same": one.if_same},
        "sure": one.sure,
        "goes_on": one.goes_on,
        "serves_as_it_is": serves_as_it_is(one, match),
        "own_job": None if one.as_read is None else dict(zip(("name", "text"), own_job(one, panel), strict=True)),
        "why": one.why or None,
    }
