// The panes beside the picture: tabs, the switches that show and hide, and measuring by name.
import { LOOKS, isDark, turnLight } from "./look.js";
import { faceTargets } from "./targets.js";
import { element, found, unitsSay } from "./words.js";

// Tabs with their panes; the arrow keys go from tab to tab.
export function makeTabs(panes) {
  const tabs = panes.map(({ key, label, pane }, k) => {
    pane.id = `pane-${key}`;
    pane.classList.add("pane");
    Object.entries({ role: "tabpanel", "aria-labelledby": `tab-${key}`, tabindex: "0" }).forEach(([name, value]) => pane.setAttribute(name, value));
    const act = { click: () => open(k), keydown: (event) => step(event, k) };
    return element("button", { type: "button", role: "tab", id: `tab-${key}`, "aria-controls": pane.id, on: act }, label);
  });
  function open(chosen) {
    tabs.forEach((tab, k) => {
      tab.setAttribute("aria-selected", k === chosen ? "true" : "false");
      tab.tabIndex = k === chosen ? 0 : -1;
      panes[k].pane.hidden = k !== chosen;
    });
  }
  function step(event, k) {
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!by) return;
    event.preventDefault();
    const next = (k + by + tabs.length) % tabs.length;
    open(next);
    tabs[next].focus();
  }
  found("tabs").append(...tabs);
  found("panes").append(...panes.map(({ pane }) => pane));
  open(0);
  return { open: (key) => open(panes.findIndex((one) => one.key === key)) };
}

// A switch for each thing; `changed` is told after one was turned.
export function showPane(stage, changed) {
  const rows = stage.things.map((thing, k) => {
    const box = element("input", { type: "checkbox", id: `show-${k}`, role: "switch" });
    box.checked = thing.group.visible;
    box.addEventListener("change", () => {
      thing.group.visible = box.checked;
      changed();
    });
    return element("label", { class: "switch" }, box, swatch(thing.key), element("bdi", {}, thing.label));
  });
  const dark = element("input", { type: "checkbox", role: "switch", id: "dark" });
  dark.checked = isDark();
  dark.addEventListener("change", () => {
    turnLight();
    changed();
  });
  return element("div", { class: "show" }, ...rows, element("hr"), element("label", { class: "switch" }, dark, "Dark ground"));
}

function swatch(key) {
  const made = element("span", { class: "swatch" });
  made.style.backgroundColor = LOOKS[key].colour;
  return made;
}

// Measuring by name, for who has no pointer or wants to be sure; and what a touch of the picture takes.
export function measurePane(part, measured, taking) {
  const targets = faceTargets(part);
  const [one, other] = ["A", "B"].map((name) => {
    const box = element("select", { id: `measure-${name}` }, element("option", { value: "" }, "choose a face"), ...options(targets));
    box.addEventListener("change", () => measured(targets[one.value]?.[1], targets[other.value]?.[1]));
    return box;
  });
  const take = element("select", { id: "take" }, ...Object.entries({
    auto: "what is nearest", corner: "a corner", edge: "an edge", face: "a face, or a hole's axis", point: "the place itself",
  }).map(([value, label]) => element("option", { value }, label)));
  take.addEventListener("change", () => taking(take.value));
  return element("div", { class: "measure" },
    element("p", {}, "Touch two places in the picture. Holes are taken by their axis, flat faces as planes, so that the distance is the one a drawing gives."),
    element("label", {}, "A touch takes ", take),
    element("h2", {}, "By name"),
    element("label", {}, "From ", one), element("label", {}, "to ", other),
    element("p", { class: "say" }, `Distances are ${unitsSay()}, their parts dx, dy, dz in the panel's frame: x to the right, y up, z into the cabin, from the opening's centre on the face. Faces of this part are exact; round faces of the things round it are drawn to 0.02 mm.`),
  );
}

function options(targets) {
  const groups = new Map();
  targets.forEach(([feature, target], k) => {
    const text = target.label.slice(feature.length + 2);
    groups.set(feature, [...(groups.get(feature) || []), element("option", { value: k }, `${feature}: ${text}`)]);
  });
  return [...groups].map(([feature, all]) => element("optgroup", { label: feature }, ...all));
}

export function helpPane() {
  const keys = [
    ["drag, or arrow keys", "go round"],
    ["right button, two fingers, or Shift and arrows", "move"],
    ["wheel, pinch, or + and −", "nearer and further"],
    ["click, tap, or Enter", "take a place to measure: under the pointer, or in the middle of the picture"],
    ["x y z a p", "cut across x, y, z, the speaker's axis; through the place"],
    ["[ and ]", "move the cut; with Shift by a tenth"],
    ["o", "the other half"],
    ["0", "cut nothing"],
    ["n and b", "next finding, and back"],
    ["Home", "all of it"],
    ["Esc", "forget what was measured"],
  ];
  return element("div", { class: "help", id: "keys" },
    element("p", {}, "Numbers stand where something is to be looked at; touch one, or its line in the list, and the picture goes there and cuts through it."),
    element("dl", {}, ...keys.flatMap(([key, what]) => [element("dt", {}, key), element("dd", {}, what)])),
    element("p", { class: "say" }, "The keys work while the picture has the focus. This file needs no network and sends nothing."),
    element("p", { class: "say" }, "Drawn with three.js, MIT licence."),
  );
}
