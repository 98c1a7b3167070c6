// Meshes as the picture needs them: soft normals, dark lines where a face folds.
import { BufferAttribute, BufferGeometry } from "three";
import { creases, triangleNormals } from "./geometry.js";

const SOFT = Math.cos((28 * Math.PI) / 180); // facets that fold by less are one round face

// Adds to a mesh its normals, its creases and its geometries for faces and lines.
export function shaped(mesh) {
  mesh.normals = triangleNormals(mesh);
  mesh.creases = creases(mesh, mesh.normals);
  mesh.surface = surface(mesh);
  mesh.outline = lines(mesh.creases.flatMap(([a, b]) => [a, b]).flatMap((k) => [0, 1, 2].map((i) => mesh.vertices[3 * k + i])));
  return mesh;
}

export function lines(places) {
  return new BufferGeometry().setAttribute("position", new BufferAttribute(new Float32Array(places), 3));
}

function surface(mesh) {
  const { vertices, triangles, normals } = mesh;
  const at = new Float32Array(3 * triangles.length), out = new Float32Array(3 * triangles.length);
  const around = fans(mesh);
  for (let k = 0; k < triangles.length; k += 1) {
    const own = k - (k % 3), sum = [0, 0, 0];
    for (const other of around[triangles[k]]) if (alike(normals, own, other)) for (let i = 0; i < 3; i += 1) sum[i] += normals[other + i];
    const size = Math.hypot(...sum) || 1;
    for (let i = 0; i < 3; i += 1) {
      at[3 * k + i] = vertices[3 * triangles[k] + i];
      out[3 * k + i] = sum[i] / size;
    }
  }
  return new BufferGeometry().setAttribute("position", new BufferAttribute(at, 3)).setAttribute("normal", new BufferAttribute(out, 3));
}

function fans(mesh) {
  const around = Array.from({ length: mesh.vertices.length / 3 }, () => []);
  mesh.triangles.forEach((corner, k) => around[corner].push(k - (k % 3)));
  return around;
}

function alike(n, a, b) {
  const both = Math.hypot(n[a], n[a + 1], n[a + 2]) * Math.hypot(n[b], n[b + 1], n[b + 2]);
  return n[a] * n[b] + n[a + 1] * n[b + 1] + n[a + 2] * n[b + 2] >= SOFT * both;
}
