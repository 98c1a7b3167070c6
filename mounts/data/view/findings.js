// The list of what was found: what fails first, then what warns, what was not measured, what is to be done by hand, and
// the tightest that pass.
import { element } from "./words.js";

const TIGHTEST = 8; // of those that pass, shown before one asks for all

export function findingsPane(data, choose) {
  const by = (verdict) => data.findings.filter((finding) => finding.verdict === verdict);
  const tight = data.tight.map((k) => data.findings[k]).filter(({ verdict }) => verdict === "pass").slice(0, TIGHTEST);
  const rest = by("pass").filter((finding) => !tight.includes(finding));
  const rows = new Map(), said = new Set();
  const row = (finding) => rowOf(finding, choose, rows, said);
  const pane = element("div", { class: "findings" },
    ...by("fail").map(row), ...by("warn").map(row),
    ...data.not_measured.map(missing),
    data.not_measured.length ? element("p", { class: "say" }, "Not checked, so not known to fit: take these readings and write them into the panel's file.") : null,
    by("do").length ? element("h2", {}, "To do by hand") : null,
    ...by("do").map(row),
    tight.length ? element("h2", {}, "Tightest of what passes") : null,
    ...tight.map(row),
    rest.length ? element("details", {}, element("summary", {}, `${rest.length} more that pass`), ...rest.map(row)) : null,
    data.cautions.length ? element("h2", {}, "Before you begin") : null,
    ...data.cautions.map((text) => element("p", { class: "caution" }, text)),
  );
  return { pane, rows };
}

// Shows which finding the picture is at, and brings its row into sight.
export function chooseRow({ rows }, finding, scrolls) {
  rows.forEach((row, one) => row.setAttribute("aria-current", one === finding ? "true" : "false"));
  const row = rows.get(finding);
  if (!scrolls) return;
  row?.closest("details")?.setAttribute("open", "");
  row?.scrollIntoView({ block: "nearest" });
}

function rowOf(finding, choose, rows, said) {
  const { verdict, word, what, told, advice, between, mark, at } = finding;
  const lies = between.length ? `between ${between[0]} and ${between[1]}` : "";
  const remedy = said.has(advice) ? "as above" : advice; // what mends several things is read once
  said.add(advice);
  const inside = [
    element("span", { class: `word ${verdict}` }, mark ? `${mark} ${word}` : word),
    element("bdi", { class: "what" }, what),
    told ? element("span", { class: "told" }, told) : null,
    lies ? element("bdi", { class: "more" }, lies) : null,
    advice ? element("bdi", { class: "more advice" }, `→ ${remedy}`) : null,
  ];
  if (!at) return element("div", { class: `finding ${verdict}` }, ...inside, element("span", { class: "more" }, "has no single place"));
  const row = element("button", { type: "button", class: `finding ${verdict}`, "aria-current": "false", on: { click: () => choose(finding) } }, ...inside);
  rows.set(finding, row);
  return row;
}

function missing(path) {
  return element("div", { class: "finding missing" }, element("span", { class: "word missing" }, "NOT MEASURED"), element("bdi", { class: "what" }, path));
}
