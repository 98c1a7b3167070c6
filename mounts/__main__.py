"""Lets `python -m mounts` do what `mounts` does."""

from mounts.cli import main

main()
