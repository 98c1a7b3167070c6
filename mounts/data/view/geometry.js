// Points and ways as [x, y, z] in the panel frame, mm; and what is asked of meshes. It knows no page and no picture.

export const plus = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const times = (a, k) => [a[0] * k, a[1] * k, a[2] * k];
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
export const long = (a) => Math.hypot(a[0], a[1], a[2]);
export const unit = (a) => times(a, 1 / (long(a) || 1));
export const onto = (p, at, along) => plus(at, times(along, dot(minus(p, at), along)));
export const vertex = (mesh, k) => [mesh.vertices[3 * k], mesh.vertices[3 * k + 1], mesh.vertices[3 * k + 2]];

// Normal of every triangle, as long as its area is large: Float64Array of 3 a triangle.
export function triangleNormals(mesh) {
  const { vertices: v, triangles: t } = mesh;
  const out = new Float64Array(t.length);
  for (let k = 0; k < t.length; k += 3) {
    const a = 3 * t[k], b = 3 * t[k + 1], c = 3 * t[k + 2];
    const ux = v[b] - v[a], uy = v[b + 1] - v[a + 1], uz = v[b + 2] - v[a + 2];
    const wx = v[c] - v[a], wy = v[c + 1] - v[a + 1], wz = v[c + 2] - v[a + 2];
    out[k] = uy * wz - uz * wy;
    out[k + 1] = uz * wx - ux * wz;
    out[k + 2] = ux * wy - uy * wx;
  }
  return out;
}

// Box of some meshes: [low, high].
export function box(meshes) {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (const { vertices } of meshes) {
    for (let k = 0; k < vertices.length; k += 1) {
      low[k % 3] = Math.min(low[k % 3], vertices[k]);
      high[k % 3] = Math.max(high[k % 3], vertices[k]);
    }
  }
  return [low, high];
}

// Lengths of ways that stand one after the other: Float64Array.
export function lengths(n) {
  const out = new Float64Array(n.length / 3);
  for (let k = 0; k < out.length; k += 1) out[k] = Math.sqrt(n[3 * k] ** 2 + n[3 * k + 1] ** 2 + n[3 * k + 2] ** 2);
  return out;
}

// Which corners of triangles lie at each vertex: `corners` from `first` of the vertex to `first` of the next.
export function fans({ vertices, triangles: t }) {
  const first = new Uint32Array(vertices.length / 3 + 1), corners = new Uint32Array(t.length);
  for (let k = 0; k < t.length; k += 1) first[t[k] + 1] += 1;
  for (let v = 1; v < first.length; v += 1) first[v] += first[v - 1];
  const free = first.slice();
  for (let k = 0; k < t.length; k += 1) corners[free[t[k]]++] = k;
  return { first, corners };
}

// Edges at which a mesh folds by more than `fold` degrees, and where faces are numbered only between two of them:
// [vertex, vertex] each.
export function creases({ triangles: t, face, normals: n }, { first, corners }, fold = 20) {
  const least = Math.cos((fold * Math.PI) / 180), long = lengths(n), out = [];
  for (let k = 0; k < t.length; k += 1) {
    const start = t[k], end = t[after(k)], own = (k - (k % 3)) / 3;
    if (start > end) continue;
    for (let f = first[end]; f < first[end + 1]; f += 1) {
      if (t[after(corners[f])] !== start) continue;
      const other = (corners[f] - (corners[f] % 3)) / 3, [i, j] = [3 * own, 3 * other];
      if (face && face[own] === face[other]) continue;
      if (n[i] * n[j] + n[i + 1] * n[j + 1] + n[i + 2] * n[j + 2] < least * long[own] * long[other]) out.push([start, end]);
    }
  }
  return out;
}

const after = (k) => (k % 3 === 2 ? k - 2 : k + 1); // the next corner of its triangle

// Where a plane cuts a mesh: Float32Array of line ends, 6 a line.
export function section(mesh, normal, offset) {
  const { vertices: v, triangles: t } = mesh;
  const above = new Float64Array(v.length / 3), out = [];
  for (let k = 0; k < above.length; k += 1) {
    above[k] = v[3 * k] * normal[0] + v[3 * k + 1] * normal[1] + v[3 * k + 2] * normal[2] - offset;
  }
  for (let k = 0; k < t.length; k += 3) {
    const corner = [t[k], t[k + 1], t[k + 2]];
    const up = corner.map((c) => above[c] >= 0);
    if (up[0] === up[1] && up[1] === up[2]) continue;
    for (let s = 0; s < 3; s += 1) {
      const a = corner[s], b = corner[(s + 1) % 3];
      if (up[s] === up[(s + 1) % 3]) continue;
      const share = above[a] / (above[a] - above[b]);
      for (let i = 0; i < 3; i += 1) out.push(v[3 * a + i] + share * (v[3 * b + i] - v[3 * a + i]));
    }
  }
  return new Float32Array(out);
}

// The nearest triangle that a ray meets where `kept` says so: {far, triangle, out} or null; `out` when it leaves there.
export function met(mesh, normals, from, way, kept) {
  const { vertices: v, triangles: t } = mesh;
  let best = null;
  for (let k = 0; k < t.length; k += 3) {
    const facing = normals[k] * way[0] + normals[k + 1] * way[1] + normals[k + 2] * way[2];
    if (facing === 0) continue;
    const a = 3 * t[k], ax = v[a] - from[0], ay = v[a + 1] - from[1], az = v[a + 2] - from[2];
    const far = (ax * normals[k] + ay * normals[k + 1] + az * normals[k + 2]) / facing;
    if (best && far >= best.far) continue;
    if (!inside(v, t, k, from, way, facing)) continue;
    if (!kept([from[0] + far * way[0], from[1] + far * way[1], from[2] + far * way[2]])) continue;
    best = { far, triangle: k / 3, out: facing > 0 };
  }
  return best;
}

function inside(v, t, k, from, way, facing) {
  for (let s = 0; s < 3; s += 1) {
    const a = 3 * t[k + s], b = 3 * t[k + ((s + 1) % 3)];
    const ax = v[a] - from[0], ay = v[a + 1] - from[1], az = v[a + 2] - from[2];
    const bx = v[b] - from[0], by = v[b + 1] - from[1], bz = v[b + 2] - from[2];
    const side = way[0] * (ay * bz - az * by) + way[1] * (az * bx - ax * bz) + way[2] * (ax * by - ay * bx);
    if (side * facing < 0) return false;
  }
  return true;
}
