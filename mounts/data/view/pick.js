// What lies under a pixel: the thing, the face, and the place that is meant there: a hole's axis, a corner, an edge.
import { dot, long, met, minus, plus, times, vertex } from "./geometry.js";
import { keeps } from "./cut.js";
import { axes, ray, seen } from "./eye.js";
import { axis, faceName, faceTarget, plane, point } from "./targets.js";

const SMALL = 30; // mm: a hole up to this wide is meant when one points into it
const FLAT = Math.cos((0.5 * Math.PI) / 180);

// `take` is "auto", "corner", "edge", "face" or "point"; `near` in pixels. Gives {name, target} or null.
export function pick(view, x, y, take = "auto", near = 12) {
  const line = ray(view.eye, x, y), hit = hitAt(view, line);
  const hole = ["auto", "face"].includes(take) ? holeAt(view, x, y, hit) : null;
  if (hole) return hole;
  if (!hit) return null;
  const name = nameOf(view, hit);
  const take3 = { auto: ["corner", "edge", "face"], corner: ["corner"], edge: ["edge"], face: ["face"], point: [] }[take];
  for (const kind of take3) {
    const target = kind === "face" ? faceOf(view, hit) : snapped(view, hit, kind, x, y, near);
    if (target) return { name, target };
  }
  return { name, target: point(hit.at, name) };
}

// What a ray meets first: {thing, shape, at, far, triangle}; triangle is null on the cut face. What one can see through
// counts only where nothing else is behind it.
function hitAt(view, { from, way }) {
  const { cut, stage } = view, facing = dot(cut.normal, way);
  const open = facing < 0 ? (cut.offset - dot(cut.normal, from)) / facing : -Infinity; // where the ray passes the cut
  let best = null;
  for (const thing of stage.things) {
    if (!thing.group.visible) continue;
    for (const shape of thing.shapes) {
      const found = met(shape, shape.normals, from, way, (p) => keeps(cut, p));
      if (!found) continue;
      const capped = found.out && open > 0, far = capped ? open : found.far;
      const rank = thing.shine && !capped ? 1 : 0;
      if (best && (rank > best.rank || (rank === best.rank && far > best.far - 1e-6))) continue;
      best = { thing, shape, rank, far, triangle: capped ? null : found.triangle, at: plus(from, times(way, far)) };
    }
  }
  return best;
}

// The thing that shows at a pixel; null where none does.
export const thingAt = (view, x, y) => hitAt(view, ray(view.eye, x, y))?.thing || null;

function nameOf({ stage }, { thing, shape, triangle }) {
  if (shape !== stage.part) return shape.name;
  return triangle === null ? thing.label : faceName(stage.part, shape.face[triangle]);
}

function faceOf({ stage, cut }, hit) {
  const { shape, triangle, at } = hit;
  if (triangle === null) return point(at, nameOf({ stage }, hit));
  if (shape === stage.part) return faceTarget(shape, shape.face[triangle], at);
  const n = [0, 1, 2].map((i) => shape.normals[3 * triangle + i]), normal = times(n, 1 / (long(n) || 1));
  return keeps(cut, at) && isFlat(shape, triangle, normal) ? plane(at, normal, `${shape.name}: flat`) : point(at, shape.name);
}

// Whether a thing's triangle lies in a face that is flat: all that share a corner with it fold sharply or not at all.
function isFlat(shape, triangle, normal) {
  const own = new Set([0, 1, 2].map((i) => shape.triangles[3 * triangle + i]));
  for (let k = 0; k < shape.triangles.length; k += 3) {
    if (!own.has(shape.triangles[k]) && !own.has(shape.triangles[k + 1]) && !own.has(shape.triangles[k + 2])) continue;
    const n = [0, 1, 2].map((i) => shape.normals[k + i]), cosine = dot(n, normal) / (long(n) || 1);
    if (cosine < FLAT && cosine > 0.93) return false;
  }
  return true;
}

// The narrowest hole into which a pixel points, seen along its axis rather than across it; with its axis.
function holeAt(view, x, y, hit) {
  const { part, things } = view.stage, { from } = axes(view.eye);
  if (!things[0].group.visible) return null;
  const depth = hit ? dot(minus(hit.at, view.eye.at), from) : -Infinity;
  let best = null;
  part.faces.forEach((face, number) => {
    if (face.is !== "round" || !face.hole || face.across > SMALL || Math.abs(dot(face.along, from)) < 0.5) return;
    for (const end of [face.at, face.end]) {
      const [u, v, near] = seen(view.eye, end), wide = Math.max(face.across / 2 / view.eye.pixel, 6);
      if (Math.hypot(u - x, v - y) > wide || near < depth - 0.3 * face.across || !keeps(view.cut, end)) continue;
      if (best && best.across <= face.across) continue;
      const name = faceName(part, number);
      best = { across: face.across, name, target: axis(end, face.along, name) };
    }
  });
  return best;
}

// The nearest corner or edge within some pixels, that is not behind what was hit.
function snapped(view, hit, kind, x, y, near) {
  const name = nameOf(view, hit), slack = 2 * near * view.eye.pixel;
  let best = null;
  const offer = (at) => {
    const [u, v] = seen(view.eye, at), off = Math.hypot(u - x, v - y);
    if (off < (best ? best.off : near) && long(minus(at, hit.at)) < slack + 0.1) best = { off, at };
  };
  if (hit.triangle === null) (kind === "corner" ? cutCorners : cutEdges)(view, hit, x, y, offer);
  else if (kind === "corner") corners(hit.shape).forEach((k) => keeps(view.cut, vertex(hit.shape, k)) && offer(vertex(hit.shape, k)));
  else {
    for (const [a, b] of hit.shape.creases) {
      const at = beside(view, vertex(hit.shape, a), vertex(hit.shape, b), x, y);
      if (keeps(view.cut, at)) offer(at);
    }
  }
  return best && point(best.at, `${kind} of ${name}`);
}

function cutCorners(view, { shape }, x, y, offer) {
  const { normal, offset } = view.cut;
  for (const [a, b] of shape.creases) {
    const [p, q] = [vertex(shape, a), vertex(shape, b)], [u, v] = [p, q].map((at) => dot(normal, at) - offset);
    if (u > 0 !== v > 0) offer(plus(p, times(minus(q, p), u / (u - v))));
  }
}

function cutEdges(view, { thing, shape }, x, y, offer) {
  const ends = thing.sections[thing.shapes.indexOf(shape)];
  for (let k = 0; k < ends.length; k += 6) offer(beside(view, [...ends.slice(k, k + 3)], [...ends.slice(k + 3, k + 6)], x, y));
}

// The place on a line that appears nearest to a pixel.
function beside(view, p, q, x, y) {
  const [a, b] = [seen(view.eye, p), seen(view.eye, q)], [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const share = ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy || 1);
  return plus(p, times(minus(q, p), Math.max(0, Math.min(1, share))));
}

// Vertices where creases end, meet in threes, or bend sharply.
function corners(shape) {
  if (shape.corners) return shape.corners;
  const meet = new Map();
  for (const [a, b] of shape.creases) for (const [p, q] of [[a, b], [b, a]]) meet.set(p, [...(meet.get(p) || []), q]);
  shape.corners = [...meet].filter(([k, others]) => others.length !== 2 || bends(shape, k, others)).map(([k]) => k);
  return shape.corners;
}

function bends(shape, k, [a, b]) {
  const at = vertex(shape, k), [u, v] = [minus(vertex(shape, a), at), minus(vertex(shape, b), at)];
  return dot(u, v) > -0.85 * long(u) * long(v);
}
