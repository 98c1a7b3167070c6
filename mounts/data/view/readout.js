// What was measured, written over the picture and in its pane: the two places, their distance and its parts.
import { minus } from "./geometry.js";
import { apart, told } from "./targets.js";
import { element, figure, found, named, size } from "./words.js";

export function makeReadout(marks, changed) {
  const readout = { targets: [], marks, changed };
  show(readout);
  return readout;
}

// Takes one more place; a third begins again.
export function take(readout, target) {
  readout.targets = readout.targets.length === 1 ? [readout.targets[0], target] : [target];
  show(readout);
}

export function measure(readout, one, other) {
  readout.targets = [one, other].filter(Boolean);
  show(readout);
}

export function clear(readout) {
  const had = readout.targets.length > 0;
  readout.targets = [];
  show(readout);
  return had;
}

function show(readout) {
  const { targets, marks } = readout, both = targets.length === 2 ? apart(...targets) : null;
  marks.measured = targets.length ? { targets, apart: both } : null;
  const rows = targets.map((target, k) => element("p", { class: "from" }, element("b", {}, "AB"[k]), " ", element("bdi", {}, told(target))));
  if (targets.length === 1) rows.push(element("p", { class: "next" }, "now the second place"));
  if (both) rows.push(...result(both));
  const box = found("readout");
  box.hidden = !targets.length;
  box.replaceChildren(element("div", {}, ...rows), element("button", { type: "button", on: { click: () => clear(readout) } }, "Clear"));
  readout.changed();
}

function result(both) {
  const angle = both.angle !== null && both.angle > 0.005 ? `${figure(both.angle)}° to each other` : "";
  if (both.distance === null) return [element("p", { class: "value" }, angle), element("p", {}, "They meet, so there is no distance.")];
  const parts = minus(both.to, both.from).map((value, i) => `d${"xyz"[i]} ${size(value)}`);
  return [
    element("p", { class: "value", id: "distance" }, named(both.distance)),
    element("p", { class: "parts" }, parts.join("   ")),
    angle ? element("p", {}, angle) : null,
  ].filter(Boolean);
}
