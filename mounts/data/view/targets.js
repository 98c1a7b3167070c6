// What can be measured from and to: a point, the axis of a round face, or a plane; and how far two of them are apart.
import { cross, dot, long, minus, onto, plus, times } from "./geometry.js";
import { figure, place, size } from "./words.js";

const PARALLEL = 1e-4; // of a sine: about 0.006 degrees

export const point = (at, label) => ({ is: "point", at, label });
export const axis = (at, along, label) => ({ is: "axis", at, along, label });
export const plane = (at, along, label) => ({ is: "plane", at, along, label });

// The target that a face of the part stands for; a curved one gives the point itself.
export function faceTarget(part, number, at) {
  const face = part.faces[number], name = faceName(part, number);
  if (face.is === "round") return axis(at ? onto(at, face.at, face.along) : face.at, face.along, name);
  if (face.is === "flat") return plane(at || face.at, face.along, name);
  return point(at, name);
}

export function faceName(part, number) {
  const face = part.faces[number], name = part.features[face.feature] || part.name;
  if (face.is === "round") return `${name}: ${face.hole ? "hole" : "round"}, ⌀ ${size(face.across)}`;
  if (face.is === "flat") return `${name}: flat${facing(face)}`;
  return name;
}

// Where a flat face lies, or which way it faces: a clock direction, seen from the cabin.
function facing({ at, along }) {
  const level = along.findIndex((value) => Math.abs(value) > 1 - 1e-9);
  if (level >= 0) return `, ${"xyz"[level]} = ${size(at[level])}`;
  const lean = degrees(Math.acos(Math.min(1, Math.abs(along[2]))));
  return lean > 89.995 ? `, faces ${clock(along)}` : `, leans ${figure(lean)}° to ${clock(along)}`;
}

function clock([x, y]) {
  const minutes = Math.round((((degrees(Math.atan2(x, y)) + 360) % 360) * 2) / 5) * 5;
  return `${Math.floor(minutes / 60) % 12 || 12}:${String(minutes % 60).padStart(2, "0")}`;
}

// Distance between two targets and the places on them: {distance, from, to, angle}; distance is null where two planes,
// or a plane and an axis, meet. `angle` is in degrees, null where points have none.
export function apart(one, other) {
  if (one.is === "point" && other.is === "point") return between(one.at, other.at);
  if (isSame(one, other)) return between(one.at, other.at); // two places on one face
  if (one.is === "point") return fromPoint(one, other);
  if (other.is === "point") return reversed(fromPoint(other, one));
  if (one.is === "axis" && other.is === "axis") return axes(one, other);
  if (one.is === "plane" && other.is === "plane") return planes(one, other);
  return one.is === "axis" ? axisAndPlane(one, other) : reversed(axisAndPlane(other, one));
}

function isSame(one, other) {
  if (one.is !== other.is || one.is === "point" || long(cross(one.along, other.along)) >= PARALLEL) return false;
  const away = minus(other.at, one.at), along = times(one.along, dot(away, one.along));
  return long(one.is === "plane" ? along : minus(away, along)) < 1e-6;
}

const between = (from, to, angle = null) => ({ distance: long(minus(to, from)), from, to, angle });

function reversed(found) {
  return { ...found, from: found.to, to: found.from };
}

function fromPoint(one, other) {
  if (other.is === "axis") return between(one.at, onto(one.at, other.at, other.along));
  const down = dot(minus(one.at, other.at), other.along);
  return between(one.at, minus(one.at, times(other.along, down)));
}

function axes(one, other) {
  const across = cross(one.along, other.along), sine = long(across);
  const angle = degrees(Math.asin(Math.min(1, sine)));
  if (sine < PARALLEL) return between(one.at, onto(one.at, other.at, other.along), angle);
  const away = minus(other.at, one.at), square = sine * sine;
  const from = plus(one.at, times(one.along, dot(cross(away, other.along), across) / square));
  const to = plus(other.at, times(other.along, dot(cross(away, one.along), across) / square));
  return between(from, to, angle);
}

function planes(one, other) {
  const sine = long(cross(one.along, other.along));
  const angle = degrees(Math.asin(Math.min(1, sine)));
  if (sine >= PARALLEL) return { distance: null, from: one.at, to: other.at, angle };
  return { ...fromPoint(one, other), angle };
}

function axisAndPlane(one, other) {
  const sine = Math.abs(dot(one.along, other.along));
  const angle = degrees(Math.asin(Math.min(1, sine)));
  if (sine >= PARALLEL) return { distance: null, from: one.at, to: other.at, angle };
  return { ...fromPoint(one, other), angle };
}

const degrees = (radians) => (radians * 180) / Math.PI;

// Every round and flat face that one measures from, no lettering and no broken edge, by its feature: [name, target] each; pieces of one face once.
export function faceTargets(part) {
  const found = new Map();
  part.faces.forEach((face, number) => {
    if (face.is === "curved" || !face.measured) return;
    const foot = face.is === "round" ? minus(face.at, times(face.along, dot(face.at, face.along))) : times(face.along, dot(face.at, face.along));
    const key = [face.feature, face.is, face.hole, ...foot, ...face.along, face.across || 0].map(rough).join();
    if (!found.has(key)) found.set(key, [part.features[face.feature], faceTarget(part, number)]);
  });
  return [...found.values()];
}

const rough = (value) => (typeof value === "number" ? Math.round(value * 1e3) + 0 : value);

export const told = (target) => (target.is === "point" ? `${target.label}: ${place(target.at)}` : target.label);
