"""Progress messages: stages log here what is being done, and only the command line shows it."""

from __future__ import annotations

import logging

LOG = logging.getLogger("mounts.progress")
LOG.addHandler(logging.NullHandler())
LOG.propagate = False


def report_stage(text: str, *values: object) -> None:
    """Say what begins now, as a format and its values; costs next to nothing where nobody follows."""
    LOG.info(text, *values)
