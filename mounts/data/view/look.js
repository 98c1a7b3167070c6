// What each thing looks like: its colour, how much shows through it, and how its section is hatched.
// hatch: degrees of the lines, pixels between them; two angles for a crossed one.

export const LOOKS = {
  mount: { colour: "#e2a33b", clear: 1, hatch: [45, 9] },
  speaker: { colour: "#6f86a6", clear: 1, hatch: [-45, 12] },
  travel: { colour: "#c8679f", clear: 0.35, hatch: [0, 10] },
  sheet: { colour: "#97a3a9", clear: 1, hatch: [20, 6] },
  glass: { colour: "#45b3c9", clear: 0.3, hatch: [-70, 14] },
  trim: { colour: "#8a6a50", clear: 0.22, hatch: [-30, 7] },
  grille: { colour: "#7d7a88", clear: 0.16, hatch: [90, 5] },
  hardware: { colour: "#56626b", clear: 1, hatch: [-45, 5] },
  tools: { colour: "#6fa35a", clear: 0.4, hatch: [0, 8] },
  ways: { colour: "#9a86cf", clear: 0.3, hatch: [70, 12] },
  end: { colour: "#8f9a86", clear: 0.4, hatch: [30, 12] },
  things: { colour: "#bb5f47", clear: 1, hatch: [60, 8] },
};

const DARK = window.matchMedia("(prefers-color-scheme: dark)");

export const isDark = () => (document.documentElement.dataset.light || (DARK.matches ? "dark" : "light")) === "dark";

export function turnLight() {
  document.documentElement.dataset.light = isDark() ? "light" : "dark";
}

export const whenLightTurns = (act) => DARK.addEventListener("change", act);

// A part's lines, and those of a section: on a dark ground these are light.
export const ink = () => (isDark() ? { crease: "#0c0f12", cut: "#f4f1e8" } : { crease: "#2a2f35", cut: "#15181b" });
