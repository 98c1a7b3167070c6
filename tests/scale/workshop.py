"""Random plausible jobs: what a person may have read at doors, grilles, dashes and boots that nobody else knows.

A door is drawn first as it truly is; the readings are what its instruments give of it, with their errors and rounded as
a person writes them down. Figures are our own invention; their ranges are common practice, no source. Every job follows
from its kind, seed and number alone, so that job 17 is the same whether ten or ten thousand are drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import atan2, cos, degrees, dist, hypot, pi, radians, sin
from random import Random
from typing import Any

Tree = dict[str, Any]
Point = tuple[float, float]
PRINTERS = ("bed-250", "bed-180", "bed-210")
MATERIALS = {"asa": 5, "abs": 2, "pc-abs": 2, "petg": 1, "pc": 1, "pa6-cf": 1}
NUTS = {  # fixing, the hole that it wants
    "rivet-nut-m5": 7.2,
    "rivet-nut-m4": 6.4,
    "rivet-nut-m6": 9.6,
    "rivet-nut-m5-flat": 8.0,
    "rivet-nut-m5-pan": 7.6,
    "expansion-nut-m5": 9.5,
    "clip-nut-m5": 7.0,
    "thread-m5": 5.0,
}
POCKETS = ("insert-m4-short", "insert-m4", "pilot-4.0", "pilot-4.0-asa", "pilot-3.5", "through-m4", "insert-m3")
CLOCKS = [f"{hour}:{minute:02}" for hour in range(1, 13) for minute in (0, 30)]
WAYS = ("hooked at the top", "hooked at the bottom", "slid from the top", "hooked at the rear")
THINGS = ("lift rail", "outer skin", "latch rod", "bracket", "wiring loom", "impact beam", "window guide")


@dataclass(frozen=True, slots=True)
class Size:
    """What a size of speaker usually measures, mm."""

    opening: tuple[float, float]
    flange: float
    cutout: float
    depth: tuple[float, float]


SIZES = (
    Size((90, 108), 106, 92, (38, 52)),
    Size((112, 134), 132, 116, (44, 60)),
    Size((138, 160), 165, 143, (52, 76)),
    Size((172, 196), 208, 184, (68, 92)),
)


def drawn(kind: str, seed: int, number: int) -> Tree:
    """Return job `number` of a seed as its file's tree: kind "ring", "cup", "spacer" or "board"."""
    tree = KINDS[kind](Random(f"{kind} {seed} {number}"))
    return {"kind": kind, "name": f"{kind}-{number}", **tree}


def ring(rng: Random) -> Tree:
    """Return a ring's job."""
    size = rng.choices(SIZES, (2, 5, 5, 1))[0]
    opening, across = _opening(rng, size)
    panel = _door(rng, opening, across)
    nut, beyond = panel.pop("nut"), panel.pop("beyond")
    small = SIZES[max(0, SIZES.index(size) - rng.choices((0, 1), (4, 1))[0])]
    tree: Tree = {
        "panel": panel,
        "speaker": _speaker(rng, small),
        "material": _chosen(rng, MATERIALS),
        "printer": rng.choice(PRINTERS),
        "sides": rng.choice((["left"], ["right"], ["left", "right"])),
        **_aim(rng, "ears" in panel or "seats" in panel),
        "fix_to_panel": nut if rng.random() < 0.8 else {"hardware": nut, "washer": rng.choice((10, 12, 15))},
        "fix_speaker": rng.choices(POCKETS, (5, 3, 2, 2, 1, 2, 1))[0],
    }
    if rng.random() < 0.5:
        tree["turn"] = rng.choice((0, 45, 90, 180, "best"))
    narrow = {"thickness": 3, "width": 4}
    if rng.random() < 0.7:  # who looks at the room between opening and fixings
        base: Any = {"thickness": 3, "width": 6} if beyond > 20 else narrow if beyond > 16 else False
    else:
        base = rng.choice((False, narrow, {"thickness": 4, "width": 6}))
    tree["gaskets"] = {"base": base} | ({"speaker": False} if rng.random() < 0.1 else {})
    for key, share, value in (
        ("collar", 0.1, True),
        ("flush", 0.1, True),
        ("label", 0.25, rng.choice((False, "raised"))),
        ("wire", 0.1, {"at": rng.choice(CLOCKS), "across": 8}),
        ("seat_offset", 0.15, [rng.randint(-3, 3), rng.randint(-3, 3)]),
        ("in_two", 0.04, True),
    ):
        if rng.random() < share:
            tree[key] = value
    return tree


def _opening(rng: Random, size: Size) -> tuple[Tree, Point]:
    """Return an opening as read, and half its true width and height."""
    wide = rng.uniform(*size.opening)
    shape = rng.choices(("round", "oblong", "rectangle"), (7, 2, 1))[0]
    if shape == "round":
        return {"round": _read(rng, wide, 0.1, 0.1)}, (wide / 2, wide / 2)
    high = wide * rng.uniform(0.72, 0.95)
    if rng.random() < 0.3:
        wide, high = high, wide
    given = [_read(rng, wide, 0.1, 0.1), _read(rng, high, 0.1, 0.1)]
    corner = [] if shape == "oblong" else [rng.choice((10, 15, 20, 25))]
    return {shape: given + corner}, (wide / 2, high / 2)


def _door(rng: Random, opening: Tree, half: Point) -> Tree:
    """Return a panel as read at a door, with what goes into its holes, and how far these are beyond the opening."""
    nut = rng.choices(tuple(NUTS), (8, 2, 2, 2, 1, 1, 1, 2))[0]
    true_hole = NUTS[nut] - rng.choices((0.0, 0.2, 0.8), (6, 3, 1))[0]
    beyond = rng.uniform(11, 26)
    fixings = _fixings(rng, half, beyond, true_hole)
    panel: Tree = {
        "read_with": {
            "holes": rng.choice(("caliper", "caliper", "rubbing")),
            "behind": "depth rod",
            "in_front": rng.choice(("clay", "depth rod")),
        },
        "side": rng.choice(("left", "left", "right")),
        "other_side": rng.choices(("mirrored", "same"), (9, 1))[0],
        "place": rng.choices(("door", "boot", "shelf", "floor"), (8, 1, 1, 1))[0],
        "lean": round(rng.uniform(-6, 12)),
        "toe": round(rng.uniform(-4, 6)),
        "face": _face(rng, max(half)),
        "opening": opening,
        "fixings": fixings,
        "nut": nut,
        "beyond": beyond,
    }
    behind, front = _behind(rng, max(half)), _in_front(rng, half)
    panel |= ({"behind": behind} if behind else {}) | ({"in_front": front} if front else {})
    return panel | _listeners(rng)


def _fixings(rng: Random, half: Point, beyond: float, hole: float) -> Tree:
    """Return the fixings as read: on a circle, at places, or by a caliper."""
    read: Tree = {"hole": _read(rng, hole, 0.05, 0.1), "was": rng.choice(("rivet", "screw", "hook"))}
    round_ = half[0] == half[1]
    if round_ and rng.random() < 0.3:
        across, count = 2 * (half[0] + beyond), rng.choice((3, 4, 4, 6, 8))
        circle = {"diameter": _read(rng, across, 0.1, 0.5), "count": count, "first": rng.choice(CLOCKS)}
        return read | {"bolt_circle": circle}
    count = rng.choices((3, 4, 5, 6), (3, 8, 1, 2))[0]
    first, uneven = rng.uniform(0, 360), rng.choice((3.0, 3.0, 12.0))
    places: list[Point] = []
    for k in range(count):
        turn = radians(first - 360 * k / count + rng.uniform(-uneven, uneven))
        x, y = cos(turn), sin(turn)
        edge = 1 / hypot(x / half[0], y / half[1])  # of the ellipse through the opening's ends
        away = (edge if round_ else max(edge, min(half) + 6)) + beyond + rng.uniform(-3, 3)
        places.append((away * x, away * y))
    at = dict(zip("ABCDEF", places, strict=False))
    if round_ and rng.random() < 0.25:
        return read | _by_caliper(rng, at, half[0], hole)
    heights = {rng.choice("ABC"): rng.choice((0.6, 1.0, 1.5))} if rng.random() < 0.08 else {}
    shown = {name: [_read(rng, x, 0.15, 0.5) for x in place] for name, place in at.items()}
    return read | {"at": shown} | ({"heights": heights} if heights else {})


def _by_caliper(rng: Random, at: Mapping[str, Point], edge: float, hole: float) -> Tree:
    """Return what a caliper reads between the holes and to the opening's edge; holes run clockwise."""
    between = {f"{a}-{b}": _read(rng, dist(at[a], at[b]) - hole, 0.1, 0.1) for a, b in combinations(at, 2)}
    opening = {name: _read(rng, hypot(*place) - edge - hole / 2, 0.1, 0.1) for name, place in at.items()}
    (x, y), (u, v) = at["A"], at["B"]
    rise = round(degrees(atan2(v - y, u - x)) + rng.gauss(0, 0.3), 1)
    distances = {
        "between": "inside edges",
        "readings": between,
        "to_opening": opening,
        "level": ["A", "B", rise],
    }
    return {"distances": distances, "order": "clockwise"}


def _face(rng: Random, half: float) -> Tree:
    face: Tree = {"of": "steel", "thickness": rng.choice((0.7, 0.8, 0.9, 1.0, 1.2))}
    if rng.random() < 0.1:
        inside = round(2 * half + rng.uniform(2, 8))
        face["bead"] = {"inside": inside, "outside": inside + rng.randint(6, 14), "height": rng.choice((1.0, 1.5, 2.5))}
    if rng.random() < 0.08:
        face["lining"] = rng.choice((2.5, 4))
    return face


def _behind(rng: Random, half: float) -> Tree:
    found: Tree = {}
    if rng.random() < 0.85:
        found["glass"] = _round(rng, rng.uniform(46, 85), 4, 1.0)
    things = []
    for _ in range(rng.choices((0, 1, 2, 3), (3, 4, 2, 1))[0]):
        turn, away = rng.uniform(0, 2 * pi), rng.uniform(0.3, 1.1) * half
        size = rng.choice(([20, 100], [15, 80], [120, 25], 40, [60, 50]))
        at = [round(away * cos(turn)), round(away * sin(turn))]
        depth = round(rng.uniform(38, 80))
        things.append(
            {"what": rng.choice(THINGS), "at": at, "size": size, "depth": depth, "moving": rng.random() < 0.3}
        )
    return found | ({"things": things} if things else {})


def _in_front(rng: Random, half: Point) -> Tree:
    found: Tree = {}
    high = rng.uniform(22, 55)
    if rng.random() < 0.8:
        trim = _round(rng, high, 3, 0.7)
        trim = trim if isinstance(trim, dict) else {"at_clock": {"12:00": trim}}
        if rng.random() < 0.85:
            room = rng.uniform(2, 30)
            if half[0] == half[1]:
                trim["opening"] = {"round": round(2 * (half[0] + room))}
            else:
                trim["opening"] = {"oblong": [round(2 * (h + room)) for h in half]}
        if rng.random() < 0.4:
            trim["at"] = [rng.randint(-5, 5), rng.randint(-5, 5)]
        trim["goes_on"] = rng.choice(WAYS) if rng.random() < 0.25 else "straight"
        found["trim"] = trim
    if rng.random() < 0.75:
        found["grille"] = _round(rng, high + rng.uniform(4, 14), 3, 0.7)
    return found


def _round(rng: Random, mean: float, slope: float, error: float) -> Any:
    """Return a distance read at one to four places round an opening."""
    places = rng.choice(((), ("12:00", "6:00"), ("12:00", "3:00", "6:00", "9:00")))
    x, y = rng.uniform(-slope, slope), rng.uniform(-slope, slope)
    lean = {"12:00": y, "6:00": -y, "3:00": x, "9:00": -x}
    read = {place: _read(rng, mean + lean[place], error, 1.0) for place in places}
    return {"at_clock": read} if read else _read(rng, mean, error, 1.0)


def _listeners(rng: Random) -> Tree:
    how = rng.choices(("ears", "seats", ""), (7, 1, 2))[0]
    rearward, inboard, up = rng.uniform(250, 750), rng.uniform(300, 500), rng.uniform(420, 720)
    drop = 640 if how == "seats" else 0
    seats = {
        name: {
            "rearward": _read(rng, rearward, 5, 5),
            "inboard": _read(rng, aside, 5, 5),
            "up": _read(rng, up - drop, 5, 5),
        }
        for name, aside in (("this_seat", inboard), ("other_seat", inboard + 730))
    }
    return {how: seats} if how else {}


def _speaker(rng: Random, size: Size) -> Any:
    """Return a speaker as its data sheet and a caliper tell it."""
    cutout = round(size.cutout * rng.uniform(0.96, 1.03), 1)
    depth, broad = round(rng.uniform(*size.depth)), round(cutout + rng.uniform(14, 26))
    fat, magnet = rng.random() < 0.12, rng.uniform(0.5, 0.78)
    shares = ((0, 1.0), (0.3, 0.98 if fat else 0.9), (0.55, 0.9 if fat else 0.75), (0.62, magnet), (1.0, magnet))
    body = [{"depth": round(depth * share, 1), "across": round((cutout - 1) * width, 1)} for share, width in shares]
    circle = round((cutout + broad) / 2 + rng.uniform(-1, 1.5), 1)
    hole, count = rng.choice((4.5, 4.8, 5.0, 5.5)), rng.choices((4, 3, 6, 8), (8, 1, 1, 1))[0]
    flange: Tree = {"diameter": broad, "thickness": rng.choice((2.5, 3.0, 3.5, 4.5))}
    holes: Tree = {"bolt_circle": {"diameter": circle, "count": count, "first": rng.choice(("12:00", "1:30"))}}
    shape = rng.random()
    if shape < 0.08:
        flange = {"square": broad, "corner": rng.choice((8, 12, 20)), "thickness": 3.0}
        off = round(circle / 2 * 0.75 + 4, 1)
        holes = {"at": [[off, off], [off, -off], [-off, -off], [-off, off]]}
    elif shape < 0.16:
        flange["ears"] = rng.choice((12, 14, 16))
        holes["bolt_circle"]["diameter"] = broad + rng.choice((2, 5, 8))
    found: Tree = {
        "type": "cone",
        "mass": round(rng.uniform(0.5, 2.2), 1),
        "cutout": cutout,
        "flange": flange,
        "holes": holes | {"diameter": hole},
        "depth": depth,
        "body": body,
        "front": {"height": rng.choice((3, 4, 5, 7)), "travel": rng.choice((3, 4, 6))},
        "piston": round(cutout * 0.85),
        "plays": [rng.choice((50, 60, 80, 100)), rng.choice((2000, 2500, 3500))],
    }
    if rng.random() < 0.8:
        low = round(depth * rng.uniform(0.25, 0.4))
        found["terminals"] = {
            "at": rng.choice(("6:00", "6:00", "3:00", "7:30")),
            "reach": round(cutout * rng.uniform(0.38, 0.46)),
            "width": rng.randint(20, 36),
            "depth": [low, low + rng.randint(8, 18)],
        }
    return found


def _aim(rng: Random, heard: bool) -> Tree:
    """Return aim and height: a third level, a third given, a third sought where there are listeners."""
    how = rng.choices(("level", "given", "best"), (3, 4, 4 if heard else 0))[0]
    if how == "level":
        return {"aim": {"tilt": 0}, "height": rng.choice(("least", rng.randint(10, 40), "best"))}
    if how == "given":
        tilt = rng.choice((3, 5, 6, 8, 10, 12, 15))
        height = rng.choice(("least", "least", "best", round(12 + 1.2 * tilt + rng.uniform(0, 16))))
        return {"aim": {"tilt": tilt, "toward": rng.choice(CLOCKS)}, "height": height}
    aim = rng.choice(("best", "best", {"at": {"this_seat": 2, "other_seat": 1}}, {"at": "this_seat", "within": 12}))
    return {"aim": aim, "height": rng.choice(("best", "best", "least", rng.randint(14, 40)))}


def cup(rng: Random) -> Tree:
    """Return a cup's job: a tweeter behind a grille with moulded pins."""
    body = rng.uniform(24, 38)
    broad, depth = round(body + rng.uniform(4, 16), 1), round(rng.uniform(9, 18), 1)
    speaker: Tree = {
        "type": "dome",
        "mass": round(rng.uniform(0.03, 0.12), 3),
        "cutout": round(body + 0.6, 1),
        "flange": {"diameter": broad, "thickness": rng.choice((1.5, 2.0, 2.5, 3.0))},
        "depth": depth,
        "body": [{"depth": 0, "across": round(body, 1)}, {"depth": depth, "across": round(body, 1)}],
        "front": {"height": rng.choice((1.5, 2.0, 3.0)), "travel": 0.5},
        "piston": rng.choice((19, 20, 25, 28)),
        "plays": [rng.choice((2500, 3500)), 20000],
    }
    retention: Any = rng.choice(("press", {"by": "press", "keep": "lip"}, "flange", "ring nut"))
    tree: Tree = {}
    if retention == "flange":
        if broad - body < 8:
            retention = "press"
        else:
            circle = {"diameter": round((broad + body) / 2, 1), "count": 3, "first": "12:00"}
            speaker["holes"] = {"bolt_circle": circle, "diameter": 3.2}
            tree["fix_speaker"] = rng.choice(("pilot-3.0", "pilot-3.0-asa"))
    elif retention == "ring nut":
        retention = {"by": "ring nut", "clamp": {"across": round(body + 8), "height": 5, "grip": [2, 7]}}
    pin, count = rng.choice((2.4, 2.6, 3.0, 3.5)), rng.choice((2, 3, 4, 4, 5))
    first, away = rng.uniform(0, 360), broad / 2 + rng.uniform(5, 18)
    pins: Tree = {}
    for k in range(count):
        turn = radians(first + 360 * k / count + rng.uniform(-15, 15))
        at = [_read(rng, r, 0.1, 0.1) for r in (away * cos(turn), away * sin(turn))]
        pins["ABCDE"[k]] = {"at": at, "diameter": pin, "height": rng.choice((6.0, 7.0, 8.0, 9.0))}
    panel: Tree = {
        "read_with": {"holes": rng.choice(("caliper", 0.1, 0.12)), "behind": "depth rod", "in_front": "caliper"},
        "side": "left",
        "other_side": "mirrored",
        "place": rng.choice(("dash", "door", "pillar")),
        "lean": round(rng.uniform(-5, 60)),
        "toe": round(rng.uniform(0, 90)),
        "pins": pins,
        "plastic": rng.choice(("PP", "ABS")),
        "room": round(rng.uniform(20, 45)),
        "grille": {"round": round(broad + rng.uniform(-4, 8)), "height": rng.choice((0, 2, 3, 4))},
        **_listeners(rng),
    }
    if rng.random() < 0.3:
        panel["standing"] = [{"what": "rib", "at": [0, round(away + 8)], "size": [50, 1.6], "height": 4}]
    return tree | {
        "panel": panel,
        "speaker": speaker,
        "material": rng.choice(("pc-abs", "asa", "abs")),
        "printer": rng.choice(PRINTERS),
        "sides": rng.choice((["left"], ["left", "right"])),
        "aim": rng.choice(({"tilt": 0}, {"tilt": rng.choice((5, 8, 12, 20)), "toward": rng.choice(CLOCKS)})),
        "retention": retention,
        "staking": rng.choice(("dome", "flat")),
        "label": rng.random() < 0.7,
    }


def spacer(rng: Random) -> Tree:
    """Return a spacer's job: a small device in a larger opening."""
    size = rng.uniform(14, 42)
    gap = rng.choice((1.5, 2.0, 3.0, 4.0, 6.0))
    shape = rng.choices(("round", "oblong", "rectangle", "d"), (6, 2, 2, 1))[0]
    high = size * rng.uniform(0.5, 0.9)
    shapes = {
        "round": (round(size, 1), round(size + 2 * gap, 1)),
        "oblong": tuple([round(size + 2 * g, 1), round(high + 2 * g, 1)] for g in (0, gap)),
        "rectangle": tuple([round(size + 2 * g, 1), round(high + 2 * g, 1), 2 + g] for g in (0, gap)),
        "d": tuple([round(size + 2 * g, 1), round(0.85 * size + 2 * g, 1)] for g in (0, gap)),
    }
    inside, outside = shapes[shape]
    if shape == "round" and rng.random() < 0.2:
        shape, outside = "rectangle", [round(size + 2 * gap + 2, 1), round(size + 2 * gap, 1), 3]
        device: Tree = {"body": {"round": inside}}
    else:
        device = {"body": {shape: inside}}
    device |= {"length": round(rng.uniform(12, 40)), "cable": rng.choice((3.5, 5.0, 6.0))}
    device |= {"plug_force": rng.choice((10, 20, 35)), "pull_force": rng.choice((5, 10, 15)), "force_source": "a guess"}
    depth = round(rng.uniform(8, 40))
    port: Tree = {"opening": {shape: outside}, "depth": depth, "panel": rng.choice((1.2, 2.4, 3, depth)), "room": 70}
    port |= {"place": rng.choice(("dash", "door", "floor")), "taper": rng.choice((0, 0, 0, 1, 2))}
    words = ("press", "push", "slide", "free")
    tree: Tree = {
        "port": port,
        "device": device,
        "fit": {"panel": rng.choice(words), "device": rng.choice(words)},
        "material": rng.choice(("asa", "pc-abs", "petg")),
        "printer": rng.choice(PRINTERS),
    }
    for key, share, value in (
        ("slit", 0.2, rng.choice((True, "halves"))),
        ("bump", 0.2, True),
        ("stop", 0.2, True),
        ("lip", 0.15, False),
        ("recess", 0.1, 1.0),
        ("at", 0.1, [0.5, 0]),
    ):
        if rng.random() < share:
            tree[key] = value
    return tree


def board(rng: Random) -> Tree:
    """Return a board's job: one or two devices on a cut or printed plate."""
    devices: Tree = {}
    x = 0.0
    for name in ("one", "two")[: rng.choice((1, 1, 2))]:
        wide, high = rng.randint(70, 200), rng.randint(50, 150)
        ear = rng.choice((0, 8, 12))
        off = [wide / 2 - 10, high / 2 + (ear / 2 if ear else -8)]
        device: Tree = {
            "outline": {"rectangle": [wide, high + 2 * ear, 4]},
            "body": {"rectangle": [wide, high, 4]},
            "height": rng.randint(25, 60),
            "ears": rng.choice((2, 3)),
            "mass": round(rng.uniform(0.4, 3.0), 1),
            "holes": {"at": [[a * off[0], b * off[1]] for a, b in ((-1, 1), (1, 1), (1, -1), (-1, -1))], "diameter": 5},
            "plugs": [{"side": rng.choice(("3:00", "9:00")), "reach": 45, "width": min(60, high)}],
            "air": {"sides": 10, "above": 20},
            "loss_w": rng.randint(3, 25),
            "ambient": 80,
        }
        devices[name] = {"device": device, "at": [round(x + wide / 2), rng.randint(-10, 10)], "turn": 0}
        x += wide + rng.choice((12, 30, 60))
    cut = rng.random() < 0.6
    tree: Tree = {
        "make": "cut" if cut else "print",
        "thickness": rng.choice((9, 12, 15, 18)) if cut else rng.choice((6, 8, 10)),
        "material": "birch-ply" if cut else rng.choice(("asa", "petg")),
        "printer": rng.choice(PRINTERS),
        "devices": devices,
        "fix_devices": rng.choice(("pilot-4.0", "through-m4"))
        if cut
        else rng.choice(("insert-m4-short", "through-m4")),
        "margin": rng.choice((15, 25, 40)),
        "feet": {"across": rng.choice((40, 60, 80)), "height": rng.choice((10, 15, 20))},
        "room": rng.randint(80, 160),
        "place": rng.choice(("floor", "boot")),
    }
    if cut:
        tree["feet"]["material"] = rng.choice(("asa", "petg"))
        tree["fix_feet"] = {"hardware": "insert-m5", "screw": "iso-10642-m5"}
        if rng.random() < 0.4:
            tree["wrap"] = {"thickness": rng.choice((3, 4))}
    return tree


def _read(rng: Random, true: float, error: float, step: float) -> float:
    """Return a true value as an instrument with a standard error gives it, rounded to steps."""
    return round(round((true + rng.gauss(0, error)) / step) * step, 2)


def _chosen(rng: Random, weights: Mapping[str, int]) -> str:
    return rng.choices(tuple(weights), tuple(weights.values()))[0]


KINDS: Mapping[str, Callable[[Random], Tree]] = {"ring": ring, "cup": cup, "spacer": spacer, "board": board}
