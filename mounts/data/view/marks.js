// Numbers where the findings are, and what is drawn over the picture: a dot for the place, the way that was measured.
import { axes, seen } from "./eye.js";
import { dot } from "./geometry.js";
import { element, found } from "./words.js";

const HALF = 17, AWAY = 34; // px: half a mark's width, and how far it stands from its place
const SVG = "http://www.w3.org/2000/svg";

export function makeMarks(data, choose) {
  const buttons = data.findings.filter(({ mark }) => mark).map((finding) => {
    const label = `Mark ${finding.mark}: ${finding.word}, ${finding.what}`;
    const act = () => choose(finding);
    const button = element("button", { type: "button", class: `mark ${finding.verdict}`, "aria-label": label, title: finding.what, on: { click: act } }, `${finding.mark}`);
    return { finding, button };
  });
  found("marks").append(...buttons.map(({ button }) => button));
  return { buttons, chosen: null, measured: null };
}

// Puts everything in its place over the picture.
export function placeMarks(marks, eye) {
  const lines = found("lines"), { canvas } = eye.stage, taken = [];
  lines.replaceChildren();
  for (const { finding, button } of marks.buttons) {
    const [x, y] = seen(eye, finding.at), spot = free(x, y, canvas, taken);
    const off = x < 0 || y < 0 || x > canvas.clientWidth || y > canvas.clientHeight;
    button.hidden = off;
    if (off) continue;
    taken.push(spot);
    button.style.transform = `translate(${spot[0] - HALF}px, ${spot[1] - HALF}px)`;
    lines.append(line([x, y], spot, `lead ${finding.verdict}`), dot2([x, y], 5, finding.verdict));
  }
  if (marks.chosen) {
    const [x, y] = seen(eye, marks.chosen.at);
    lines.append(dot2([x, y], 13, "chosen"));
  }
  if (marks.measured) measureLines(lines, eye, marks.measured);
  compass(eye);
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

// A place for a mark beside its spot: to the right and up, else further round, where no other mark is.
function free(x, y, canvas, taken) {
  for (const reach of [AWAY, 1.7 * AWAY, 2.5 * AWAY, 3.3 * AWAY]) {
    for (const turn of [-45, 0, -90, 45, 180, -135, 90, 135]) {
      const a = (turn * Math.PI) / 180, p = [x + reach * Math.cos(a), y + reach * Math.sin(a)];
      const inside = p[0] > HALF && p[1] > HALF && p[0] < canvas.clientWidth - HALF && p[1] < canvas.clientHeight - HALF;
      if (inside && taken.every((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) > 2.1 * HALF)) return p;
    }
  }
  return [x, y];
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
