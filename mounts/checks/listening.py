"""Angle of the speaker's axis to the listener against the frequencies that it plays."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from mounts.design.listening import (
    CABIN,
    HANDED_ON,
    ListenerLevel,
    covered_up_to,
    evaluate_listener,
    find_listeners,
    judged_frequencies,
    level_off_axis,
    speed_of_sound,
    widest_of,
)
from mounts.findings.compare import at_most
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Frame
from mounts.identity import Role, called
from mounts.lengths import Units
from mounts.load.models.speaker import Speaker
from mounts.load.models.speaker_job import SpeakerJob

MODEL = (
    f"{HANDED_ON:g} dB, half the pressure, bound a speaker's coverage (common practice); rigid piston in an endless "
    "baffle (Kinsler and Frey): an estimate"
)


def listening_findings(job: SpeakerJob, seat: Frame) -> Iterator[Finding]:
    """Yield the angle to the first seat's ears, against that at which HANDED_ON dB are lost.

    It is judged at the highest frequency that the speaker plays, or where cones begin to break up if that is lower.
    Where the ears are estimated, it is that of a short, an average or a tall person, whoever sits furthest off. Nothing
    is said where no ears are known.
    """
    speed = speed_of_sound(CABIN)
    widest = widest_of(job.speaker, speed)
    found = evaluate_listener(seat, find_listeners(job.panel, job.uncertainty("ears")))
    if widest is None or not found:
        return
    first = found[0]
    yield at_most(
        "aim.ear",
        first.widest,
        widest,
        _said(job.speaker, first, speed),
        missed=Verdict.WARN,
        at=seat.origin,
        between=(called(Role.LIMIT, "speaker axis"), called(Role.LIMIT, f"ears of the {first.listener.seat}")),
        source=MODEL,
        advice=lambda: _advice(job.speaker, first, widest, speed),
        margin_sd=degrees(max(first.listener.sd) / first.path),
    )


def _said(speaker: Speaker, one: ListenerLevel, speed: float) -> str:
    """Return the cost of the angle in words."""
    frequency, piston = judged_frequencies(speaker, speed), speaker.piston_diameter
    assert piston is not None
    now, flat = (-float(level_off_axis(frequency, angle, piston, speed)) for angle in (one.widest, one.flat))
    whose = "estimated ears" if one.listener.is_estimated else "ears"
    return (
        f"speaker axis to the {whose} of the {one.listener.seat}: loses {now:.1f} dB at {frequency:.0f} Hz "
        f"(flat {flat:.1f})"
    )


def _advice(speaker: Speaker, one: ListenerLevel, widest: float, speed: float) -> str:
    """Return how much nearer it must face, or where to cross over to another speaker."""
    piston = speaker.piston_diameter
    assert piston is not None
    upper = covered_up_to(one.widest, HANDED_ON, piston, speed)
    turn = f"turn it {Units.MM.at_least(one.widest - widest)}° nearer to the ears (mounts aim shows what fits)"
    if one.widest >= 90:
        return f"{turn}: they are behind its flange"
    return f"{turn}, or cross it over below {_floored(upper):.0f} Hz"


def _floored(frequency_hz: float) -> float:
    """Return a frequency rounded down to 50 Hz."""
    return frequency_hz - frequency_hz % 50.0
