"""Every kind of job, by the word that its file says."""

from collections.abc import Mapping

from mounts.load.models.board_job import BoardFile
from mounts.load.models.cup_job import CupFile
from mounts.load.models.job import JobFile
from mounts.load.models.ring_job import RingFile
from mounts.load.models.spacer_job import SpacerFile

JOB_FILES: Mapping[str, type[JobFile]] = {
    "ring": RingFile,
    "cup": CupFile,
    "spacer": SpacerFile,
    "board": BoardFile,
}
