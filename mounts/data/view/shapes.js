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
  const { vertices, triangles, normals: n } = mesh;
  const at = new Float32Array(3 * triangles.length), out = new Float32Array(3 * triangles.length);
  const around = fans(mesh), long = new Float64Array(triangles.length);
  for (let k = 0; k < triangles.length; k += 3) long[k] = Math.sqrt(n[k] * n[k] + n[k + 1] * n[k + 1] + n[k + 2] * n[k + 2]);
  for (let k = 0; k < triangles.length; k += 1) {
    const own = k - (k % 3);
    let x = 0, y = 0, z = 0;
    for (const other of around[triangles[k]]) {
      const cosine = n[own] * n[other] + n[own + 1] * n[other + 1] + n[own + 2] * n[other + 2];
      if (cosine >= SOFT * long[own] * long[other]) [x, y, z] = [x + n[other], y + n[other + 1], z + n[other + 2]];
    }
    const size = Math.sqrt(x * x + y * y + z * z) || 1;
    at.set(vertices.subarray(3 * triangles[k], 3 * triangles[k] + 3), 3 * k);
    out.set([x / size, y / size, z / size], 3 * k);
  }
  return new BufferGeometry().setAttribute("position", new BufferAttribute(at, 3)).setAttribute("normal", new BufferAttribute(out, 3));
}

function fans(mesh) {
  const around = Array.from({ length: mesh.vertices.length / 3 }, () => []);
  mesh.triangles.forEach((corner, k) => around[corner].push(k - (k % 3)));
  return around;
}
