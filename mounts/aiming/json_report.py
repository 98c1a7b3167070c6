"""Output of `mounts aim` as one JSON document.

schema: number of this format (1).
job, temperature (°C), speed_of_sound (m/s).
sides: one entry a side:
    side, tilt, toward (clock degrees), height (mm over the face).
    choice: null where the job gave the seat's place; else the angle that was made least, the chance that is kept, and
        the limits that hold it: what one more of each (in its unit) gives, degrees, or mm of height.
    model: effective diameter (piston, mm), what it plays (Hz), and the frequencies between which the model holds.
    listeners: seat, estimated, path (mm), angle, flat, short, tall (degrees off the axis), and level by frequency (dB,
        0 on the axis).
    tilts: a row a tilt: tilt, height (null where nothing can be drawn, and why in refused), chosen, the tightest
        clearance of each sort (gap, limit, verdict, between), the angle to each seat, and level at the first.
arrivals: mount, seat, path (mm), time_ms, ahead (mm), delay_ms, samples by rate, louder_db.
files: written, or [].

Of a kit: kit (its name) in place of job; mounts in place of sides, each with its job's name before all else, and the
kit's own tilt its only row; arrivals of all mounts, by "job side"; silent: jobs that hold no speaker; refused: mounts
that cannot be drawn, and why. No file is written.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from mounts.aiming.kit import AimedKit
from mounts.aiming.values import AimReport, SideAim, TiltRow
from mounts.design.choice import Choice
from mounts.design.listening import (
    RATES_HZ,
    Arrival,
    ListenerLevel,
    directivity_index,
    held_between,
    level_loss,
    listed_frequencies,
    wave_size,
)
from mounts.identity import ident_trees
from mounts.load.models.speaker import Speaker
from mounts.write.report import round_values

SCHEMA = 1  # of both documents; rises when a field changes its meaning


def aim_json(found: AimReport, files: Sequence[str]) -> str:
    """Return the document; equal values give equal text."""
    tree = {
        "schema": SCHEMA,
        "job": found.name,
        "temperature": round_values(found.temperature),
        "speed_of_sound": round_values(found.speed),
        "sides": [_side(side, found.speed) for side in found.sides],
        "arrivals": [_arrival(one) for one in found.arrivals],
        "files": list(files),
    }
    return json.dumps(tree, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def kit_json(found: AimedKit) -> str:
    """Return the document of a kit; equal values give equal text."""
    aimed = found.aimed
    tree = {
        "schema": SCHEMA,
        "kit": aimed.name,
        "temperature": round_values(aimed.temperature),
        "speed_of_sound": round_values(aimed.speed),
        "mounts": [{"job": side.job.name, **_side(side, aimed.speed)} for side in aimed.sides],
        "silent": list(found.silent),
        "refused": [{"mount": mount, "why": why} for mount, why in found.refused],
        "arrivals": [_arrival(one) for one in aimed.arrivals],
    }
    return json.dumps(tree, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _side(side: SideAim, speed: float) -> dict[str, object]:
    seat = side.seat
    return {
        "side": side.job.side,
        "tilt": round_values(seat.tilt),
        "toward": round_values(seat.toward),
        "height": round_values(seat.frame.origin[2]),
        "choice": None if side.choice is None else _choice(side.choice),
        "model": _model(side.job.speaker, speed),
        "listeners": [_listener(one, side.job.speaker, speed) for one in side.heard],
        "tilts": [_row(row, side.job.speaker, speed) for row in side.rows],
    }


def _choice(choice: Choice) -> dict[str, object]:
    return {
        "angle": round_values(choice.angle, 2),
        "sure": choice.sure,
        "held_by": [
            {
                "code": one.code,
                "between": ident_trees(one.between),
                "gap": round_values(one.gap, 2),
                "limit": round_values(one.limit, 2),
                "spare": round_values(one.spare, 2),
                "unit": one.unit,
                "reading": one.reading,
                "gives": round_values(one.gives, 3),
            }
            for one in choice.active
        ],
    }


def _model(speaker: Speaker, speed: float) -> dict[str, object]:
    piston = speaker.piston_diameter
    if piston is None:
        return {"piston": None, "plays": list(speaker.band), "holds": None, "directivity_index": None}
    told = listed_frequencies(speaker, speed)
    index = directivity_index(wave_size(told, piston, speed))
    return {
        "piston": round_values(piston),
        "plays": list(speaker.band),
        "holds": [round_values(hertz, 1) for hertz in held_between(piston, speed)],
        "directivity_index": {f"{f:.5g}": round_values(float(i), 2) for f, i in zip(told, index, strict=True)},
    }


def _levels(speaker: Speaker, losses: Sequence[float], speed: float) -> dict[str, object]:
    return {
        f"{f:.5g}": round_values(-loss, 2) for f, loss in zip(listed_frequencies(speaker, speed), losses, strict=False)
    }


def _listener(one: ListenerLevel, speaker: Speaker, speed: float) -> dict[str, object]:
    angles = {"angle": one.angle, "flat": one.flat, "short": one.short, "tall": one.tall}
    return {
        "seat": one.listener.seat,
        "estimated": one.listener.is_estimated,
        "path": round_values(one.path, 1),
        **{name: round_values(angle, 2) for name, angle in angles.items()},
        "level": {name: _levels(speaker, level_loss(speaker, angle, speed), speed) for name, angle in angles.items()},
    }


def _row(row: TiltRow, speaker: Speaker, speed: float) -> dict[str, object]:
    return {
        "tilt": round_values(row.tilt),
        "height": round_values(row.height),
        "chosen": row.is_chosen,
        "refused": row.refused,
        "clearances": {
            word: {
                "gap": round_values(gap.gap, 2),
                "limit": round_values(gap.wanted, 2),
                "verdict": str(gap.verdict),
                "between": ident_trees(gap.between),
            }
            for word, gap in row.gaps
        },
        "angle": {one.listener.seat: round_values(one.angle, 2) for one in row.heard},
        "level": _levels(speaker, row.lost, speed),
    }


def _arrival(one: Arrival) -> dict[str, object]:
    return {
        "mount": one.path.mount,
        "seat": one.path.seat,
        "path": round_values(one.path.length, 1),
        "time_ms": round_values(one.time_ms),
        "ahead": round_values(one.ahead, 1),
        "delay_ms": round_values(one.delay_ms),
        "samples": {str(rate): count for rate, count in zip(RATES_HZ, one.samples, strict=True)},
        "louder_db": round_values(one.louder_db, 2),
    }
