"""Task of a worker: one part, from its job to its files as bytes. It writes nothing itself."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mounts.batch.bundle import Bundle, pack_bundle
from mounts.batch.encoding import encode
from mounts.errors import MountsError
from mounts.load.models.job import Job
from mounts.write.output import Wish, find_picture

if TYPE_CHECKING:
    from mounts.made import Made

# beside a part's files
CHAPTER = "chapter.json"
PICTURE = "picture.jpg"


@dataclass(frozen=True, slots=True)
class Refusal:
    """Reason why a part was not made: what was asked for cannot be drawn, or a kernel failed."""

    why: str


def make_part(job: Job, wish: Wish) -> Bundle | Refusal:
    """Make one side of a job with its checks and files."""
    from mounts import pipeline
    from mounts.write.output import part_files
    from mounts.write.stl import apply_pose

    try:
        whole = pipeline.make(job)
        files = part_files(whole, wish)
    except MountsError as error:
        return Refusal(str(error))
    report = replace(whole.report, files=tuple(files))
    solid = (apply_pose(whole.part.vertices, report.pose), whole.part.triangles)
    return pack_bundle(job.name, report, files, solid, _papers(whole, files) if "pdf" in wish.formats else None)


def _papers(whole: Made, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the part's chapter of the kit's booklet, and its picture there."""
    from mounts.papers.chapter import make_chapter
    from mounts.write.flows import compress_picture

    chapter = json.dumps(encode(make_chapter(whole)), separators=(",", ":")).encode()
    picture = find_picture(files)
    return {CHAPTER: chapter, **({PICTURE: compress_picture(picture)} if picture else {})}


def prepare_worker() -> None:
    """Prepare a new worker: its kernels keep to one thread, since there are as many workers as cores."""
    from mounts.kernels.cad import limit_threads

    limit_threads()
