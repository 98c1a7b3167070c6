// Puts the page together: reads the document, builds picture and panes, and lets them know of each other.
import { helpPane, makeTabs, measurePane, showPane } from "./controls.js";
import { makeCut, range, setCut, ways } from "./cut.js";
import { readData } from "./data.js";
import { eyeKey, fly, framing, makeEye, towards } from "./eye.js";
import { chooseRow, findingsPane } from "./findings.js";
import { box } from "./geometry.js";
import { whenLightTurns } from "./look.js";
import { makeMarks, nameThings, placeMarks } from "./marks.js";
import { pick } from "./pick.js";
import { clear, makeReadout, measure, take } from "./readout.js";
import { fitCanvas, makeStage } from "./stage.js";
import { element, found, size } from "./words.js";

const LOOKS_FROM = {
  corner: ["the corner", { round: -68, rise: 32 }],
  cabin: ["the cabin", { round: -90, rise: 90 }],
  behind: ["behind", { round: -90, rise: -90 }],
  below: ["below", { round: -90, rise: 0 }],
  above: ["above", { round: 90, rise: 0 }],
  left: ["the left", { round: 180, rise: 0 }],
  right: ["the right", { round: 0, rise: 0 }],
};
const CLOSE = 70; // mm across the picture when it goes to a place
const ASIDE = { round: 14, rise: 16 }; // degrees from a straight look at a cut, so that its depth shows

const data = readData();
const list = findingsPane(data, (finding) => view && goTo(view, finding));
let view = null;

function build() {
  const stage = makeStage(data, found("canvas"));
  const eye = makeEye(stage), cut = makeCut(stage);
  const marks = makeMarks(data, (finding) => goTo(view, finding));
  const readout = makeReadout(marks, () => stage.draw());
  return { data, stage, eye, cut, marks, readout, ways: ways(data), take: "auto", finding: null };
}

function start(view) {
  const { stage, readout } = view;
  stage.after.push(() => placeMarks(view.marks, view.eye), () => nameSoon(view));
  view.tabs = makeTabs([
    { key: "findings", label: "Findings", pane: list.pane },
    { key: "show", label: "Show", pane: showPane(stage, () => recut(view)) },
    { key: "measure", label: "Measure", pane: measurePane(stage.part, (a, b) => measure(readout, a, b), (how) => (view.take = how)) },
    { key: "help", label: "Help", pane: helpPane() },
  ]);
  whenLightTurns(() => recut(view));
  fillBar(view);
  listen(view);
  new ResizeObserver(() => fitCanvas(stage) && view.eye.show()).observe(found("frame"));
  open(view);
  found("canvas").setAttribute("aria-label", `Picture of ${data.job} ${data.side}, to be turned with the arrow keys`);
}

// At first the whole assembly, its things named; the worst finding, else where least room is left, is one click away.
function open(view) {
  const placed = (verdict) => data.findings.find((one) => one.verdict === verdict && one.at);
  const bad = placed("fail") || placed("warn"), finding = bad || data.findings[data.tight[0]], button = found("worst");
  view.worst = finding;
  if (finding) {
    button.hidden = false;
    button.textContent = bad ? "Show the worst" : "Show where least room is left";
    button.setAttribute("aria-label", `${button.textContent}: ${finding.what}, ${finding.told}`);
    button.addEventListener("click", () => goTo(view, finding, true));
  }
  cutBy(view, view.ways.at(-1), 0, 1, false);
  fitCanvas(view.stage); // after the words round it, which leave it less
  Object.assign(view.eye, LOOKS_FROM.corner[1], framing(view.eye, carried(view), LOOKS_FROM.corner[1]));
  view.eye.show();
}

// Once nothing moves any more, things are named; while something is cut, its hatching and the list say what it is.
function nameSoon(view) {
  clearTimeout(view.naming);
  view.naming = setTimeout(() => nameThings(view.marks, view, view.cut.way.key === "none"), 250);
}

// The picture goes to a finding's place and cuts through it.
function goTo(view, finding, whole = false) {
  view.finding = finding;
  view.marks.chosen = finding;
  chooseRow(list, finding, !whole);
  const way = view.ways.find(({ key }) => key === "place") || placeWay(view);
  Object.assign(way, { along: finding.cut, zero: finding.at, side: 1 });
  cutBy(view, way, 0, 1, false);
  found("caption").replaceChildren(
    element("b", {}, "Section through: "),
    element("bdi", {}, finding.what), finding.told ? `, ${finding.told}` : "");
  const look = facing(finding.cut);
  const room = framing(view.eye, carried(view), look);
  const close = CLOSE / Math.min(view.stage.canvas.clientWidth, view.stage.canvas.clientHeight);
  fly(view.eye, whole ? { ...look, ...room } : { ...look, at: finding.at, pixel: Math.min(close, room.pixel) });
}

function placeWay(view) {
  const way = { key: "place", label: "cut through the place", along: [0, 1, 0], zero: [0, 0, 0], side: 1 };
  view.ways.unshift(way);
  found("way").prepend(element("option", { value: "place" }, way.label));
  return way;
}

function facing(normal) {
  const look = towards(normal);
  if (Math.abs(look.rise) > 60) return { round: -90, rise: Math.sign(look.rise) * 78 }; // up stays up
  const rise = look.rise + ASIDE.rise;
  return { round: look.round + ASIDE.round, rise };
}

const carried = ({ stage }) => box(stage.things.filter(({ key, group }) => key === "mount" || (key === "speaker" && group.visible)).flatMap(({ shapes }) => shapes));

function cutBy(view, way, depth, side, flies = true) {
  setCut(view.cut, way, depth, side);
  const [low, high] = range(view.stage, way), slider = found("depth"), none = way.key === "none";
  found("way").value = way.key;
  Object.assign(slider, { min: low, max: high, step: 0.1, disabled: none });
  slider.value = depth;
  found("half").disabled = none;
  found("bar").dataset.way = way.key;
  const from = { place: "off the place", axis: "off the seat" }[way.key];
  found("where").textContent = none ? "" : from ? `${size(depth, 1)} ${from}` : `${way.key} = ${size(depth, 1)}`;
  slider.setAttribute("aria-valuetext", found("where").textContent);
  if (way.key !== "place") found("caption").textContent = none ? "The whole assembly, nothing is cut" : way.label.replace("cut", "Cut");
  if (flies && !none) {
    const look = facing(view.cut.normal);
    fly(view.eye, { ...look, ...framing(view.eye, carried(view), look) });
  }
}

function recut(view) {
  const { way, depth, side } = view.cut;
  cutBy(view, way, depth, side, false);
}

function chooseWay(view, key) {
  const finding = view.finding || view.worst, way = view.ways.find((one) => one.key === key);
  if (key === "place" && finding) goTo(view, finding);
  if (key === "place" || !way) return;
  const [low, high] = range(view.stage, way);
  const middle = key === "axis" ? 0 : Math.round((low + high) / 2);
  cutBy(view, way, Math.max(low, Math.min(high, middle)), way.side);
}

function moveCut(view, by) {
  const { way, depth, side } = view.cut, [low, high] = range(view.stage, way);
  if (way.key !== "none") cutBy(view, way, Math.max(low, Math.min(high, depth + by)), side, false);
}

function otherHalf(view) {
  const { way, depth, side } = view.cut;
  if (way.key !== "none") cutBy(view, way, depth, -side);
}

function lookFrom(view, key) {
  const look = LOOKS_FROM[key][1];
  fly(view.eye, { ...look, ...framing(view.eye, carried(view), look) });
}

function fillBar(view) {
  const way = found("way"), from = found("from");
  way.append(...view.ways.map(({ key, label }) => element("option", { value: key }, label)));
  way.addEventListener("change", () => chooseWay(view, way.value));
  found("depth").addEventListener("input", () => cutBy(view, view.cut.way, Number(found("depth").value), view.cut.side, false));
  found("half").addEventListener("click", () => otherHalf(view));
  from.append(element("option", { value: "" }, "look from …"), ...Object.entries(LOOKS_FROM).map(([key, [label]]) => element("option", { value: key }, `look from ${label}`)));
  from.addEventListener("change", () => {
    if (from.value) lookFrom(view, from.value);
    from.value = "";
  });
  found("bar").addEventListener("submit", (event) => event.preventDefault());
}

// The next finding that has a place, in the order of the list, or the one before.
function next(view, by) {
  const rows = [...list.rows.keys()], k = rows.indexOf(view.finding);
  if (rows.length) goTo(view, rows[(k + by + rows.length) % rows.length]);
}

function takeAt(view, x, y, near) {
  const got = pick(view, x, y, view.take, near);
  if (got) take(view.readout, got.target);
  return got;
}

function listen(view) {
  const { canvas } = view.stage, middle = () => [canvas.clientWidth / 2, canvas.clientHeight / 2];
  let down = null, hovering = false;
  const tell = (x, y) => (found("under").textContent = pick(view, x, y, "face")?.name || "");
  canvas.addEventListener("pointerdown", (event) => (down = event.button === 0 ? [event.offsetX, event.offsetY] : null));
  canvas.addEventListener("pointerup", (event) => {
    if (down && Math.hypot(event.offsetX - down[0], event.offsetY - down[1]) < 6) takeAt(view, event.offsetX, event.offsetY, event.pointerType === "touch" ? 24 : 12);
    down = null;
  });
  canvas.addEventListener("pointermove", (event) => {
    if (hovering || event.buttons || event.pointerType === "touch") return;
    hovering = true;
    requestAnimationFrame(() => {
      hovering = false;
      tell(event.offsetX, event.offsetY);
    });
  });
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !key(view, event)) return;
    event.preventDefault();
    if (!["Tab", "Escape"].includes(event.key)) tell(...middle());
  });
  document.addEventListener("keydown", (event) => event.key === "Escape" && clear(view.readout));
}

function key(view, event) {
  if (eyeKey(view.eye, event)) return true;
  const { canvas } = view.stage, cuts = { x: "x", y: "y", z: "z", a: "axis", p: "place", 0: "none" };
  const step = { "[": -1, "]": 1, "{": -0.1, "}": 0.1 }[event.key];
  if (event.key === "Enter" || event.key === " ") takeAt(view, canvas.clientWidth / 2, canvas.clientHeight / 2, 12);
  else if (cuts[event.key]) chooseWay(view, cuts[event.key]);
  else if (step) moveCut(view, step);
  else if (event.key === "o") otherHalf(view);
  else if (event.key === "n" || event.key === "b") next(view, event.key === "n" ? 1 : -1);
  else if (event.key === "Home") fly(view.eye, framing(view.eye, carried(view)));
  else return false;
  return true;
}

function say() {
  const words = { pass: "all checks pass", do: "all checks pass, some work by hand", warn: "warnings", fail: "breaks a limit" }[data.verdict];
  found("job").textContent = data.job;
  found("side").textContent = data.side;
  found("job").title = data.job;
  found("verdict").textContent = words + (data.not_measured.length && data.verdict !== "fail" ? ", as far as measured" : "");
  found("verdict").className = data.verdict;
}

say();
try {
  view = build();
  start(view);
} catch (trouble) {
  view = null; // the findings can be read without a picture
  found("blank").hidden = false;
  found("bar").hidden = true;
  found("tabs").replaceChildren();
  found("panes").replaceChildren();
  makeTabs([{ key: "findings", label: "Findings", pane: list.pane }]);
}
