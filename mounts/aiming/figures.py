"""The figures of a job's aim, and the files that they become."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.aiming.plot import level_plot
from mounts.aiming.section import draw_section
from mounts.aiming.values import AimReport
from mounts.design.drawing import Drawing


def figures(found: AimReport) -> Iterator[tuple[str, Drawing]]:
    """Yield every figure by the stem of its file, such as "left.level"; what cannot be drawn is not there."""
    for side in found.sides:
        drawn = {"level": level_plot(side, found.speed), "section": draw_section(side)}
        yield from ((f"{side.job.side}.{name}", figure) for name, figure in drawn.items() if figure is not None)


def figure_files(found: AimReport) -> dict[str, bytes]:
    """Return the names and contents of the pictures."""
    from mounts.write.drawing_png import drawing_png

    return {f"{stem}.png": drawing_png(figure) for stem, figure in figures(found)}
