/* The figure: parts and tools of an assembly as surfaces, true edges, outlines and cut faces, in one view. */
import { BufferAttribute, BufferGeometry, Group, InstancedBufferAttribute, InstancedBufferGeometry,
  InstancedInterleavedBuffer, InterleavedBufferAttribute, LinearSRGBColorSpace, Matrix3, Matrix4, Mesh, OrthographicCamera,
  PlaneGeometry, Quaternion, Scene, Vector2, Vector3, Vector4, WebGLRenderer } from "three";
import { beginnings, readMesh } from "./decode.js";
import { MOST_ZONES, capMaterial, contourMaterial, countMaterial, edgeMaterial, sharedUniforms, surfaceMaterial } from "./shaders.js";

const PICTURE_WIDTH = 1600;         /* line widths are told for a picture so wide */
const LEAST_SCALE = 0.58;           /* thinner lines than these are lost on a screen */
const OUTLINE = 1.7, MOST_OUTLINE = 0.3, CROWDED = 0.22;   /* as in render/engine/actors.py */
const HATCH = 1 / 48;               /* common distance of hatch lines, as a share of the view's height at first */
const PALE = 0.55;                  /* a cut face is so much nearer to white than the part */
const PITCH = [11, 26], ZONE_LINES = 2.2;   /* as in render/acts/zone_patterns.py */
const DASH = 0.028, WAY = 5;   /* of arrows: a dash with its gap as a share of the extent, and the width */
const UNROLLED = ["whole", "wall", "flat", "round"], TREATMENTS = ["clean", "lubricate", "anti-seize", "look", "measure", "dress"];
const ZONE = ["zones", "zoneAxes", "zoneOrigin", "zoneBounds", "zoneForm", "zoneKind", "zoneGround", "zoneInk"];
const list = (make) => ({ value: Array.from({ length: MOST_ZONES }, make) });
const CORNERS = new Float32Array([0, -1, 0, 1, 1, 1, 1, -1]);

export class Figure {
  constructor(canvas, model, bytes) {
    this.model = model;
    this.bytes = bytes;
    this.begins = beginnings(model.meshes);
    this.geometries = new Map();
    this.renderer = new WebGLRenderer({ canvas, context: canvas.getContext("webgl2", { antialias: true, stencil: true, alpha: false }) });
    this.renderer.outputColorSpace = LinearSRGBColorSpace;
    this.renderer.setClearColor(0xffffff, 1);
    this.scene = new Scene();
    this.scene.matrixWorldAutoUpdate = true;
    this.camera = new OrthographicCamera();
    this.shared = sharedUniforms(model.lights);
    this.bodies = new Map();
    this.wayWide = { value: 1 };
    this.wayMaterial = edgeMaterial(this.shared, {
      ink: { value: new Vector3().fromArray(model.strong) }, cuts: { value: 0 }, edge: this.wayWide, outline: this.wayWide, crowding: { value: 1 },
    });
    this.cut = null;
    this.scale = 1;
    this.needed = false;
    this.onFrame = null;
  }

  /* Make what `names` (keys of the figure's bodies) need, a little at a time, so that the page stays quick. */
  async prepare(names) {
    let began = performance.now();
    for (const name of names) {
      this.body(name);
      if (performance.now() - began > 12) { await pause(); began = performance.now(); }
    }
  }

  geometry(mesh) {
    if (!this.geometries.has(mesh)) { this.geometries.set(mesh, geometries(readMesh(this.bytes, this.begins[mesh], this.model.meshes[mesh]))); }
    return this.geometries.get(mesh);
  }

  /* A body is a part in one shape, or a tool: "p3", "p3/27", "t0". */
  body(name) {
    let body = this.bodies.get(name);
    if (!body) {
      const tool = name[0] === "t", [number, mesh] = name.slice(1).split("/").map(Number);
      const of = tool ? this.model.tools[number] : this.model.parts[number];
      body = new Body(this, this.geometry(mesh === undefined ? of.mesh : mesh), of, tool);
      this.bodies.set(name, body);
      this.scene.add(body.group);
    }
    return body;
  }

  /* Show `shown`, a list of {name, role, pose, strong}; nothing else. */
  show(shown) {
    this.bodies.forEach((body) => body.hide());
    shown.forEach(({ name, role, matrix, picked, whole, zones }, number) => this.body(name).show(role, matrix, picked, whole, number, zones));
    this.shown = shown;
    this.invalidate();
  }

  /* Arrows along `ways`, lists of points: dashed, in the strong colour, as on the pictures. */
  showWays(ways) {
    const lines = [], extent = this.model.extent, dash = DASH * extent;
    for (const points of ways) {
      const length = points.slice(1).reduce((sum, p, n) => sum + p.distanceTo(points[n]), 0);
      if (length < 2 * dash) { continue; }
      let gone = 0;
      for (let n = 1; n < points.length; n++) {
        const from = points[n - 1], way = points[n].clone().sub(from), far = way.length();
        for (let t = Math.ceil(gone / dash) * dash - gone; t < far; t += dash) {
          const end = Math.min(far, t + 0.62 * dash);
          if (end > t) { lines.push(from.clone().addScaledVector(way, t / far), from.clone().addScaledVector(way, end / far)); }
        }
        gone += far;
      }
      const tip = points[points.length - 1], back = points[points.length - 2].clone().sub(tip).normalize();
      const side = new Vector3().crossVectors(back, this.camera.getWorldDirection(TOWARDS)).normalize();
      for (const s of [-1, 1]) { lines.push(tip.clone(), tip.clone().addScaledVector(back, 0.8 * dash).addScaledVector(side, 0.45 * s * dash)); }
    }
    if (this.ways) { this.scene.remove(this.ways); this.ways.geometry.dispose(); this.ways = null; }
    if (!lines.length) { return; }
    const data = new Float32Array(12 * lines.length / 2);
    for (let n = 0; n < lines.length; n += 2) { data.set([...lines[n].toArray(), ...lines[n + 1].toArray(), 0, 0, 1, 0, 0, 1], 6 * n); }
    this.ways = new Mesh(edgeGeometry(data, new Float32Array(lines.length / 2).fill(1e9)), this.wayMaterial);
    this.ways.frustumCulled = false;
    this.ways.renderOrder = 1;
    this.scene.add(this.ways);
  }

  /* The box of what is shown, lowest and highest along each direction; of tools what is near to where they touch. */
  extent(directions, near = 0) {
    const low = directions.map(() => Infinity), high = directions.map(() => -Infinity), corner = new Vector3();
    for (const { name, matrix, role } of this.shown) {
      const box = role === "tool" ? this.body(name).box.map((x) => Math.max(-near, Math.min(near, x))) : this.body(name).box;
      for (let i = 0; i < 8; i++) {
        corner.set(box[i & 1], box[2 + (i >> 1 & 1)], box[4 + (i >> 2 & 1)]).applyMatrix4(matrix);
        directions.forEach((d, k) => { const t = corner.dot(d); low[k] = Math.min(low[k], t); high[k] = Math.max(high[k], t); });
      }
    }
    return { low, high };
  }

  resize(width, height, ratio) {
    this.renderer.setPixelRatio(ratio);
    this.renderer.setSize(width, height, false);
    this.shared.pixels.value.set(width * ratio, height * ratio);
    this.scale = ratio * Math.min(1, Math.max(LEAST_SCALE, width / PICTURE_WIDTH));
    this.invalidate();
  }

  /* Cut by the plane of all points whose dot product with `normal` is `offset`: what lies beyond is left out. */
  setCut(normal, offset) {
    this.cut = normal ? { normal, offset } : null;
    this.shared.plane.value.set(...(normal ? normal.toArray() : [0, 0, 1]), normal ? offset : 1e9);
    this.invalidate();
  }

  invalidate() {
    if (!this.needed) {
      this.needed = true;
      requestAnimationFrame(() => { this.needed = false; this.draw(); });
    }
  }

  draw() {
    if (!this.shown || this.gone) { return; }
    const camera = this.camera, height = (camera.top - camera.bottom) / camera.zoom;
    const pixel = height / this.shared.pixels.value.y;
    this.shared.raise.value = pixel * 2 / (camera.far - camera.near);
    this.wayWide.value = WAY * this.scale;
    for (const { name } of this.shown) { this.body(name).fit(this.scale, pixel, this.model.cell, height, this.cut, camera); }
    this.renderer.render(this.scene, camera);
    if (this.onFrame) { this.onFrame(); }
  }

  /* The body that is seen at a point of the canvas (-1 to 1), by a ray through its triangles. */
  pick(x, y) {
    const camera = this.camera, from = new Vector3(x, y, -1).unproject(camera), way = new Vector3(x, y, 1).unproject(camera).sub(from);
    let nearest = Infinity, found = null;
    for (const shown of this.shown) {
      const back = new Matrix4().copy(shown.matrix).invert();
      const a = from.clone().applyMatrix4(back), d = way.clone().transformDirection(back).multiplyScalar(way.length());
      const clip = this.cut && !shown.whole ? this.cut : null;
      const t = this.body(shown.name).hit(a, d, nearest, clip && ((share) => from.clone().addScaledVector(way, share).dot(clip.normal) <= clip.offset));
      if (t < nearest) { nearest = t; found = shown; }
    }
    return found;
  }

  dispose() {
    this.gone = true;
    this.geometries.forEach((g) => [g.surface, g.edges, g.smooth, g.sections].forEach((x) => x.dispose()));
    this.renderer.dispose();
    const lose = this.renderer.getContext().getExtension("WEBGL_lose_context");   /* a browser holds few at a time */
    if (lose) { lose.loseContext(); }
  }
}

class Body {
  constructor(figure, geometry, of, tool) {
    this.figure = figure; this.of = of; this.tool = tool; this.box = geometry.box; this.geometry = geometry;
    this.thickness = Math.min(...[0, 2, 4].map((i) => geometry.box[i + 1] - geometry.box[i]));
    this.group = new Group();
    this.group.matrixAutoUpdate = false;
    const u = {
      colour: { value: new Vector3() }, phong: { value: new Vector4() }, ink: { value: new Vector3() }, cuts: { value: 0 },
      edge: { value: 1 }, outline: { value: 1 }, crowding: { value: 1 },
      face: { value: new Vector3() }, first: { value: new Vector2() }, second: { value: new Vector2() },
      spacing: { value: 1 }, wide: { value: 1 },
      zones: { value: 0 }, zoneAxes: list(() => new Matrix3()), zoneOrigin: list(() => new Vector3()), zoneBounds: list(() => new Vector4()),
      zoneForm: list(() => new Vector4()), zoneKind: list(() => new Vector4()), zoneGround: list(() => new Vector3()), zoneInk: list(() => new Vector3()),
    };
    this.uniforms = u;
    const shared = figure.shared;
    const own = (...names) => Object.fromEntries(names.map((name) => [name, u[name]]));
    this.surface = this.add(geometry.surface, surfaceMaterial(shared, own("colour", "phong", "cuts", ...ZONE)), 0);
    const lines = own("ink", "cuts", "edge", "outline", "crowding");
    this.add(geometry.edges, edgeMaterial(shared, lines), 0);
    this.add(geometry.smooth, contourMaterial(shared, lines, false), 0);
    this.section = null;
  }

  add(geometry, material, order) {
    const mesh = new Mesh(geometry, material);
    mesh.frustumCulled = false;
    mesh.renderOrder = order;
    this.group.add(mesh);
    return mesh;
  }

  /* What draws the cut face is made when a plane first goes through the part. */
  sections() {
    if (!this.section) {
      const u = this.uniforms, shared = this.figure.shared, g = this.geometry;
      const back = this.add(g.surface, countMaterial(shared, { cuts: u.cuts }, true), 0);
      const front = this.add(g.surface, countMaterial(shared, { cuts: u.cuts }, false), 0);
      const line = this.add(g.sections, contourMaterial(shared, { ink: u.ink, cuts: u.cuts, outline: u.outline }, true), 0);
      const cap = new Mesh(PLATE, capMaterial(shared, { face: u.face, ink: u.ink, first: u.first, second: u.second, spacing: u.spacing, wide: u.wide }));
      cap.frustumCulled = false; cap.matrixAutoUpdate = false;
      this.figure.scene.add(cap);
      this.section = { back, front, line, cap };
    }
    return this.section;
  }

  show(role, matrix, picked, whole, number, zones) {
    this.paint(zones || [], role === "moving");
    this.group.visible = true;
    this.group.matrix.copy(matrix);
    this.group.matrixWorldNeedsUpdate = true;
    this.whole = whole; this.number = number; this.picked = picked;
    const look = this.tool ? this.figure.model.looks.tool[""] : this.figure.model.looks[role][this.of.material];
    this.look = look;
    const u = this.uniforms;
    u.colour.value.fromArray(look, 0);
    u.phong.value.fromArray(look, 3);
    u.ink.value.fromArray(look, 9);
    u.face.value.fromArray(look, 0).lerp(WHITE, PALE);
  }

  paint(zones, moving) {
    const u = this.uniforms, tints = this.figure.model.tints;
    this.zones = zones.slice(0, MOST_ZONES);
    u.zones.value = this.zones.length;
    this.zones.forEach((zone, i) => {
      u.zoneAxes.value[i].fromArray(zone.axes.flat());   /* rows to columns */
      u.zoneOrigin.value[i].fromArray(zone.origin);
      u.zoneBounds.value[i].fromArray(zone.bounds);
      u.zoneForm.value[i].set(zone.half * Math.PI / 180 + 1e-4, zone.drawn, UNROLLED.indexOf(zone.unrolled), 1);
      u.zoneKind.value[i].set(TREATMENTS.indexOf(zone.treatment), zone.round, moving ? 1 : 0, zone.faced ? 1 : 0);
      u.zoneGround.value[i].fromArray(tints[zone.treatment], 0);
      u.zoneInk.value[i].fromArray(tints[zone.treatment], 3);
    });
  }

  fit(scale, pixel, cell, height, cut, camera) {
    this.zones.forEach((zone, i) => {
      this.uniforms.zoneForm.value[i].w = Math.min(Math.max(zone.narrow / ZONE_LINES, PITCH[0] * scale * pixel), PITCH[1] * scale * pixel);
    });
    const u = this.uniforms, most = MOST_OUTLINE * this.thickness / pixel;
    const outline = Math.min(OUTLINE * this.look[7] * scale * (this.picked ? 1.6 : 1), Math.max(most, 1));
    u.outline.value = outline;
    u.edge.value = Math.min(this.look[8] * scale, outline);
    u.crowding.value = CROWDED * cell / pixel;
    u.cuts.value = cut && !this.whole ? 1 : 0;
    const at = cut && !this.whole ? this.across(cut) : null;
    if (at || this.section) {
      const s = this.sections(), order = 10 + 2 * this.number;
      const facing = at && cut.normal.dot(camera.getWorldDirection(TOWARDS)) < 0;
      s.line.visible = Boolean(at) && this.group.visible;
      s.back.visible = s.front.visible = s.cap.visible = Boolean(facing) && this.group.visible;
      s.back.renderOrder = s.front.renderOrder = order;
      s.cap.renderOrder = order + 1;
      if (facing) { this.lay(s.cap, cut, height, pixel); }
    }
  }

  hide() {
    this.group.visible = false;
    if (this.section) { this.section.cap.visible = false; }
  }

  middle() { return new Vector3(...[0, 2, 4].map((i) => (this.box[i] + this.box[i + 1]) / 2)); }

  /* How far the part's box reaches from its middle along a direction, placed by a matrix. */
  reach(matrix, way) {
    const own = way.clone().transformDirection(new Matrix4().copy(matrix).invert());
    return Math.abs(own.x) * (this.box[1] - this.box[0]) / 2 + Math.abs(own.y) * (this.box[3] - this.box[2]) / 2 + Math.abs(own.z) * (this.box[5] - this.box[4]) / 2;
  }

  /* Whether the plane goes through the part's box. */
  across(cut) {
    const corner = new Vector3();
    let low = Infinity, high = -Infinity;
    for (let i = 0; i < 8; i++) {
      corner.set(this.box[i & 1], this.box[2 + (i >> 1 & 1)], this.box[4 + (i >> 2 & 1)]).applyMatrix4(this.group.matrix);
      const t = corner.dot(cut.normal);
      low = Math.min(low, t); high = Math.max(high, t);
    }
    return low < cut.offset && high > cut.offset;
  }

  lay(cap, cut, height, pixel) {
    const reach = 4 * this.figure.model.extent, middle = new Vector3().setFromMatrixPosition(this.group.matrix);
    middle.addScaledVector(cut.normal, cut.offset - middle.dot(cut.normal));
    const u = new Vector3(...this.figure.model.up), v = new Vector3();
    if (Math.abs(u.dot(cut.normal)) > 0.9) { u.fromArray(this.figure.model.front); }
    u.addScaledVector(cut.normal, -u.dot(cut.normal)).normalize();
    v.crossVectors(cut.normal, u);
    cap.matrix.makeBasis(v, u, cut.normal).setPosition(middle).scale(new Vector3(1, 1, 1));
    cap.matrixWorldNeedsUpdate = true;
    PLATE.userData.reach || sizePlate(reach);
    const un = this.uniforms, step = this.figure.hatchMm || (this.figure.hatchMm = height * HATCH);
    /* Lines lie on one raster of the plane, so that cut faces of one hatch line up. */
    un.spacing.value = this.of.gap * step;
    un.wide.value = 0.8 * this.look[8] * this.figure.scale * pixel;
    [un.first.value, un.second.value].forEach((way, i) => {
      const angle = this.of.hatch[i];
      way.set(angle === undefined ? 0 : -Math.sin(angle * Math.PI / 180), angle === undefined ? 0 : Math.cos(angle * Math.PI / 180));
    });
  }

  /* How far along the ray `a` + t `d` (own frame) the part is met first, below `nearest`. */
  hit(a, d, nearest, kept) {
    if (!meetsBox(a, d, this.box)) { return Infinity; }
    const { array: p } = this.geometry.surface.attributes.position, index = this.geometry.surface.index.array;
    let found = Infinity;
    for (let i = 0; i < index.length; i += 3) {
      const t = meets(a, d, p, 3 * index[i], 3 * index[i + 1], 3 * index[i + 2]);
      if (t < nearest && t < found && (!kept || kept(t))) { found = t; }
    }
    return found;
  }
}

const PLATE = new PlaneGeometry(2, 2);
const WHITE = new Vector3(1, 1, 1), TOWARDS = new Vector3();
function sizePlate(reach) { PLATE.scale(reach, reach, 1); PLATE.userData.reach = reach; }

export function matrixOf(pose) {
  return new Matrix4().compose(new Vector3(pose[0], pose[1], pose[2]), new Quaternion(pose[3], pose[4], pose[5], pose[6]), ONE);
}
const ONE = new Vector3(1, 1, 1);

function pause() { return new Promise((resume) => { setTimeout(resume, 0); }); }

function geometries({ positions, normals, corners, edges }) {
  const surface = new BufferGeometry();
  surface.setAttribute("position", new BufferAttribute(positions, 3));
  surface.setAttribute("normal", new BufferAttribute(normals, 3));
  surface.setIndex(new BufferAttribute(corners, 1));
  const box = [Infinity, -Infinity, Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const k = 2 * (i % 3);
    if (positions[i] < box[k]) { box[k] = positions[i]; }
    if (positions[i] > box[k + 1]) { box[k + 1] = positions[i]; }
  }
  /* Triangles on round faces first: only those can have an outline inside. */
  const count = corners.length / 3, order = [], flat = [];
  for (let t = 0; t < count; t++) {
    const [i, j, k] = [3 * corners[3 * t], 3 * corners[3 * t + 1], 3 * corners[3 * t + 2]];
    const even = same(normals, i, j) && same(normals, i, k);
    (even ? flat : order).push(t);
  }
  const round = order.length, data = new Float32Array(18 * count);
  order.concat(flat).forEach((t, n) => {
    for (let corner = 0; corner < 3; corner++) {
      const from = 3 * corners[3 * t + corner];
      for (let k = 0; k < 3; k++) {
        data[18 * n + 3 * corner + k] = positions[from + k];
        data[18 * n + 9 + 3 * corner + k] = normals[from + k];
      }
    }
  });
  const triangles = new InstancedInterleavedBuffer(data, 18, 1);
  const smooth = ribbons(round), sections = ribbons(count);
  for (const geometry of [smooth, sections]) {
    ["a", "b", "c", "na", "nb", "nc"].forEach((name, k) => geometry.setAttribute(name, new InterleavedBufferAttribute(triangles, 3, 3 * k)));
  }
  const lines = edges.crowded.length, line = new Float32Array(12 * lines);
  for (let s = 0; s < lines; s++) {
    for (let end = 0; end < 2; end++) {
      const one = 3 * edges.one[2 * s + end], other = 3 * edges.other[2 * s + end];
      for (let k = 0; k < 3; k++) {
        line[12 * s + 3 * end + k] = positions[one + k];
        line[12 * s + 6 + k] += normals[one + k] / 2;
        line[12 * s + 9 + k] += normals[other + k] / 2;
      }
    }
  }
  return { surface, smooth, sections, edges: edgeGeometry(line, edges.crowded), box };
}

/* Segments of edges: both ends and the normals of both faces (12 numbers each), and how crowded it is there. */
function edgeGeometry(line, crowded) {
  const segments = new InstancedInterleavedBuffer(line, 12, 1), edge = ribbons(crowded.length);
  ["a", "b", "one", "other"].forEach((name, k) => edge.setAttribute(name, new InterleavedBufferAttribute(segments, 3, 3 * k)));
  edge.setAttribute("crowded", new InstancedBufferAttribute(crowded, 1));
  return edge;
}

function ribbons(count) {
  const geometry = new InstancedBufferGeometry();
  geometry.setAttribute("corner", new BufferAttribute(CORNERS, 2));
  geometry.setIndex([0, 1, 2, 0, 2, 3]);
  geometry.instanceCount = count;
  return geometry;
}

function same(n, i, j) { return Math.abs(n[i] - n[j]) + Math.abs(n[i + 1] - n[j + 1]) + Math.abs(n[i + 2] - n[j + 2]) < 1e-4; }

function meetsBox(a, d, box) {
  let low = -Infinity, high = Infinity;
  for (let k = 0; k < 3; k++) {
    const from = a.getComponent(k), way = d.getComponent(k);
    if (Math.abs(way) < 1e-12) {
      if (from < box[2 * k] || from > box[2 * k + 1]) { return false; }
    } else {
      const s = (box[2 * k] - from) / way, t = (box[2 * k + 1] - from) / way;
      low = Math.max(low, Math.min(s, t)); high = Math.min(high, Math.max(s, t));
    }
  }
  return low <= high;
}

/* Möller and Trumbore: where the ray meets the triangle whose corners begin at i, j, k, else Infinity. */
function meets(a, d, p, i, j, k) {
  const ux = p[j] - p[i], uy = p[j + 1] - p[i + 1], uz = p[j + 2] - p[i + 2];
  const vx = p[k] - p[i], vy = p[k + 1] - p[i + 1], vz = p[k + 2] - p[i + 2];
  const hx = d.y * vz - d.z * vy, hy = d.z * vx - d.x * vz, hz = d.x * vy - d.y * vx;
  const det = ux * hx + uy * hy + uz * hz;
  if (Math.abs(det) < 1e-12) { return Infinity; }
  const sx = a.x - p[i], sy = a.y - p[i + 1], sz = a.z - p[i + 2], u = (sx * hx + sy * hy + sz * hz) / det;
  if (u < 0 || u > 1) { return Infinity; }
  const qx = sy * uz - sz * uy, qy = sz * ux - sx * uz, qz = sx * uy - sy * ux, v = (d.x * qx + d.y * qy + d.z * qz) / det;
  if (v < 0 || u + v > 1) { return Infinity; }
  return (vx * qx + vy * qy + vz * qz) / det;
}
