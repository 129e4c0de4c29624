/* Meshes out of their packing: the other half of render/pictures/viewer/mesh_packing.py, which tells the format. */

const NORMAL_MOST = 2 ** 11 - 1;
const POINT_PLANES = 2, NORMAL_PLANES = 2, NUMBER_PLANES = 3;
const CROWDED_UNIT = 0.02, UNBOUND = 255;

/* Base64 of deflated bytes to bytes; the browser inflates off the main thread. */
export async function inflate(base64) {
  const text = atob(base64), bytes = new Uint8Array(text.length);
  for (let i = 0; i < bytes.length; i++) { bytes[i] = text.charCodeAt(i); }
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/* Where each mesh begins among the bytes. */
export function beginnings(heads) {
  let at = 0;
  return heads.map((head) => {
    const begin = at, along = sum(head.edges);
    at += head.points * (3 * POINT_PLANES + 2 * NORMAL_PLANES) + 3 * head.triangles * NUMBER_PLANES;
    at += 2 * along * NUMBER_PLANES + along - head.edges.length;
    return begin;
  });
}

/* One mesh: positions and normals (3 numbers a point), corners (3 a triangle), segments of true edges as pairs of
   points on the one face and on the other, and how wide each segment's line may be, as a share of the cell. */
export function readMesh(bytes, at, head) {
  const n = head.points, along = sum(head.edges);
  const positions = new Float32Array(3 * n), normals = new Float32Array(3 * n);
  for (let axis = 0; axis < 3; axis++) {
    const steps = sums(bytes, at, n, POINT_PLANES);
    at += n * POINT_PLANES;
    for (let i = 0; i < n; i++) { positions[3 * i + axis] = head.low[axis] + steps[i] * head.step; }
  }
  const u = sums(bytes, at, n, NORMAL_PLANES), v = sums(bytes, at + n * NORMAL_PLANES, n, NORMAL_PLANES);
  at += 2 * n * NORMAL_PLANES;
  for (let i = 0; i < n; i++) { unfold(u[i] / NORMAL_MOST * 2 - 1, v[i] / NORMAL_MOST * 2 - 1, normals, 3 * i); }
  const corners = numbers(bytes, at, 3 * head.triangles, NUMBER_PLANES);
  at += 3 * head.triangles * NUMBER_PLANES;
  for (let i = 0, seen = 0; i < corners.length; i++) {
    if (corners[i] === 0) { corners[i] = seen++; } else { corners[i] = seen - corners[i]; }
  }
  const one = sums(bytes, at, along, NUMBER_PLANES), other = sums(bytes, at + along * NUMBER_PLANES, along, NUMBER_PLANES);
  at += 2 * along * NUMBER_PLANES;
  const count = along - head.edges.length;
  const edges = { one: new Uint32Array(2 * count), other: new Uint32Array(2 * count), crowded: new Float32Array(count) };
  let segment = 0, point = 0;
  for (const length of head.edges) {
    for (let i = 0; i < length - 1; i++, segment++) {
      for (const end of [0, 1]) {
        edges.one[2 * segment + end] = one[point + i + end];
        edges.other[2 * segment + end] = other[point + i + end];
      }
      const crowded = bytes[at + segment];
      edges.crowded[segment] = crowded === UNBOUND ? 1e9 : crowded * CROWDED_UNIT;
    }
    point += length;
  }
  return { positions, normals, corners, edges };
}

function sum(lengths) { return lengths.reduce((a, b) => a + b, 0); }

function numbers(bytes, at, count, planes) {
  const found = new Uint32Array(count);
  for (let plane = 0; plane < planes; plane++) {
    const from = at + plane * count, shift = 8 * plane;
    for (let i = 0; i < count; i++) { found[i] |= bytes[from + i] << shift; }
  }
  return found;
}

function sums(bytes, at, count, planes) {
  const found = new Int32Array(count), codes = numbers(bytes, at, count, planes);
  for (let i = 0, total = 0; i < count; i++) {
    const code = codes[i];
    total += code & 1 ? -((code + 1) >> 1) : code >> 1;
    found[i] = total;
  }
  return found;
}

function unfold(u, v, to, at) {
  let x = u, y = v;
  const z = 1 - Math.abs(u) - Math.abs(v);
  if (z < 0) {
    x = (1 - Math.abs(v)) * (u >= 0 ? 1 : -1);
    y = (1 - Math.abs(u)) * (v >= 0 ? 1 : -1);
  }
  const length = Math.hypot(x, y, z);
  to[at] = x / length; to[at + 1] = y / length; to[at + 2] = z / length;
}
