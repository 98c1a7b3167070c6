// Figures and elements. Every word of a job or a report goes through `textContent`, so none of it can become markup.

export function figure(value, places = 2) {
  const told = value.toFixed(places);
  return Number(told) === 0 ? told.replace("-", "") : told.replace("-", "−");
}

export const mm = (value) => `${figure(value)} mm`;

export const place = (p) => `x ${figure(p[0])}, y ${figure(p[1])}, z ${figure(p[2])}`;

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
