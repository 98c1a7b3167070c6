"""Learned values in the place of those that a workshop's files give: limits and printers as its plans take them."""

from __future__ import annotations

from collections.abc import Mapping

from mounts.load.models.limits import Limits
from mounts.load.models.outcome import Learned, LearnedPrinter
from mounts.load.models.workshop import Printer


def learned_limits(limits: Limits, learned: Learned) -> Limits:
    """Return the limits with what is learned of instruments, where a job's file does not say its own."""
    names = {name.replace(" ", "_"): one.sd for name, one in learned.instruments.items()}
    own = {name: sd for name, sd in names.items() if name not in limits.model_fields_set}
    return limits.model_copy(update=own) if own else limits


def learned_printer(printer: Printer, learned: Mapping[str, LearnedPrinter]) -> Printer:
    """Return a printer with what is learned of it, by material; `error` is the largest of all materials."""
    if not learned:
        return printer
    keys = ("shrink_pct", "shrink_sd_pct", "hole_growth", "hole_growth_sd")
    update: dict[str, object] = {
        key: {**getattr(printer, key), **{name: getattr(one, key) for name, one in learned.items()}} for key in keys
    }
    return printer.model_copy(update=update | {"error": max(one.error for one in learned.values())})
