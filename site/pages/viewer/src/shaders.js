/* How things are drawn: the pictures' own light on surfaces (render/engine/light.py), lines as flat ribbons square to
   the eye (render/engine/line_work.py), hatching on cut faces. The projection is parallel. */
import { AlwaysDepth, BackSide, DecrementWrapStencilOp, DoubleSide, FrontSide, GLSL3, IncrementWrapStencilOp,
  NotEqualStencilFunc, ShaderMaterial, Vector2, Vector3, Vector4, ZeroStencilOp } from "three";

/* What all materials of one view share. */
export function sharedUniforms(lights) {
  const towards = lights.map(([x, y, z]) => new Vector3(x, y, z).normalize());
  return {
    pixels: { value: new Vector2(1, 1) },
    plane: { value: new Vector4(0, 0, 1, 1e9) },
    towards: { value: towards },
    strength: { value: lights.map((light) => light[3]) },
    raise: { value: 0 },
  };
}

const CUT = `
uniform vec4 plane;
uniform float cuts;
in float above;
`;
const ABOVE = `
uniform vec4 plane;
out float above;
float height(vec3 own) { return dot((modelMatrix * vec4(own, 1.0)).xyz, plane.xyz) - plane.w; }
`;
const LEAVE = "if (cuts > 0.5 && above > 0.0) discard;";

/* So many painted surfaces a part may have at once. */
export const MOST_ZONES = 6;

/* Zones: bounds, patterns and how they lie on a surface are those of render/acts/zone_patterns.py. */
const ZONES = `
uniform int zones; uniform mat3 zoneAxes[${MOST_ZONES}]; uniform vec3 zoneOrigin[${MOST_ZONES}];
uniform vec4 zoneBounds[${MOST_ZONES}], zoneForm[${MOST_ZONES}], zoneKind[${MOST_ZONES}];
uniform vec3 zoneGround[${MOST_ZONES}], zoneInk[${MOST_ZONES}];
in vec3 own, ownFacing;
float apart(float x) { return abs(x - floor(x + 0.5)); }
bool lined(int treatment, vec2 p) {
  float u = p.x, v = p.y;
  if (treatment == 0) return fract((u + v) * 0.70711) < 0.4;
  if (treatment == 1) { float row = floor(v / 0.8 + 0.5); return length(vec2(apart(u - 0.5 * mod(row, 2.0)), v - 0.8 * row)) < 0.27; }
  if (treatment == 2) return fract((u + v) * 0.70711) < 0.22 || fract((u - v) * 0.70711) < 0.22;
  if (treatment == 3) {
    float row = floor(v / 0.9 + 0.5), away = length(vec2(apart(u - 0.5 * mod(row, 2.0)), v - 0.9 * row));
    return away > 0.2 && away < 0.38;
  }
  if (treatment == 4) return fract(u) < 0.2 + (apart(v / 4.0) < 0.12 ? 0.25 : 0.0);
  return fract(v + 2.0 * apart(u / 2.0)) < 0.36;
}
vec3 painted(vec3 under) {
  for (int i = 0; i < ${MOST_ZONES}; i++) {
    if (i >= zones) break;
    vec3 p = (own - zoneOrigin[i]) * zoneAxes[i];   /* its axes are the columns */
    float drawn = zoneForm[i].y, straight = clamp(p.x, -drawn, drawn), x = p.x - straight;
    float away = length(vec2(x, p.y));
    vec4 bounds = zoneBounds[i];
    int unrolled = int(zoneForm[i].z);
    vec2 at = vec2(p.x * 0.8 + p.y * 0.6, p.z);
    if (unrolled == 0) at = p.xy + 0.5 * p.z;
    if (unrolled == 2) at = p.xy;
    if (unrolled == 3) at = vec2(atan(p.y, x) * zoneKind[i].y - sign(p.y) * straight, p.z);
    at /= zoneForm[i].w;
    vec2 right = dFdx(at), down = dFdy(at);
    if (max(length(right), length(down)) > 2.0) { right = vec2(0.0); down = vec2(0.0); }
    if (away < bounds.x || away > bounds.y || p.z < bounds.z || p.z > bounds.w) continue;
    if (abs(atan(p.y, x)) > zoneForm[i].x) continue;
    if (zoneKind[i].w > 0.5 && dot(ownFacing, zoneAxes[i][2]) <= 0.3) continue;
    float line = 0.0;
    for (int k = 0; k < 4; k++) line += lined(int(zoneKind[i].x), at + right * (float(k & 1) * 0.5 - 0.25) + down * (float(k >> 1) * 0.5 - 0.25)) ? 0.25 : 0.0;
    if (zoneKind[i].z > 0.5) return mix(under, zoneGround[i], line);
    return mix(zoneGround[i], zoneInk[i], line) * min(0.62 + 0.44 * under.g, 1.0);
  }
  return under;
}
`;

export function surfaceMaterial(shared, own) {
  return new ShaderMaterial({
    glslVersion: GLSL3, side: FrontSide, uniforms: { ...shared, ...own },
    vertexShader: `${ABOVE}
      out vec3 facing, own, ownFacing;
      void main() {
        own = position; ownFacing = normal;
        facing = normalMatrix * normal;
        above = height(position);
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: `${CUT}${ZONES}
      uniform vec3 colour; uniform vec4 phong; uniform vec3 towards[3]; uniform float strength[3];
      in vec3 facing; out vec4 drawn;
      void main() {
        ${LEAVE}
        vec3 n = normalize(facing);
        float light = phong.x, shine = 0.0;
        for (int i = 0; i < 3; i++) {
          float lit = dot(n, towards[i]);
          light += phong.y * strength[i] * max(lit, 0.0);
          if (lit > 0.0) shine += strength[i] * pow(max(2.0 * lit * n.z - towards[i].z, 0.0), phong.w);
        }
        drawn = vec4(painted(min(colour * light + phong.z * shine, 1.0)), 1.0);
      }`,
  });
}

const RIBBON = `
uniform vec2 pixels; uniform float raise;
in vec2 corner;
out float faint;
void nowhere() { gl_Position = vec4(2.0, 2.0, 2.0, 1.0); above = 0.0; faint = 0.0; }
void ribbon(vec3 a, vec3 b, float wide) {
  vec4 from = projectionMatrix * modelViewMatrix * vec4(a, 1.0), to = projectionMatrix * modelViewMatrix * vec4(b, 1.0);
  vec2 way = (to.xy - from.xy) * pixels * 0.5;
  float len = length(way);
  if (len < 1e-3) { nowhere(); return; }
  vec2 along = way / len, across = vec2(-along.y, along.x);
  faint = min(wide, 1.0);
  float drawn = max(wide, 1.0), beyond = min(drawn * 0.5, len * 0.5);
  vec4 at = mix(from, to, corner.x);
  vec2 out2 = along * (corner.x * 2.0 - 1.0) * beyond + across * corner.y * drawn * 0.5;
  above = height(mix(a, b, corner.x));
  gl_Position = vec4(at.xy + out2 * 2.0 / pixels, at.z - raise * (1.0 + 0.5 * wide), at.w);
}
vec3 eye() { return vec3(modelViewMatrix[0][2], modelViewMatrix[1][2], modelViewMatrix[2][2]); }
`;
const INK = `${CUT}
uniform vec3 ink;
in float faint;
out vec4 drawn;
void main() { ${LEAVE} drawn = vec4(ink, faint); }`;

function lineMaterial(uniforms, vertexShader) {
  return new ShaderMaterial({
    glslVersion: GLSL3, side: DoubleSide, uniforms, vertexShader, fragmentShader: INK, transparent: true, depthWrite: false,
  });
}

/* True edges; where one of both faces looks to the eye and the other away they are outline. */
export function edgeMaterial(shared, own) {
  return lineMaterial({ ...shared, ...own }, `${ABOVE}${RIBBON}
    uniform float edge, outline, crowding;
    in vec3 a, b, one, other; in float crowded;
    void main() {
      vec3 to = eye();
      bool outer = dot(one, to) * dot(other, to) < 0.0;
      float room = crowded * crowding, wide = outer ? min(outline, 2.0 * room) : min(edge, room);
      if (wide <= 0.0) { nowhere(); return; }
      ribbon(a, b, wide);
    }`);
}

/* Where a triangle's normals turn away from the eye, or where the plane cuts it. */
export function contourMaterial(shared, own, ofPlane) {
  const value = ofPlane ? "vec3(height(a), height(b), height(c))" : "vec3(dot(na, eye()), dot(nb, eye()), dot(nc, eye()))";
  const bias = ofPlane ? "above = -1.0;" : "";
  return lineMaterial({ ...shared, ...own }, `${ABOVE}${RIBBON}
    uniform float outline;
    in vec3 a, b, c, na, nb, nc;
    void main() {
      vec3 f = ${value};
      bvec3 over = greaterThan(f, vec3(0.0));
      if (all(over) || !any(over) || max(abs(f.x), max(abs(f.y), abs(f.z))) < 1e-6) { nowhere(); return; }
      vec3 p = a, q = b, r = c; vec3 g = f;
      if (over.y != over.x && over.y != over.z) { p = b; q = c; r = a; g = f.yzx; }
      else if (over.z != over.x && over.z != over.y) { p = c; q = a; r = b; g = f.zxy; }
      ribbon(mix(p, q, g.x / (g.x - g.y)), mix(p, r, g.x / (g.x - g.z)), outline);
      ${bias}
    }`);
}

/* Counts, in the stencil, what of a closed part the plane goes through: back faces behind it less front faces. */
export function countMaterial(shared, own, back) {
  const count = back ? IncrementWrapStencilOp : DecrementWrapStencilOp;
  return new ShaderMaterial({
    glslVersion: GLSL3, side: back ? BackSide : FrontSide, uniforms: { ...shared, ...own },
    vertexShader: `${ABOVE}
      void main() { above = height(position); gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`,
    fragmentShader: `${CUT} out vec4 drawn; void main() { ${LEAVE} drawn = vec4(0.0); }`,
    colorWrite: false, depthWrite: false, depthTest: false, depthFunc: AlwaysDepth,
    stencilWrite: true, stencilFail: count, stencilZFail: count, stencilZPass: count,
  });
}

/* The cut face of a part, hatched; it clears what was counted. */
export function capMaterial(shared, own) {
  return new ShaderMaterial({
    glslVersion: GLSL3, side: DoubleSide, uniforms: { ...shared, ...own },
    vertexShader: `out vec2 at;
      void main() { at = position.xy; gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`,
    fragmentShader: `
      uniform vec3 face, ink; uniform vec2 first, second; uniform float spacing, wide;
      in vec2 at; out vec4 drawn;
      float line(vec2 across) {
        float t = dot(at, across) / spacing, from = abs(fract(t) - 0.5) * spacing;
        float soft = fwidth(t) * spacing * 0.75;
        return 1.0 - smoothstep(wide * 0.5 - soft * 0.5, wide * 0.5 + soft * 0.5, 0.5 * spacing - from);
      }
      void main() {
        float hatch = line(first);
        if (second != vec2(0.0)) hatch = max(hatch, line(second));
        drawn = vec4(mix(face, ink, hatch), 1.0);
      }`,
    stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
    stencilFail: ZeroStencilOp, stencilZFail: ZeroStencilOp, stencilZPass: ZeroStencilOp,
  });
}
