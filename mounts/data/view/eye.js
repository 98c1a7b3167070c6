// The eye: it goes round what it looks at like a person round a bench, z upward. Mouse, fingers and keys move it.
import { cross, dot, minus, plus, times } from "./geometry.js";
import { setEye } from "./stage.js";

const STEP = 5, DRAG = 0.35; // degrees a key, a pixel
const NEAREST = 0.004, FURTHEST = 3; // mm a pixel
const CALM = window.matchMedia("(prefers-reduced-motion: reduce)");

export function makeEye(stage) {
  const eye = { at: [0, 0, 0], round: -70, rise: 35, pixel: 0.5, stage };
  eye.show = () => setEye(stage, { at: eye.at, pixel: eye.pixel, ...axes(eye) });
  listen(eye);
  return eye;
}

// The unit ways from what is looked at to the eye, and upward and to the right in the picture.
export function axes({ round, rise }) {
  const [a, b] = [round, rise].map((angle) => (angle * Math.PI) / 180);
  const from = [Math.cos(b) * Math.cos(a), Math.cos(b) * Math.sin(a), Math.sin(b)];
  const up = [-Math.sin(b) * Math.cos(a), -Math.sin(b) * Math.sin(a), Math.cos(b)];
  return { from, up, right: cross(up, from) };
}

// Round and rise from which a unit way comes towards the eye.
export function towards(way) {
  const flat = Math.hypot(way[0], way[1]);
  return {
    round: flat < 1e-6 ? -90 : (Math.atan2(way[1], way[0]) * 180) / Math.PI,
    rise: (Math.atan2(way[2], flat) * 180) / Math.PI,
  };
}

// Where a place appears: pixels from the picture's upper left, and mm towards the eye.
export function seen(eye, place) {
  const { from, up, right } = axes(eye), { canvas } = eye.stage, away = minus(place, eye.at);
  return [
    canvas.clientWidth / 2 + dot(away, right) / eye.pixel,
    canvas.clientHeight / 2 - dot(away, up) / eye.pixel,
    dot(away, from),
  ];
}

// The ray through a pixel: where it starts, and its way.
export function ray(eye, x, y) {
  const { from, up, right } = axes(eye), { canvas } = eye.stage;
  const aside = times(right, (x - canvas.clientWidth / 2) * eye.pixel);
  const above = times(up, (canvas.clientHeight / 2 - y) * eye.pixel);
  return { from: plus(plus(plus(eye.at, aside), above), times(from, 4000)), way: times(from, -1) };
}

// Goes to another place, way and scale, within a moment.
export function fly(eye, to) {
  const start = { at: eye.at, round: eye.round, rise: eye.rise, pixel: eye.pixel };
  const end = { ...start, ...to };
  end.round = start.round + ((((end.round - start.round + 180) % 360) + 360) % 360) - 180;
  const flight = (eye.flight = {});
  const began = performance.now(), lasts = CALM.matches ? 1 : 450;
  const step = (now) => {
    if (eye.flight !== flight) return;
    const part = Math.min(1, Math.max(0, (now - began) / lasts)), k = part * part * (3 - 2 * part);
    eye.at = plus(start.at, times(minus(end.at, start.at), k));
    for (const key of ["round", "rise"]) eye[key] = start[key] + (end[key] - start[key]) * k;
    eye.pixel = start.pixel * (end.pixel / start.pixel) ** k;
    eye.show();
    if (part < 1) requestAnimationFrame(step);
    else eye.flight = null;
  };
  requestAnimationFrame(step);
}

// Scale and place at which a box of two corners fills the picture, seen from some way.
export function framing(eye, [low, high], way = eye) {
  const { up, right } = axes(way), { canvas } = eye.stage;
  const middle = times(plus(low, high), 0.5), half = times(minus(high, low), 0.5);
  const reach = (along) => 2 * along.reduce((sum, value, i) => sum + Math.abs(value) * half[i], 0);
  const pixel = 1.12 * Math.max(reach(right) / canvas.clientWidth, reach(up) / canvas.clientHeight);
  return { at: middle, pixel };
}

function turn(eye, round, rise) {
  eye.flight = null;
  eye.round += round;
  eye.rise = Math.max(-90, Math.min(90, eye.rise + rise));
  eye.show();
}

function shift(eye, dx, dy) {
  const { up, right } = axes(eye);
  eye.flight = null;
  eye.at = plus(eye.at, plus(times(right, -dx * eye.pixel), times(up, dy * eye.pixel)));
  eye.show();
}

// Nearer by a factor, the place under pixel (x, y) staying where it is.
function nearer(eye, factor, x, y) {
  const { canvas } = eye.stage;
  const pixel = Math.max(NEAREST, Math.min(FURTHEST, eye.pixel / factor));
  const [dx, dy] = [(x ?? canvas.clientWidth / 2) - canvas.clientWidth / 2, (y ?? canvas.clientHeight / 2) - canvas.clientHeight / 2];
  const change = 1 - eye.pixel / pixel;
  eye.flight = null;
  eye.pixel = pixel;
  shift(eye, dx * change, dy * change);
}

function listen(eye) {
  const { canvas } = eye.stage, fingers = new Map();
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, [event.offsetX, event.offsetY]);
  });
  canvas.addEventListener("pointermove", (event) => {
    const last = fingers.get(event.pointerId);
    if (!last) return;
    const now = [event.offsetX, event.offsetY], [dx, dy] = [now[0] - last[0], now[1] - last[1]];
    const other = [...fingers].find(([id]) => id !== event.pointerId);
    fingers.set(event.pointerId, now);
    if (other) pinch(eye, last, now, other[1]);
    else if (event.buttons & 6 || event.shiftKey) shift(eye, dx, dy);
    else turn(eye, -dx * DRAG, dy * DRAG);
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => fingers.delete(event.pointerId));
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    nearer(eye, Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), event.offsetX, event.offsetY);
  }, { passive: false });
}

function pinch(eye, last, now, other) {
  const size = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]);
  shift(eye, (now[0] - last[0]) / 2, (now[1] - last[1]) / 2);
  nearer(eye, size(now) / Math.max(1, size(last)), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
}

// What a key does to the eye; whether it did anything.
export function eyeKey(eye, event) {
  const [dx, dy] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key] || [0, 0];
  if (dx || dy) {
    if (event.shiftKey) shift(eye, -24 * dx, -24 * dy);
    else turn(eye, STEP * dx, -STEP * dy);
  } else if (event.key === "+" || event.key === "=") nearer(eye, 1.2);
  else if (event.key === "-" || event.key === "_") nearer(eye, 1 / 1.2);
  else return false;
  return true;
}
