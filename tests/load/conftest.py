"""A small library of its own, so that these tests stand whatever the shipped profiles become."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from mounts.errors import InputError
from mounts.kinds.ring.job import RingJob
from mounts.load.resolve.job import load_job

PANEL = """\
kind: panel
name: door
about: front door (invented)
side: left
other_side: mirrored
place: door
opening: {round: 120}
fixings:
  hole: 7.0
  at: {A: [58.0, 53.5], B: [58.5, -54.0], C: [-57.5, -53.0], D: [-58.0, 54.0]}
  heights: {C: 1.2}
behind:
  glass: {at_clock: {"12:00": 52, "3:00": 55}}
  things:
    - {what: lift rail, at: [48, -30], size: [22, 90], depth: 46, moving: true}
in_front:
  trim: {at_clock: {"12:00": 45, "3:00": 44}, opening: {round: 128}, at: [3, 2]}
  grille: 53
"""
SPEAKER = """\
kind: speaker
name: cone
type: cone
mass: 0.95
cutout: 116
flange: {diameter: 135, thickness: 4.0}
holes: {bolt_circle: {diameter: 127, count: 4, first: "1:30"}, diameter: 4.8}
depth: 56
body:
  - {depth: 0, across: 115}
  - {depth: 30, across: 84}
  - {depth: 56, across: 78}
terminals: {at: "6:00", reach: 50, width: 30, depth: [18, 34]}
front: {height: 6, travel: 5}
piston: 105
"""
TWEETER = """\
kind: speaker
name: dome
type: dome
cutout: 17.5
flange: {diameter: 34, thickness: 2.0}
depth: 12
"""
MATERIAL = """\
kind: material
name: asa
density: 1070
strength_mpa: 40
modulus_mpa: 2250
expansion: 9.0e-5
service: 85
softens: 100
"""
PRINTER = """\
kind: printer
name: big
bed: [250, 250, 250]
hole_growth: {asa: 0.15}
shrink_pct: {asa: 0.6}
"""
HARDWARE = """\
kind: hardware
name: small-parts
source: invented for tests
items:
  nut-m5: {is: rivet-nut, thread: M5, hole: 7.2, flange: 7.9, flange_height: 0.6, length: 12, grip: [0.5, 3], torque: 2}
  insert-m4: {is: insert, thread: M4, hole: 5.6, outside: 6.3, length: 4.7, wall: 2.1}
  pilot-4: {is: pilot, thread: "4.0", diameter: 4, hole: 3.1, wall: 2.4, engagement: 8}
  through-m4: {is: through, thread: M4, nut_across: 7, nut_height: 3.2}
  tapped-m5: {is: thread, thread: M5}
  iso-7380-m4: {is: screw, thread: M4, head: button, head_diameter: 7.6, head_height: 2.2, lengths: [8, 10]}
  iso-7380-m5: {is: screw, thread: M5, head: button, head_diameter: 9.5, head_height: 2.75, lengths: [10, 12, 16]}
  iso-7045-m5: {is: screw, thread: M5, head: pan, head_diameter: 9.5, head_height: 3.7, lengths: [10, 12, 16]}
  forming-4: {is: screw, thread: "4.0", head: pan, head_diameter: 8, head_height: 2.6, lengths: [10, 12]}
  iso-7089-m5: {is: washer, thread: M5, inside: 5.3, outside: 10, thickness: 1}
  iso-7093-m5: {is: washer, thread: M5, inside: 5.3, outside: 15, thickness: 1}
"""
JOB = """\
kind: ring
name: woofer
panel: door
speaker: cone
material: asa
printer: big
sides: [left, right]
aim: {tilt: 8, toward: "10:30"}
height: 22
fix_to_panel: nut-m5
fix_speaker: insert-m4
"""


@dataclass(frozen=True)
class Shop:
    """A workshop's folder with a library in it; messages name files as seen from that folder."""

    folder: Path

    def write(self, name: str, text: str) -> Path:
        """Writes a file of the library, such as "panels/door.yaml"."""
        path = Path("profiles") / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    def change(self, name: str, old: str, new: str) -> None:
        """Replaces the one place where `old` stands in a file of the library."""
        path = Path("profiles") / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        path.write_text(text.replace(old, new), encoding="utf-8")

    def load(self, job: str = "jobs/woofer.yaml") -> tuple[RingJob, ...]:
        """The jobs of a file of the library."""
        return load_job(Path("profiles") / job)

    def problems(self, job: str = "jobs/woofer.yaml") -> list[str]:
        """Every problem of a job, as a person reads it, without the library's folder."""
        with pytest.raises(InputError) as caught:
            self.load(job)
        return [str(problem).replace("profiles/", "") for problem in caught.value.problems]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.chdir(tmp_path)
    made = Shop(tmp_path)
    made.write("panels/door.yaml", PANEL)
    made.write("speakers/cone.yaml", SPEAKER)
    made.write("speakers/dome.yaml", TWEETER)
    made.write("materials/asa.yaml", MATERIAL)
    made.write("printers/big.yaml", PRINTER)
    made.write("hardware/small-parts.yaml", HARDWARE)
    made.write("jobs/woofer.yaml", JOB)
    return made


@pytest.fixture
def profiles() -> Path:
    """The library that comes with the program."""
    return Path(__file__).resolve().parents[2] / "profiles"


@pytest.fixture
def said() -> Callable[..., str]:
    """What the one error says that a call raises."""

    def call(work: Callable[..., object], *arguments: object) -> str:
        with pytest.raises((InputError, ValueError)) as caught:
            work(*arguments)
        return str(caught.value)

    return call
