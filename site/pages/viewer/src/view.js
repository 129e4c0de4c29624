/* A view: the figure in its place on a page, with all that a reader does to it. */
import { Quaternion, Spherical, Vector3 } from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";
import { Figure, matrixOf } from "./figure.js";
import { Motion } from "./motion.js";
import { Panel } from "./panel.js";

const MARGIN = 1.1, NEAR = 0.16, TURN_KEY = Math.PI / 24, ZOOM_KEY = 1.25, LEAST_ZOOM = 0.4, MOST_ZOOM = 25, TAP_PX = 9, TAP_MS = 500;
const STRONG = ["moving", "focus"];

export class View {
  constructor(model, bytes, options) {
    this.model = model; this.options = options;
    this.hidden = new Set(); this.alone = null; this.picked = null; this.cut = null; this.share = 0; this.playing = false;
    this.panel = new Panel(this, model.words, options);
    this.figure = new Figure(this.panel.canvas, model, bytes);
    this.watch = new ResizeObserver(() => this.fit());
    this.watch.observe(this.panel.stage);
    this.panel.canvas.addEventListener("webglcontextlost", (e) => { e.preventDefault(); this.close(); });
    this.listen();
  }

  /* ---- what is shown ---- */
  async open(id) {
    await this.figure.prepare(this.bodiesOf(this.step(id)));
    this.setStep(id);
  }

  step(id) { return this.model.steps.find((s) => s.id === id); }
  get number() { return this.model.steps.indexOf(this.at); }
  next(by) {
    const step = this.model.steps[this.number + by];
    return step && this.at && step.sequence === this.at.sequence ? step : null;
  }

  bodiesOf(step) { return [...step.parts.map((part) => this.nameOf(step, part)), ...step.tools.map((t) => "t" + t.tool)]; }
  nameOf(step, part) {
    const shape = step.shapes.find(([p]) => p === part);
    return "p" + part + (shape ? "/" + shape[1] : "");
  }

  setStep(id) {
    const step = this.step(id);
    if (!step) { throw new RangeError("no step " + id); }
    this.stop();
    this.at = step; this.motion = new Motion(this.model, step); this.share = this.motion.asDrawn;
    this.hidden.clear(); this.alone = null; this.picked = null; this.own = null;
    this.setCut(null);
    this.look();
    this.refresh();
    this.panel.told(step);
    if (this.options.onStep) { this.options.onStep(step.id, step); }
  }

  /* Parts of your own choice in place of a step: `shown` is a list of {part, role?, pose?}, see main.js. */
  setParts(shown) {
    const numbers = new Map(this.model.parts.map((part, n) => [part.id, n]));
    this.stop();
    this.own = shown.map(({ part: id, role, pose }) => {
      const part = numbers.get(id);
      if (part === undefined) { throw new RangeError("no part " + id); }
      return { name: "p" + part, part, role: role || "plain", matrix: matrixOf(pose || this.model.parts[part].pose) };
    });
    this.refresh();
  }

  refresh() {
    let shown = this.own;
    if (!shown) {
      const { parts, tools } = this.motion.at(this.share), step = this.at;
      shown = step.parts.map((part) => ({ name: this.nameOf(step, part), part, role: this.role(part), matrix: parts.get(part), zones: step.zones.filter((zone) => zone.part === part), whole: STRONG.includes(this.role(part)) && step.acts.length > 0 }));
      step.tools.forEach((tool, n) => shown.push({ name: "t" + tool.tool, tool: tool.tool, role: "tool", matrix: tools[n], whole: true }));
    }
    this.figure.showWays(!this.own && this.alone === null ? this.ways() : []);
    this.figure.show(shown.filter((s) => this.seen(s)).map((s) => ({ ...s, picked: this.alone === null && s.name === this.picked })));
    this.panel.state();
  }

  /* The ways that parts have still to go, beside each part on the side that is up in its step's view. */
  ways() {
    const left = this.motion.left(this.share), away = new Vector3(...this.at.direction).normalize();
    const up = new Vector3(...this.at.up).addScaledVector(away, -away.dot(new Vector3(...this.at.up))).normalize();
    const found = new Map(), cell = 0.03 * this.model.extent;   /* what goes along one axis has one arrow */
    left.filter(({ part }) => !this.hidden.has(this.nameOf(this.at, part))).forEach(({ part, poses }) => {
      const body = this.figure.body(this.nameOf(this.at, part)), middle = body.middle();
      const points = poses.map((matrix) => middle.clone().applyMatrix4(matrix));
      const way = points[0].clone().sub(points[points.length - 1]).normalize();
      const beside = up.clone().addScaledVector(way, -up.dot(way));
      if (beside.length() < 0.3) { beside.crossVectors(away, up); }
      beside.normalize();
      const reach = body.reach(poses[0], beside) + 0.02 * this.model.extent, to = points[points.length - 1];
      const axis = to.clone().addScaledVector(way, -to.dot(way)).divideScalar(cell).round().toArray().join();
      if (!found.has(axis) || found.get(axis).reach < reach) { found.set(axis, { reach, points: points.map((point) => point.addScaledVector(beside, reach)) }); }
    });
    return [...found.values()].map(({ points }) => points);
  }

  seen({ name, part, tool }) {
    if (this.alone !== null) { return name === this.alone; }
    return !this.hidden.has(part === undefined ? "t" + tool : name);
  }

  role(part) {
    const step = this.at;
    if (this.alone !== null) { return step.moving.includes(part) ? "moving" : "plain"; }
    if (step.moving.includes(part)) { return "moving"; }
    if (step.focus.includes(part)) { return "focus"; }
    return step.quiet.includes(part) ? "quiet" : "context";
  }

  /* ---- the eye ---- */
  look(same) {
    const step = this.at || {}, camera = this.figure.camera, extent = this.model.extent;
    const away = same ? camera.position.clone().sub(this.controls.target) : step.direction ? new Vector3(...step.direction) : this.natural();
    away.normalize();
    if (!same) { camera.up.fromArray(step.up || this.model.up); }
    this.picture = this.frame(away, camera.up);
    camera.zoom = 1;
    camera.near = 0.1; camera.far = 20 * extent;
    if (this.controls) { this.controls.dispose(); }
    camera.position.copy(this.picture.centre).addScaledVector(away, 10 * extent);
    this.controls = new OrbitControls(camera, this.panel.canvas);
    Object.assign(this.controls, { enableDamping: false, zoomToCursor: true, minZoom: LEAST_ZOOM, maxZoom: MOST_ZOOM, rotateSpeed: 0.9, zoomSpeed: 1.6 });
    this.controls.target.copy(this.picture.centre);
    this.controls.update();
    this.controls.addEventListener("change", () => this.figure.invalidate());
    this.fit();
  }

  /* From the front right, from above: where pictures mostly look from. */
  natural() {
    const up = new Vector3(...this.model.up), front = new Vector3(...this.model.front), right = new Vector3().crossVectors(up, front);
    return front.multiplyScalar(0.61).addScaledVector(right, 0.68).addScaledVector(up, 0.41);
  }

  /* The frame that holds all of the step's parts wherever they are on their way, and tools near to where they touch. */
  frame(away, up) {
    const right = new Vector3().crossVectors(up, away).normalize(), over = new Vector3().crossVectors(away, right);
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    const shares = this.own || this.alone !== null ? [this.share] : [0, this.motion.actsEnd, 1], now = this.share;
    for (const share of shares) {
      this.share = share; this.refresh();
      const box = this.figure.extent([right, over, away], NEAR * this.model.extent);
      for (let k = 0; k < 3; k++) { low[k] = Math.min(low[k], box.low[k]); high[k] = Math.max(high[k], box.high[k]); }
    }
    this.share = now;
    const centre = new Vector3();
    [right, over, away].forEach((d, k) => centre.addScaledVector(d, (low[k] + high[k]) / 2));
    return { centre, height: (high[1] - low[1]) * MARGIN, width: (high[0] - low[0]) * MARGIN };
  }

  fit() {
    const { clientWidth: width, clientHeight: height } = this.panel.stage;
    if (!width || !height || !this.picture) { return; }
    const camera = this.figure.camera, tall = Math.max(this.picture.height, this.picture.width * height / width) / 2;
    camera.top = tall; camera.bottom = -tall; camera.right = tall * width / height; camera.left = -camera.right;
    camera.updateProjectionMatrix();
    this.figure.resize(width, height, Math.min(window.devicePixelRatio || 1, 2));
    this.figure.hatchMm = 2 * tall / 48;
  }

  turn(right, up) {
    const camera = this.figure.camera, target = this.controls.target;
    const level = new Quaternion().setFromUnitVectors(camera.up.clone().normalize(), new Vector3(0, 1, 0));
    const at = new Spherical().setFromVector3(camera.position.clone().sub(target).applyQuaternion(level));
    at.theta -= right; at.phi -= up;
    at.makeSafe();
    camera.position.copy(new Vector3().setFromSpherical(at).applyQuaternion(level.invert()).add(target));
    this.controls.update();
  }

  zoom(by) {
    const camera = this.figure.camera;
    camera.zoom = Math.min(MOST_ZOOM, Math.max(LEAST_ZOOM, camera.zoom * by));
    camera.updateProjectionMatrix();
    this.controls.update();
    this.figure.invalidate();
  }

  reset() {
    this.stop();
    this.hidden.clear(); this.alone = null; this.picked = null; this.setCut(null);
    if (this.motion) { this.share = this.motion.asDrawn; }
    this.panel.named(null);
    this.look(); this.refresh();
  }

  /* ---- what a reader does ---- */
  tap(x, y) {
    const box = this.panel.canvas.getBoundingClientRect();
    const found = this.figure.pick((x - box.left) / box.width * 2 - 1, 1 - (y - box.top) / box.height * 2);
    this.select(found ? found.name : null);
  }

  select(name) {
    this.picked = name;
    this.refresh();
    this.panel.named(this.told(name));
    const told = this.told(name);
    if (this.options.onTap) { this.options.onTap(told && told.id ? told.id : null, told); }
  }

  told(name) {
    if (!name) { return null; }
    const number = parseInt(name.slice(1), 10);
    return name[0] === "t" ? this.model.tools[number] : this.model.parts[number];
  }

  takeAway() { if (this.picked) { this.hidden.add(this.picked); this.alone = null; this.select(null); } }
  onlyThis() { if (this.picked) { this.stop(); this.alone = this.picked; this.look(true); this.refresh(); } }
  showAll() {
    const was = this.alone;
    this.hidden.clear(); this.alone = null;
    if (was !== null) { this.look(true); }
    this.refresh();
  }

  /* `cut` is {way, share, other}: square to "side", "above" or "front", at a share of what is shown, the other half. */
  setCut(cut) {
    if (!cut) { this.cut = null; this.figure.setCut(null); this.panel.state(); return; }
    const before = this.cut, up = new Vector3(...this.model.up), front = new Vector3(...this.model.front);
    const normal = { above: up.clone(), front: front.clone(), side: new Vector3().crossVectors(up, front) }[cut.way];
    const towards = this.figure.camera.position.clone().sub(this.controls.target);
    let sign = before && before.way === cut.way ? before.sign : Math.sign(normal.dot(towards)) || 1;
    if (cut.other) { sign = -sign; }
    this.figure.setCut(null);
    const { low, high } = this.figure.extent([normal]);
    const room = high[0] - low[0] || 1;
    let share = cut.share;
    if (share === undefined) { share = (this.shaft(normal, (low[0] + high[0]) / 2, sign) - low[0]) / room; }
    share = Math.min(1, Math.max(0, share));
    this.cut = { way: cut.way, share, sign };
    this.figure.setCut(normal.multiplyScalar(sign), sign * (low[0] + share * room));
    this.panel.state();
  }

  /* A plane through a shaft tells most; of two, that nearer to the eye. */
  shaft(normal, middle, sign) {
    const across = this.model.groups.filter((g) => Math.abs(new Vector3(...g.axis).normalize().dot(normal)) < 0.1);
    const found = across.map((g) => new Vector3(...g.about).dot(normal));
    return found.length ? (sign > 0 ? Math.max(...found) : Math.min(...found)) : middle;
  }

  scrub(share) { this.stop(); this.share = share; this.refresh(); }

  play() {
    if (this.playing) { this.stop(); return; }
    if (!this.motion || !this.motion.seconds) { return; }
    if (this.share >= 0.999) { this.share = 0; }
    this.playing = true;
    let before = performance.now();
    const move = (now) => {
      if (!this.playing) { return; }
      this.share = Math.min(1, this.share + (now - before) / 1000 / this.motion.seconds);
      before = now;
      if (this.share >= 1) { this.playing = false; }
      this.refresh();
      if (this.playing) { requestAnimationFrame(move); }
    };
    this.panel.state();
    requestAnimationFrame((now) => { before = now; move(now); });
  }

  stop() { if (this.playing) { this.playing = false; this.panel.state(); } }

  async go(by) {
    const step = this.next(by);
    if (!step || this.busy) { return; }
    this.busy = true;
    await this.figure.prepare(this.bodiesOf(step));
    this.busy = false;
    this.setStep(step.id);
  }

  listen() {
    const { canvas, root } = this.panel;
    let down = null;
    canvas.addEventListener("pointerdown", (e) => { down = e.isPrimary ? { x: e.clientX, y: e.clientY, at: performance.now() } : null; });
    canvas.addEventListener("pointermove", (e) => { if (down && Math.hypot(e.clientX - down.x, e.clientY - down.y) > TAP_PX) { down = null; } });
    canvas.addEventListener("pointerup", (e) => {
      if (down && e.button === 0 && performance.now() - down.at < TAP_MS) { this.tap(e.clientX, e.clientY); }
      down = null;
    });
    root.addEventListener("keydown", (e) => this.key(e));
  }

  key(e) {
    if (e.altKey || e.ctrlKey || e.metaKey) { return; }
    const at = e.target.tagName, chooses = at === "SELECT" || at === "INPUT";
    const acts = {
      ArrowLeft: () => this.turn(-TURN_KEY, 0), ArrowRight: () => this.turn(TURN_KEY, 0),
      ArrowUp: () => this.turn(0, TURN_KEY), ArrowDown: () => this.turn(0, -TURN_KEY),
      "+": () => this.zoom(ZOOM_KEY), "=": () => this.zoom(ZOOM_KEY), "-": () => this.zoom(1 / ZOOM_KEY),
      " ": () => this.play(), Escape: () => this.panel.escape(),
    };
    const act = acts[e.key];
    if (!act || (chooses && e.key !== "Escape") || (at === "BUTTON" && e.key === " ") || (at === "A" && e.key === " ")) {
      if (chooses) { e.stopPropagation(); }
      return;
    }
    act();
    e.preventDefault();
    e.stopPropagation();
  }

  close() {
    if (this.gone) { return; }
    this.gone = true;
    this.stop();
    this.watch.disconnect();
    if (this.controls) { this.controls.dispose(); }
    this.figure.dispose();
    this.panel.close();
    if (window.benchleafViewer.view === this) { window.benchleafViewer.view = null; }
    if (this.options.onClose) { this.options.onClose(this); }
  }
}
