"""Aim and the tuner's sheet: paths, delays, levels, and what is lost off the axis."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.design.listening import (
    CABIN,
    RATES_HZ,
    ListenerLevel,
    Path,
    arrivals,
    evaluate_listener,
    find_listeners,
    frequency_text,
    level_loss,
    listed_frequencies,
    paths,
    speed_of_sound,
)
from mounts.findings.wording import number
from mounts.load.models.speaker_job import SpeakerJob
from mounts.made import Made
from mounts.papers.entry import Chapter
from mounts.papers.values import WRITE, Block, Bullets, Paragraph, TableBlock, WritingSpace


def listener_levels(made: Made) -> tuple[ListenerLevel, ...]:
    """Return every listener that a mount's panel knows, before its seat; none for a part without a speaker."""
    job, seat = made.job, made.seat
    if not isinstance(job, SpeakerJob) or seat is None:
        return ()
    return evaluate_listener(seat.frame, find_listeners(job.panel, job.uncertainty("ears")))


def tuner_blocks(parts: Sequence[Chapter]) -> tuple[Block, ...]:
    """Return the sheet for whoever sets up the amplifier; nothing where no ear was measured."""
    if not any(one.paths for one in parts):
        return ()
    return (
        Paragraph(
            f"Each seat is calculated on its own: delays can be right for one place at a time. Sound at {CABIN:g} °C, "
            f"{speed_of_sound(CABIN):.0f} m/s; in a cold or hot cabin times change by a few per cent, alike for all.",
        ),
        Paragraph("Paths and delays", "head"),
        _delays(parts),
        Paragraph("Off the axis", "head"),
        _losses(parts),
        Bullets(
            (
                "Delay the nearer mounts by these figures so that all arrive with the furthest. Measure, then trust "
                "the measurement more than this sheet.",
                "“Louder” comes from distance alone; lower the nearer mount's level by it as a beginning.",
                "Losses are those of a stiff round piston in an endless wall (2 J1(x)/x). Real cones and doors differ: "
                "an estimate, good up to about the frequency at which the cone breaks up.",
            )
        ),
        WritingSpace("Set, on"),
    )


def paths_to_ears(made: Made) -> tuple[Path, ...]:
    """Return the paths from a mount's seat to every listener that its panel knows; none without a speaker."""
    seat = made.seat
    return paths(_name_seat(made), seat.frame.origin, [one.listener for one in listener_levels(made)]) if seat else ()


def _delays(parts: Sequence[Chapter]) -> TableBlock:
    ways = [way for one in parts for way in one.paths]
    rows = [
        (
            one.path.seat,
            _shorten(one.path.mount, parts),
            parts[0].units.cell(one.path.length, 0),
            number(one.time_ms, 2),
            number(one.delay_ms, 2),
            " / ".join(f"{count}" for count in one.samples),
            number(one.louder_db, 1),
            WRITE,
        )
        for one in sorted(arrivals(ways), key=lambda found: found.path.seat)
    ]
    rates = " / ".join(f"{rate / 1000:g}" for rate in RATES_HZ)
    head = (
        "heard at",
        "mount",
        f"path {parts[0].units.word}",
        "takes ms",
        "delay ms",
        f"samples at {rates} kHz",
        "louder dB",
        "set",
    )
    return TableBlock(head, tuple(rows), (2.4, 3.6, 1.5, 1.5, 1.5, 2.4, 1.5, 1.8), strong=(4,))


def loss_rows(made: Made) -> tuple[tuple[str, ...], ...]:
    """Return what each listener loses off a mount's axis."""
    job, rows = made.job, []
    if not isinstance(job, SpeakerJob):
        return ()
    for one in listener_levels(made):
        found = level_loss(job.speaker, one.angle, speed_of_sound(CABIN))
        told = [
            f"{value:.1f} at {frequency_text(f)}"
            for value, f in zip(found, listed_frequencies(job.speaker), strict=False)
        ]
        what = ", ".join(told) if told else "the cone's diameter was not measured"
        rows.append((one.listener.seat, _name_seat(made), f"{one.angle:.0f}°", f"{one.flat:.0f}°", what))
    return tuple(rows)


def _losses(parts: Sequence[Chapter]) -> TableBlock:
    rows = tuple((seat, _shorten(mount, parts), *rest) for one in parts for seat, mount, *rest in one.losses)
    head = ("heard at", "mount", "off axis", "if flat", "lost, dB")
    return TableBlock(head, rows, (2.0, 3.2, 1.2, 1.1, 6.6), small=True)


def _shorten(mount: str, parts: Sequence[Chapter]) -> str:
    """Return a mount's name without its job's, where all are of one job."""
    job = parts[0].job
    return mount.removeprefix(f"{job} ") if all(one.job == job for one in parts) else mount


def _name_seat(made: Made) -> str:
    return " ".join(filter(None, (made.job.name, made.job.part)))
