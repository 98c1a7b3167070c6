"""Where spans meet, in cases whose answer is plain."""

import pytest

from mounts.geometry.hull import span_intersections
from mounts.geometry.outline import Arc, Line, Span

FLAT = Line((-50.0, 0.0), (50.0, 0.0))
RING = Arc((0.0, 0.0), 100.0, -90.0, 360.0)


@pytest.mark.parametrize(
    ("span", "rival", "fractions"),
    [
        (FLAT, Line((-20.0, -30.0), (-20.0, 30.0)), [0.3]),
        (FLAT, Line((-20.0, 10.0), (-20.0, 30.0)), [0.3]),  # the rival's line counts, beyond its ends too
        (FLAT, Line((60.0, -5.0), (60.0, 5.0)), []),
        (FLAT, Line((-50.0, 5.0), (50.0, 5.0)), []),
        (FLAT, Line((10.0, 0.0), (90.0, 0.0)), [0.6]),  # along each other, from where the rival begins
        (FLAT, Line((-90.0, 0.0), (10.0, 0.0)), []),
        (FLAT, Arc((0.0, 30.0), 100.0, 0.0, 360.0), [0.1, 0.9]),  # 3, 4, 5
        (FLAT, Arc((10.0, 25.0), 50.0, 0.0, 360.0), [0.6, 0.6]),  # touches
        (FLAT, Arc((10.0, 26.0), 50.0, 0.0, 360.0), []),
        (FLAT, Arc((0.0, 30.0), 100.0, -36.86989764584402, 10.0), [0.9, 0.1, 0.9]),  # and begins there
        (RING, Line((0.0, -90.0), (0.0, 90.0)), [0.5]),  # the other place is the ring's own end
        (RING, Line((30.0, -90.0), (30.0, 90.0)), [0.25 - 53.13010235415598 / 360, 0.25 + 53.13010235415598 / 360]),
        (RING, Line((50.0, -90.0), (50.0, 90.0)), [0.25, 0.25]),
        (RING, Arc((60.0, 0.0), 100.0, 0.0, 360.0), [0.25 + 53.13010235415598 / 360, 0.25 - 53.13010235415598 / 360]),
        (RING, Arc((30.0, 0.0), 40.0, 90.0, 10.0), [0.25, 0.25]),  # touches from inside
        (RING, Arc((101.0, 0.0), 100.0, 0.0, 360.0), []),
        (RING, Arc((0.0, 0.0), 100.0, 0.0, 90.0), [0.25]),  # one circle: only where the rival begins
        (RING, Arc((0.0, 0.0), 90.0, 0.0, 90.0), []),
        (Line((1.0, 1.0), (1.0, 1.0)), FLAT, []),
        (FLAT, Line((5.0, 0.0), (5.0, 0.0)), [0.55]),
        (RING, Line((60.0, 5.0), (60.0, 5.0)), []),
    ],
)
def test_meetings(span: Span, rival: Span, fractions: list[float]) -> None:
    assert sorted(span_intersections(span, rival)) == pytest.approx(sorted(fractions), abs=1e-7)
