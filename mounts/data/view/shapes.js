// Meshes as the picture needs them: soft normals, dark lines where a face folds.
import { BufferAttribute, BufferGeometry } from "three";
import { creases, fans, lengths, triangleNormals } from "./geometry.js";

const SOFT = Math.cos((28 * Math.PI) / 180); // facets that fold by less are one round face

// Adds to a mesh its normals, its creases and its geometries for faces and lines.
export function shaped(mesh) {
  mesh.normals = triangleNormals(mesh);
  const around = fans(mesh);
  mesh.creases = creases(mesh, around);
  mesh.surface = surface(mesh, around);
  mesh.outline = lines(placesOf(mesh.vertices, mesh.creases.flat()));
  return mesh;
}

function placesOf(vertices, which) {
  const at = new Float32Array(3 * which.length);
  for (let k = 0; k < at.length; k += 1) at[k] = vertices[3 * which[(k - (k % 3)) / 3] + (k % 3)];
  return at;
}

export function lines(places) {
  return new BufferGeometry().setAttribute("position", new BufferAttribute(new Float32Array(places), 3));
}

function surface({ vertices, triangles, normals: n }, { first, corners }) {
  const at = placesOf(vertices, triangles), out = new Float32Array(at.length), long = lengths(n);
  for (let k = 0; k < triangles.length; k += 1) {
    const own = k - (k % 3), vertex = triangles[k];
    let x = 0, y = 0, z = 0;
    for (let f = first[vertex]; f < first[vertex + 1]; f += 1) {
      const other = corners[f] - (corners[f] % 3);
      const cosine = n[own] * n[other] + n[own + 1] * n[other + 1] + n[own + 2] * n[other + 2];
      if (cosine < SOFT * long[own / 3] * long[other / 3]) continue;
      x += n[other];
      y += n[other + 1];
      z += n[other + 2];
    }
    const size = Math.sqrt(x * x + y * y + z * z) || 1;
    out[3 * k] = x / size;
    out[3 * k + 1] = y / size;
    out[3 * k + 2] = z / size;
  }
  return new BufferGeometry().setAttribute("position", new BufferAttribute(at, 3)).setAttribute("normal", new BufferAttribute(out, 3));
}
