// Figures and elements. Every word of a job or a report goes through `textContent`, so none of it can become markup.

export function figure(value, places = 2) {
  const told = value.toFixed(places);
  return Number(told) === 0 ? told.replace("-", "") : told.replace("-", "−");
}

const INCH = 25.4; // mm
let units = "mm"; // or inches, or both, as the job's files are typed

export const writeIn = (asked) => (units = asked);
export const unitsSay = () => ({ mm: "in mm", inches: "in inches", both: "in mm, and in inches behind" })[units];

// A length in mm as text, in the job's units: 12.34, 0.486 in, or 12.34 (0.486 in).
export function size(value, places = 2) {
  const inches = `${figure(value / INCH, places + 1)} in`;
  return { mm: figure(value, places), inches, both: `${figure(value, places)} (${inches})` }[units];
}

// The same with its unit, mm too.
export const named = (value) => (units === "inches" ? size(value) : size(value).replace(/^\S+/, (told) => `${told} mm`));

export const place = (p) => `x ${size(p[0])}, y ${size(p[1])}, z ${size(p[2])}`;

// An element with attributes, an `on` map of listeners, and children: elements or plain text.
export function element(name, about = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(about)) {
    if (key === "on") for (const [event, act] of Object.entries(value)) made.addEventListener(event, act);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(key, value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== ""));
  return made;
}

export const found = (id) => document.getElementById(id);
