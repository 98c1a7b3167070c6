// Numbers where the findings are, and what is drawn over the picture: a dot for the place, the way that was measured.
import { axes, seen } from "./eye.js";
import { cross, dot, long, minus, plus, times, vertex } from "./geometry.js";
import { thingAt } from "./pick.js";
import { element, found } from "./words.js";

const HALF = 17, AWAY = 34; // px: half a mark's width, and how far it stands from its place
const SAMPLED = 400, TRIED = 10; // triangles of a thing that are looked at, and of these the places that are tried
const SVG = "http://www.w3.org/2000/svg";

export function makeMarks(data, choose) {
  const buttons = data.findings.filter(({ mark }) => mark).map((finding) => {
    const label = `Mark ${finding.mark}: ${finding.word}, ${finding.what}`;
    const act = () => choose(finding);
    const button = element("button", { type: "button", class: `mark ${finding.verdict}`, "aria-label": label, title: finding.what, on: { click: act } }, `${finding.mark}`);
    return { finding, button };
  });
  found("marks").append(...buttons.map(({ button }) => button));
  return { buttons, names: [], chosen: null, measured: null };
}

// Puts everything in its place over the picture; nothing covers the panel's directions in the corner.
export function placeMarks(marks, eye) {
  const lines = found("lines"), { canvas } = eye.stage, taken = [rectangle(found("compass"), canvas)];
  lines.replaceChildren();
  for (const { finding, button } of marks.buttons) {
    const [x, y] = seen(eye, finding.at), spot = free(x, y, [HALF, HALF], canvas, taken) || [x, y];
    const off = x < 0 || y < 0 || x > canvas.clientWidth || y > canvas.clientHeight;
    button.hidden = off;
    if (off) continue;
    taken.push(around(spot, [HALF + 1, HALF + 1]));
    button.style.transform = `translate(${spot[0] - HALF}px, ${spot[1] - HALF}px)`;
    lines.append(line([x, y], spot, `lead ${finding.verdict}`), dot2([x, y], 5, finding.verdict));
  }
  for (const { at, name } of marks.names) {
    const [x, y] = seen(eye, at), half = [name.offsetWidth / 2, name.offsetHeight / 2];
    const spot = free(x, y, half, canvas, taken);
    name.style.visibility = spot ? "visible" : "hidden";
    if (!spot) continue;
    taken.push(around(spot, [half[0] + 2, half[1] + 2]));
    name.style.transform = `translate(${spot[0] - half[0]}px, ${spot[1] - half[1]}px)`;
    lines.append(line([x, y], spot, "lead named"), dot2([x, y], 3, "named"));
  }
  if (marks.chosen) {
    const [x, y] = seen(eye, marks.chosen.at);
    lines.append(dot2([x, y], 13, "chosen"));
  }
  if (marks.measured) measureLines(lines, eye, marks.measured);
  compass(eye);
}

// Names every thing that shows, at a place of it that shows; none where `shows` is false.
export function nameThings(marks, view, shows) {
  const { stage, eye } = view, spots = shows ? stage.things.map((thing) => [thing, spotOf(view, thing)]).filter(([, at]) => at) : [];
  marks.names = spots.map(([thing, at]) => ({ at, name: element("bdi", { class: "name" }, thing.label.split(",")[0]) }));
  found("names").replaceChildren(...marks.names.map(({ name }) => name));
  placeMarks(marks, eye);
}

// A place of a thing that nothing hides: of its triangles, tried from all over, the largest first.
function spotOf(view, thing) {
  const { canvas } = view.stage;
  if (!thing.group.visible) return null;
  for (const shape of thing.shapes) {
    const count = shape.triangles.length / 3, step = Math.max(1, Math.floor(count / SAMPLED));
    const tried = [...Array(Math.min(count, SAMPLED)).keys()].map((k) => k * step).map((k) => {
      const [a, b, c] = [0, 1, 2].map((i) => vertex(shape, shape.triangles[3 * k + i]));
      return { size: long(cross(minus(b, a), minus(c, a))), at: times(plus(plus(a, b), c), 1 / 3) };
    });
    for (const { at } of tried.sort((one, other) => other.size - one.size).slice(0, TRIED)) {
      const [x, y] = seen(view.eye, at), edge = 24;
      const inside = x > edge && y > edge && x < canvas.clientWidth - edge && y < canvas.clientHeight - edge;
      if (inside && thingAt(view, x, y) === thing) return at;
    }
  }
  return null;
}

const around = ([x, y], [wide, high]) => [x - wide, y - high, x + wide, y + high];
const overlap = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

function rectangle(item, canvas) {
  const own = item.getBoundingClientRect(), { left, top } = canvas.getBoundingClientRect();
  return [own.left - left, own.top - top, own.right - left, own.bottom - top];
}

function measureLines(lines, eye, { targets, apart }) {
  for (const target of targets) {
    const [x, y] = seen(eye, target.at);
    if (target.is === "axis") {
      const ends = [-12, 12].map((by) => seen(eye, target.at.map((v, i) => v + by * target.along[i])));
      lines.append(line(ends[0], ends[1], "axis"));
    }
    lines.append(dot2([x, y], 6, "taken"));
  }
  if (apart && apart.distance !== null) {
    const [from, to] = [apart.from, apart.to].map((p) => seen(eye, p));
    lines.append(line(from, to, "span under"), line(from, to, "span"), dot2(from, 4, "end"), dot2(to, 4, "end"));
  }
}

// A place for what is as large as twice `half` beside its spot: to the right and up, else further round, where nothing
// else is; null where there is none.
function free(x, y, half, canvas, taken) {
  for (const reach of [AWAY, 1.7 * AWAY, 2.5 * AWAY, 3.3 * AWAY, 5 * AWAY]) {
    for (const turn of [-45, 0, -90, 45, 180, -135, 90, 135]) {
      const a = (turn * Math.PI) / 180;
      const p = [x + (reach + half[0] - HALF) * Math.cos(a), y + (reach + half[1] - HALF) * Math.sin(a)], own = around(p, half);
      const inside = own[0] > 0 && own[1] > 0 && own[2] < canvas.clientWidth && own[3] < canvas.clientHeight;
      if (inside && !taken.some((other) => overlap(own, other))) return p;
    }
  }
  return null;
}

function drawn(name, about) {
  const made = document.createElementNS(SVG, name);
  Object.entries(about).forEach(([key, value]) => made.setAttribute(key, value));
  return made;
}

const line = (p, q, kind) => drawn("line", { x1: p[0], y1: p[1], x2: q[0], y2: q[1], class: kind });
const dot2 = (p, r, kind) => drawn("circle", { cx: p[0], cy: p[1], r, class: `spot ${kind}` });

// The panel's directions in the corner: +x right, +y up, +z to the cabin.
function compass(eye) {
  const { right, up, from } = axes(eye), box = found("compass");
  const ways = [["x", [1, 0, 0]], ["y", [0, 1, 0]], ["z", [0, 0, 1]]].map(([name, way]) => [name, [24 * dot(way, right), -24 * dot(way, up)], dot(way, from)]);
  box.replaceChildren();
  for (const [name, end] of ways.sort((a, b) => a[2] - b[2])) {
    const far = Math.hypot(...end), out = far > 3 ? (far + 8) / far : 0, aside = end[0] * out;
    const anchor = Math.abs(aside) < 9 ? "middle" : aside > 0 ? "start" : "end";
    const word = drawn("text", { x: aside, y: far > 3 ? end[1] * out : 12, "text-anchor": anchor, class: `axis-${name}` });
    word.textContent = { x: "x", y: "up y", z: "cabin z" }[name];
    box.append(line([0, 0], end, `axis-${name}`), word);
  }
}
