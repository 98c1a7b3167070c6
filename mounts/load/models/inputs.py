"""Everything that a job was made from, as its record keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class JobInputs:
    """Files that a job was made from, with their contents.

    Attributes:
        job: key of the job's own file among `files`.
        path: the job's own file, as seen from the folder in which it was built.
        files: contents by key: "0/panels/x.yaml" lies in the topmost layer of the library, "here/x.yaml" beside a job
            that lies outside it.
        defaults: values that the job's file leaves to the program, as its own keys would write them.
        measured: who measured the panel, when and how well; empty where its file does not say.
    """

    job: str
    path: str
    files: Mapping[str, bytes] = field(repr=False)
    defaults: Mapping[str, Any] = field(repr=False)
    measured: str = ""
