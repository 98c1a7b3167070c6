"""Cautions of a cup, and the readings that were not taken."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.cautions import BATTERY, FIRST, FUMES, SMELLS, material_cautions, nearby_cautions
from mounts.kinds.cup.way import find_way
from mounts.load.models.job_kinds import CupJob

IRON = (
    "Staking iron: at 210 to 250 °C it burns at once and hot plastic sticks to skin; stand it safely, keep a hand's "
    "width from its tip, let a head cool under the tip before you lift it."
)
PIN_FUMES = (
    "Melting the pins of a panel whose plastic you do not know gives off fumes: air the room, lead them away from "
    "your face, and stop when it smokes; it is then too hot."
)
FAR = (
    "Stake on the bench, never in the vehicle: no iron near airbags, belt tensioners, sensors or their wires. A panel "
    "that covers an airbag is never staked or altered."
)
COLD = "Tweeter: it goes in when all heads are cold; an iron beside it softens what holds its coil."
SHIELD = (
    "Tweeter: it is in the cup while that is staked. Keep the iron's heat off it with a strip of metal sheet, its "
    "cable out of the wells, and the iron's tip away from its magnet."
)
TRY = "Try iron and time on a spare pin first: a head that was overheated is brittle."
LOOSE = "Pull at the cup when all heads are cold, and again after the first hot days: a loose cup rattles or falls."
INSERT = "Heat-set inserts: as with the staking iron; set them before the cup goes on."


def cup_cautions(job: CupJob) -> tuple[str, ...]:
    """Return the cautions that concern one cup, the most important first."""
    return (
        FIRST,
        BATTERY,
        *nearby_cautions(job.panel.nearby),
        FAR,
        IRON,
        PIN_FUMES,
        COLD if find_way(job) == "grille" else SHIELD,
        TRY,
        *_work(job),
        *material_cautions(job),
        LOOSE,
    )


def _work(job: CupJob) -> Iterator[str]:
    if job.material.name in SMELLS:
        yield FUMES.format(job.material.name.upper())
    if job.fix_speaker is not None and job.fix_speaker.hardware.hot:
        yield INSERT


def cup_unread(job: CupJob) -> tuple[str, ...]:
    """Return the paths of the readings that a check would have used, had they been taken."""
    panel, speaker = job.panel, job.speaker
    given = {
        "panel.grille": panel.grille is not None,
        "panel.grille.cover": panel.grille is None or panel.grille.cover is not None,
        "panel.standing": bool(panel.standing),
        "panel.ears": panel.ears is not None or panel.seats is not None,
        "panel.place": panel.place is not None,
        "speaker.body": bool(speaker.body),
        "speaker.terminals": bool(speaker.terminals),
        "speaker.front": speaker.front is not None,
        "speaker.piston": speaker.piston_diameter is not None,
        "speaker.mass": speaker.mass is not None,
    }
    return tuple(path for path, known in given.items() if not known)
