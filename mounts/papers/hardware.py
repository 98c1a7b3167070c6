"""What has to be on the bench: bought parts by their sizes and numbers, strips by their length, tools, torque."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

from mounts.checks.board.screws import device_joints, foot_joints
from mounts.checks.fastening.clamp import torque_figure, torque_to_use
from mounts.checks.fastening.joints import Held, Ring, chosen, panel_joints, places, speaker_joints
from mounts.design.fasteners import thread_diameter
from mounts.geometry.outline import Outline, grown
from mounts.kinds.board.plan import plan_board
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.load.models.hardware import (
    ClipNut,
    Insert,
    PanelItem,
    Pilot,
    RivetNut,
    Screw,
    SpeakerItem,
    ThreadItem,
    Through,
    Washer,
    WellNut,
)
from mounts.load.models.resolved import BoardJob, CupJob, FootJob, Job, SpacerJob
from mounts.made import Made

MORE = 10.0  # mm of a strip for its joint
# hexagon socket keys: ISO 7380-1 and -2, ISO 10642 (columns s); ISO 4762 one size up
KEYS = {"M3": "2", "M4": "2.5", "M5": "3", "M6": "4", "M8": "5"}
SOCKET_KEYS = {"M3": "2.5", "M4": "3", "M5": "4", "M6": "5", "M8": "6"}
# cross recess of pan heads, ISO 7045
CROSSES = ((3.0, "1"), (5.0, "2"), (6.0, "3"))


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the hardware list.

    Attributes:
        count: how many, or for a strip its length in mm.
        what: in the trade's words.
        size: what tells it from its neighbours in the drawer.
        use: what it is for.
        key: its name in the library, with a screw's length; empty for what is no part of the library.
        strip: whether `count` is a length.
    """

    count: float
    what: str
    size: str
    use: str
    key: str = ""
    strip: bool = False

    @property
    def amount(self) -> str:
        """How much of it, in words."""
        return f"{ceil(self.count / 10) * 10} mm" if self.strip else f"{round(self.count)}"


def hardware(made: Made) -> tuple[Item, ...]:
    """Everything bought that one part takes."""
    return tuple(_bought_for(made))


def _bought_for(made: Made) -> Iterator[Item]:
    job, plan = made.job, made.plan
    if isinstance(job, Job) and isinstance(plan, RingPlan | FlatPlan):
        if job.half != "b":  # a ring in two is bought for once, with its half a
            laps = _of_laps(job, plan) if isinstance(plan, RingPlan) else ()
            yield from (*_of_panel(job, plan), *_of_speaker(job, plan), *laps, *_strips(job, plan), *_cable(2))
    elif isinstance(job, CupJob) and isinstance(plan, CupPlan):
        yield from (*_of_cup(job, plan), *_cable(1))
    elif isinstance(job, BoardJob) and isinstance(plan, BoardPlan):
        yield from _of_board(job, plan)
    elif isinstance(job, FootJob) and isinstance(plan, FootPlan):
        yield from _of_foot(job, plan)
    elif isinstance(job, SpacerJob) and job.side in ("", "a"):
        cable = [f"cable {job.device.cable:g} thick"] if job.device.cable else []
        sizes = ", ".join([_across(job.device.body.outline()) if job.device.body else "", *cable]).strip(", ")
        yield Item(1.0, job.device.name, sizes, "goes into the sleeve")


def summed(items: Iterable[Item]) -> tuple[Item, ...]:
    """Equal items put together, in the order in which they first come."""
    counts: Counter[Item] = Counter()
    for item in items:
        counts[replace(item, count=0.0)] += item.count  # type: ignore[assignment]
    return tuple(replace(item, count=count) for item, count in counts.items())


def bought(items: Iterable[Item]) -> Counter[str]:
    """How many of each part of the library, by its name."""
    found: Counter[str] = Counter()
    for item in items:
        if item.key:
            found[item.key] += round(item.count)
    return found


def torque_words(job: Job, plan: Ring) -> str:
    """The torque of the panel screws, as it is said to a person."""
    torque, why = torque_to_use(job, places(job, plan)[0])
    return f"{torque_figure(torque)} N·m (bounded by {why})"


def _of_panel(job: Job, plan: Ring) -> Iterator[Item]:
    fix, count = job.fix_to_panel, len(job.panel.fixings.points)
    if not isinstance(fix.hardware, ThreadItem):
        yield Item(count, _word(fix.hardware), _size(fix.hardware), "panel's fixings", fix.hardware.name)
    yield from _screws(panel_joints(job, plan), fix.screw, count, "mount to panel")
    if fix.washer is not None:
        key = fix.washer.name or f"washer {fix.washer.outside:g}"
        yield Item(count, "washer", _size(fix.washer), "under the panel screws' heads", key)


def _of_speaker(job: Job, plan: Ring) -> Iterator[Item]:
    fix, count = job.fix_speaker, len(plan.seat.screws)
    if fix is None or not count:
        return
    yield from _fixing(fix.hardware, count, "speaker's screws")
    yield from _screws(speaker_joints(job, plan), fix.screw, count, "speaker to mount")


def _of_laps(job: Job, plan: RingPlan) -> Iterator[Item]:
    """What screws the halves of a ring together; nothing for one in one."""
    fix = job.fix_halves
    if plan.split is None or fix is None or fix.screw is None:
        return
    if not isinstance(fix.hardware, Pilot):
        yield Item(len(plan.split.screws), _word(fix.hardware), _size(fix.hardware), "half a's laps", fix.hardware.name)
    for length, many in Counter(screw.length for screw in plan.split.screws).items():
        size = ", ".join(filter(None, (f"{fix.screw.thread} × {length:g}", fix.screw.standard)))
        yield Item(many, f"{fix.screw.head} head screw", size, "half b to half a", f"{fix.screw.name} × {length:g}")
    yield Item(1, "neutral-curing sealant", "a bead over both laps", "between the halves")


def _of_cup(job: CupJob, plan: CupPlan) -> Iterator[Item]:
    fix, count = job.fix_speaker, len(plan.seat.screws)
    if fix is None or not count:
        return
    yield from _fixing(fix.hardware, count, "tweeter's screws")
    if fix.screw is not None:
        yield Item(count, f"{fix.screw.head} head screw", fix.screw.thread, "tweeter to cup", fix.screw.name)


def _of_board(job: BoardJob, plan: BoardPlan) -> Iterator[Item]:
    """Devices and what holds them, carpet and glue."""
    for placed, stand in zip(job.devices, plan.stands, strict=True):
        yield Item(1, placed.device.name, placed.device.about, f"the {placed.name} on the board")
        count = len(placed.device.holes.at)
        yield from _fixing(placed.fix.hardware, count, f"{placed.name}'s screws")
        joints = device_joints(job, plan, placed, stand)
        yield from _screws(joints, placed.fix.screw, count, f"{placed.name} to board")
    if job.wrap is not None:
        x0, y0, x1, y1 = plan.finished.box
        more = 2 * (job.wrap.fold + job.thickness + job.wrap.thickness)
        size = f"{x1 - x0 + more:.0f} × {y1 - y0 + more:.0f}, {job.wrap.thickness:g} thick"
        yield Item(1, "carpet", size, "round the board")
    yield Item(1, "elastic construction adhesive", "for plastic and carpet", "feet to floor lining")
    yield Item(1, "fuse and holder", "by the cable's size", "supply cable, at the battery")


def _of_foot(job: FootJob, plan: FootPlan) -> Iterator[Item]:
    """What joins board and feet."""
    fix = job.board.fix_feet
    if fix is not None:
        yield from _fixing(fix.hardware, plan.count, "feet's screws")
        yield from _screws(foot_joints(job, plan_board(job.board)), fix.screw, plan.count, "board to feet")


def _screws(joints: Sequence[Held], screw: Screw | None, count: int, use: str) -> Iterator[Item]:
    """Screws by length; without joints, of unknown length."""
    if screw is None:
        return
    what = f"{screw.head} head screw"
    if not joints:
        yield Item(
            count, what, f"{screw.thread}, length by the sheet's thickness, which was not measured", use, screw.name
        )
        return
    for length, many in Counter(chosen(one, screw) for one in joints).items():
        if length is None:
            least = max(one.joint.least for one in joints)
            size, key = (
                f"{screw.thread}, at least {least:.1f} long: none is sold",
                f"{screw.name}, no length that is sold",
            )
        else:
            size, key = f"{screw.thread} × {length:g}", f"{screw.name} × {length:g}"
        yield Item(many, what, ", ".join(filter(None, (size, screw.standard))), use, key)


def _fixing(item: SpeakerItem, count: int, use: str) -> Iterator[Item]:
    """What screws hold in, unless it is but a hole."""
    if not isinstance(item, Pilot):
        yield Item(count, _word(item), _size(item), use, item.name)


def _strips(job: Job, plan: Ring) -> Iterator[Item]:
    """Gaskets by the length of their middle line, and a little more for the joint."""
    base, speaker, trim = job.gaskets.base, job.gaskets.speaker, job.gaskets.trim
    if base is not None:
        yield _strip(base_gasket(job, plan).length, (base.thickness, base.width), "between mount and panel")
    if speaker is not None and plan.seat.lift:
        middle = (plan.seat.bore.length + plan.seat.flange.length) / 2
        yield _strip(middle, (speaker.thickness, speaker.width), "between speaker and mount")
    if trim is not None and isinstance(plan, RingPlan) and plan.collar is not None:
        middle = (plan.collar.inside.length + plan.collar.outside.length) / 2
        yield _strip(middle, (trim.thickness, trim.width), "on the collar, against the trim")


def base_gasket(job: Job, plan: Ring) -> Outline:
    """Middle line of the base's gasket."""
    assert job.gaskets.base is not None
    seal = plan.base.seal if isinstance(plan, RingPlan) else None
    half = job.gaskets.base.width / 2
    if seal is None or seal.inside is None:
        return grown(job.panel.opening.outline(), job.limits.lip + half)
    return grown(seal.inside, half)


def _strip(length: float, size: tuple[float, float], use: str) -> Item:
    words = f"{size[0]:g} thick × {size[1]:g} wide, one side sticky"
    return Item(length + MORE, "closed-cell foam strip", words, use, strip=True)


def _cable(pads: int) -> Iterator[Item]:
    yield Item(2, "insulated push-on terminals", "to fit the speaker's tags and the cable", "speaker's cable")
    yield Item(pads, "adhesive pads with cable ties", "about 20 × 20", "cable kept off glass, rails and edges")


def _word(item: PanelItem | SpeakerItem) -> str:
    words = {
        RivetNut: "rivet nut",
        WellNut: "well nut",
        ClipNut: "clip nut",
        ThreadItem: "thread in the panel",
        Insert: "heat-set insert",
        Pilot: "pilot hole",
        Through: "nut for a through bolt",
    }
    return words[type(item)]


def _size(item: PanelItem | SpeakerItem | Washer) -> str:
    match item:
        case RivetNut() | WellNut():
            grip = f"sheet {item.grip[0]:g} to {item.grip[1]:g}"
            return f"{item.thread}, {item.length:g} long, flange ⌀ {item.flange:g}, {grip}"
        case ClipNut():
            return f"{item.thread}, edge to hole {item.reach:g}, sheet {item.grip[0]:g} to {item.grip[1]:g}"
        case Insert():
            return f"{item.thread}, {item.length:g} long, ⌀ {item.outside:g}, for a hole of {item.hole:g}"
        case Through():
            return f"{item.thread}, {item.nut_across:g} across flats"
        case Washer():
            return ", ".join(filter(None, (f"{item.thread}, ⌀ {item.outside:g} × {item.thickness:g}", item.standard)))
        case _:
            return item.thread


def _across(outline: Outline) -> str:
    x0, y0, x1, y1 = outline.box
    return f"⌀ {x1 - x0:g}" if outline.is_circle else f"{x1 - x0:g} × {y1 - y0:g}"


def driver_for(screw: Screw) -> str:
    """What turns a screw."""
    key = (SOCKET_KEYS if screw.head == "socket" else KEYS).get(screw.thread)
    if (
        screw.head in ("button", "collar", "socket", "countersunk")
        and key
        and not screw.standard.startswith("ISO 7046")
    ):
        return f"hexagon key {key}"
    size = next((cross for upto, cross in CROSSES if thread_diameter(screw.thread) <= upto), "3")
    return f"cross-head screwdriver no. {size}"
