"""Measurements of a panel and a loudspeaker in, printable mounts that fit out."""

__version__ = "0.1.0"
