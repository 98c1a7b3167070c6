// The document inside the page: what `told.py` wrote, its meshes unpacked.
import { found, writeIn } from "./words.js";

export function readData() {
  const data = JSON.parse(found("data").textContent);
  const part = data.part;
  writeIn(data.units);
  part.name = data.what.toLowerCase();
  part.face = unpacked(part.face, Uint32Array);
  for (const mesh of [part, ...data.switches.flatMap((one) => one.shapes)]) {
    mesh.vertices = unpacked(mesh.vertices, Float32Array);
    mesh.triangles = unpacked(mesh.triangles, mesh.wide === "2" ? Uint16Array : Uint32Array);
  }
  return data;
}

function unpacked(text, form) {
  const raw = atob(text);
  const bytes = new Uint8Array(raw.length);
  for (let k = 0; k < raw.length; k += 1) bytes[k] = raw.charCodeAt(k);
  return new form(bytes.buffer);
}
