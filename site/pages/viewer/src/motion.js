/* A step in motion: where each part and tool is after a share of its time; the order is that of StepMotion in
   render/pictures/viewer/step_motion.py. */
import { Matrix4, Quaternion, Vector3 } from "three";
import { matrixOf } from "./figure.js";

const ACT_S = 1.7, PULL_S = 1.3, MOST_ACTS_S = 6, TURN_S = 2.2;
const ONE = new Vector3(1, 1, 1);

export class Motion {
  constructor(model, step) {
    this.model = model; this.step = step;
    const each = Math.min(ACT_S, MOST_ACTS_S / Math.max(step.acts.length, 1));
    const pulled = step.tools.some((tool) => tool.swing || tool.push.some((x) => x));
    const acts = step.acts.map((act, number) => ({ kind: "act", number, seconds: each }));
    const pull = pulled ? [{ kind: "pull", seconds: PULL_S }] : [];
    const turn = step.turn ? [{ kind: "turn", seconds: TURN_S * Math.max(0.6, Math.min(2, Math.abs(step.turn) / 180)) }] : [];
    this.stages = [...(step.into ? acts : pull), ...(step.into ? pull : acts), ...turn];
    this.seconds = this.stages.reduce((sum, stage) => sum + stage.seconds, 0);
    this.still = new Map(step.parts.map((part) => [part, matrixOf(model.parts[part].pose)]));
    step.poses.forEach(([part, pose]) => this.still.set(part, matrixOf(pose)));
  }

  /* Where the picture shows the step: parts drawn out. */
  get asDrawn() { return this.step.into ? 0 : this.actsEnd; }

  get actsEnd() {
    const acts = this.stages.filter((s) => s.kind !== "turn").reduce((sum, s) => sum + s.seconds, 0);
    return this.seconds ? acts / this.seconds : 0;
  }

  /* The rest of each travel after `share` of the time, as places from where the part is to where it ends; while parts
     leave, as long as they stand where the picture shows them, the way that they have come. */
  left(share) {
    const { parts } = this.at(share), done = this.actShares(share);
    return this.step.acts.flatMap((tracks, number) => tracks.map((track) => {
      const whole = !this.step.into && share >= this.asDrawn, at = whole ? 0 : done[number];
      const later = track.shares.map((s, n) => [s, track.poses[n]]).filter(([s]) => s > at + 1e-6).map(([, pose]) => matrixOf(pose));
      return { part: track.part, poses: [whole ? matrixOf(track.poses[0]) : parts.get(track.part), ...later] };
    })).filter(({ poses }) => poses.length > 1);
  }

  actShares(share) {
    const found = [];
    let left = share * this.seconds;
    for (const stage of this.stages) {
      if (stage.kind === "act") { found[stage.number] = ease(Math.min(1, Math.max(0, left / stage.seconds))); }
      left -= stage.seconds;
    }
    return found;
  }

  /* Parts (number to matrix) and tools (in the step's order) after `share` of the time. */
  at(share) {
    const parts = new Map(this.still), shares = { act: [], pull: 0, turn: 0 };
    let left = share * this.seconds;
    for (const stage of this.stages) {
      const done = ease(Math.min(1, Math.max(0, left / stage.seconds)));
      if (stage.kind === "act") { shares.act[stage.number] = done; } else { shares[stage.kind] = done; }
      left -= stage.seconds;
    }
    const drawn = new Map();
    this.step.acts.forEach((tracks, number) => tracks.forEach((track) => {
      parts.set(track.part, along(track, shares.act[number]));
      drawn.set(track.part, along(track, this.step.into ? 0 : 1));
    }));
    if (this.step.turn) {
      for (const group of this.model.groups) {
        const turned = about(group, shares.turn * this.step.turn * group.ratio);
        group.parts.forEach((part) => { if (parts.has(part) && !(drawn.has(part) && !this.step.into)) { parts.get(part).premultiply(turned); } });
      }
    }
    const tools = this.step.tools.map((tool) => {
      const matrix = matrixOf(tool.pose), pulled = shares.pull;
      const carried = new Vector3();
      if (drawn.has(tool.part)) {
        const contact = new Vector3().setFromMatrixPosition(matrix);
        const own = contact.clone().applyMatrix4(drawn.get(tool.part).clone().invert());
        carried.copy(own.applyMatrix4(parts.get(tool.part)).sub(contact));
      }
      const swing = new Matrix4().makeRotationZ(pulled * tool.swing * Math.PI / 180);
      matrix.multiply(swing);
      const at = new Vector3().setFromMatrixPosition(matrix).add(carried).addScaledVector(new Vector3(...tool.push), pulled);
      return matrix.setPosition(at);
    });
    return { parts, tools };
  }
}

export function about(group, degrees) {
  const axis = new Vector3(...group.axis).normalize(), to = new Vector3(...group.about);
  const turn = new Matrix4().makeRotationAxis(axis, degrees * Math.PI / 180);
  return new Matrix4().makeTranslation(to.x, to.y, to.z).multiply(turn).multiply(new Matrix4().makeTranslation(-to.x, -to.y, -to.z));
}

function along(track, share) {
  const { shares, poses } = track;
  let n = 1;
  while (n < shares.length - 1 && share > shares[n]) { n++; }
  const from = poses[n - 1], to = poses[n];
  const part = to ? Math.min(1, Math.max(0, (share - shares[n - 1]) / (shares[n] - shares[n - 1]))) : 0;
  if (!to) { return matrixOf(from); }
  const at = new Vector3(from[0], from[1], from[2]).lerp(new Vector3(to[0], to[1], to[2]), part);
  const turn = new Quaternion(...from.slice(3)).slerp(new Quaternion(...to.slice(3)), part);
  return new Matrix4().compose(at, turn, ONE);
}

function ease(share) { return share * share * (3 - 2 * share); }
