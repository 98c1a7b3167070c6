"""Drawing of the coupon: every feature one or more primitives in its place. No dimension is decided here."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.lettering import Label
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import circle, rectangle
from mounts.identity import Ident, Role, called
from mounts.kinds.coupon.plan import PODIUM, STAR, CouponPlan, CouponStep
from mounts.shape.primitives import Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe, Scene

PAST, OVERLAP = 1.0, 0.2  # mm, as elsewhere
RIB_LONG = 8.0  # mm, across the bar
GRIP, GRIP_TALL = (18.0, 10.0, 3.0), 6.0  # of the plug: width, depth, corner; height
LEAD = 0.5  # mm, broken edge at a peg's tip
REACH = 10.0  # mm, length of the plug's pin


def draw_coupon(plan: CouponPlan) -> Scene:
    """Draw the star as a recipe."""
    levels = ((0.0, plan.foot), (plan.chamfer, plan.outline), (plan.thick, plan.outline))
    features = [Feature(STAR, (Ruled(tuple(Section(PANEL.lifted(z), outline) for z, outline in levels)),))]
    features.append(Feature(PODIUM, (Prism(plan.block[0], plan.thick - OVERLAP, plan.block[1]),)))
    for step in plan.steps:
        features.append(_step(plan, step))
    features += [*_labels(plan.labels)]
    return Scene(Recipe(plan.name, tuple(features), plan.genus))


def draw_plug(plan: CouponPlan) -> Scene:
    """Draw the loose plug: a grip on the bed with the pin standing on it."""
    width, depth, corner = GRIP
    levels = ((0.0, -plan.chamfer), (plan.chamfer, 0.0), (GRIP_TALL, 0.0))
    sections = [Section(PANEL.lifted(z), rectangle(width + 2 * by, depth + 2 * by, corner + by)) for z, by in levels]
    pin = _pin(plan.plug, GRIP_TALL - OVERLAP, GRIP_TALL + REACH)
    features = (
        Feature(called(Role.PIECE, "grip"), (Ruled(tuple(sections)),)),
        Feature(Ident(Role.PIECE, "plug", f"plug {plan.plug:g}"), (pin,)),
    )
    return Scene(Recipe(f"{plan.name}-plug", features, 0))


def _step(plan: CouponPlan, step: CouponStep) -> Feature:
    if step.group in ("holes", "fits"):
        wide = step.size + 2 * plan.chamfer
        profile = ((-PAST, wide), (0.0, wide), (plan.chamfer, step.size), (plan.thick + PAST, step.size))
        return Feature(step.ident, (Revolved(PANEL.shifted(*step.at), profile),), cut=True)
    if step.group == "inserts":
        top = plan.block[1]
        return Feature(step.ident, (Prism(circle(step.size, step.at), top - plan.pocket, top + PAST),), cut=True)
    if step.group == "ribs":
        outline = rectangle(step.size, RIB_LONG, 0.0).turned(step.angle).moved(*step.at)
        return Feature(step.ident, (Prism(outline, plan.thick - OVERLAP, plan.thick + plan.tall[1]),))
    pin = _pin(step.size, plan.thick - OVERLAP, plan.thick + plan.tall[0])
    return Feature(step.ident, (Revolved(PANEL.shifted(*step.at), pin.profile),))


def _pin(size: float, low: float, high: float) -> Revolved:
    return Revolved(PANEL, ((low, size), (high - LEAD, size), (high, size - 2 * LEAD)))


def _labels(labels: tuple[Label, ...]) -> Iterator[Feature]:
    for number, label in enumerate(labels, start=1):
        bodies = tuple(
            Prism(solid, -OVERLAP, label.depth, letter.frame, islands)
            for letter in label.letters
            for solid, islands in letter.shapes
        )
        yield Feature(Ident(Role.LABEL, str(number), f"label {number}: {label.text}"), bodies)
