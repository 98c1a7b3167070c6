"""Heat of the place and of the devices on the board and on the devices."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.heat import climate_findings
from mounts.findings.compare import at_least, at_most
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.ties import most_of
from mounts.load.models.device import Device
from mounts.load.models.job_kinds import BoardJob, PlacedDevice

DRIVEN = 45.0  # °C of the air in a vehicle that is driven in summer: common practice, no source
SHEDS = 10.0  # W/(m² K) that a box sheds by rising air and radiation together: common practice, no source


def heat_findings(job: BoardJob) -> Iterator[Finding]:
    """Yield the material in its place and under its warmest device, and each device in its place."""
    if job.place is not None:
        yield from climate_findings(job.material, job.place, job.limits)
    warm = [placed for placed in job.devices if placed.device.loss_w is not None]
    if warm:
        yield _under(job, most_of(warm, key=lambda placed: case_temperature(placed.device)))
    if job.place is not None:
        for placed in job.devices:
            if placed.device.ambient is not None:
                yield _device(job, placed, placed.device.ambient)


def case_temperature(device: Device) -> float:
    """Return the temperature of a device's case playing loud in a driven vehicle, °C: its loss over its surface."""
    outline = (device.body or device.outline).outline()
    area = (outline.area + outline.length * device.height) * 1e-6
    return DRIVEN + (device.loss_w or 0.0) / (SHEDS * area)


def _under(job: BoardJob, placed: PlacedDevice) -> Finding:
    what = f"{job.material.name} under {placed.name} while it plays loud"
    value = case_temperature(placed.device)
    source = f"its loss over its surface at 10 W/(m² K) and 45 °C; {PRACTICE}"
    advice = "stand it off on spacers or take a material that bears more"
    return at_most("heat.under", value, job.material.service, what, missed=Verdict.WARN, source=source, advice=advice)


def _device(job: BoardJob, placed: PlacedDevice, ambient: float) -> Finding:
    assert job.place is not None
    what = f"{placed.name} in a {job.place} parked in the sun"
    limit = job.limits.temperature(job.place)
    source = "the device's file; derived from published cabin temperatures"
    advice = "let the place cool before it plays, or it may switch itself off"
    return at_least("heat.device", ambient, limit, what, missed=Verdict.WARN, source=source, advice=advice)
