// The cut: a plane, the half before it taken away, what it cuts through filled and hatched.
import { AlwaysStencilFunc, BackSide, Color, DecrementWrapStencilOp, DoubleSide, FrontSide, IncrementWrapStencilOp, LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, NotEqualStencilFunc, PlaneGeometry, ReplaceStencilOp, ShaderMaterial, Vector3 } from "three";
import { box, dot, plus, section, times } from "./geometry.js";
import { ink } from "./look.js";
import { lines } from "./shapes.js";

const WIDE = 4000, LIFT = 0.02; // mm: the filled face, and how far its outline stands before it
const WITHIN = 0.004; // mm that a cut lies within what is left, so that one along a face shows the face
const FILL = `
  uniform vec3 base; uniform vec3 line; uniform vec2 way; uniform float period; uniform float scale;
  void main() {
    float at = dot(gl_FragCoord.xy / scale, way) / period;
    float off = abs(fract(at) - 0.5) * period;
    gl_FragColor = vec4(mix(line, base, smoothstep(0.5, 1.5, off)), 1.0);
  }`;
const PLACE = "void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }";

// The ways to cut: where the plane's zero lies, which way counts up, and from which side one looks at it.
export function ways(data) {
  const found = [
    { key: "place", label: "cut through the place", along: [0, 1, 0], zero: [0, 0, 0], side: 1 },
    { key: "x", label: "cut across x, left to right", along: [1, 0, 0], zero: [0, 0, 0], side: 1 },
    { key: "y", label: "cut across y, bottom to top", along: [0, 1, 0], zero: [0, 0, 0], side: -1 },
    { key: "z", label: "cut across z, along the face", along: [0, 0, 1], zero: [0, 0, 0], side: 1 },
    { key: "axis", label: "cut across the speaker's axis", along: data.axis.along, zero: data.axis.at, side: 1 },
    { key: "none", label: "cut nothing", along: [0, 0, 1], zero: [0, 0, 0], side: 1 },
  ];
  const upright = data.axis.along[2] > 1 - 1e-9;
  return found.filter((way) => !(way.key === "axis" && upright) && !(way.key === "place" && data.tight.length === 0));
}

export function makeCut(stage) {
  const cut = { stage, way: null, depth: 0, normal: [0, 0, 1], offset: Infinity, outlines: [] };
  stage.things.forEach((thing, number) => cut.outlines.push(capOf(stage, thing, number)));
  return cut;
}

// Cuts `depth` mm up a way's zero; the half towards `side` of the plane is taken away.
export function setCut(cut, way, depth, side = way.side) {
  Object.assign(cut, { way, depth, side, normal: times(way.along, side) });
  cut.offset = way.key === "none" ? Infinity : dot(cut.normal, plus(way.zero, times(way.along, depth))) - WITHIN;
  const { knife } = cut.stage;
  knife.normal.set(...times(cut.normal, -1));
  knife.constant = Math.min(cut.offset, 1e6);
  cut.outlines.forEach((one) => placeCap(cut, one));
  cut.stage.draw();
}

export const keeps = (cut, p) => dot(cut.normal, p) <= cut.offset + 1e-6;

// How deep a way can cut: from where the part and what it carries begin, to where they end.
export function range(stage, way) {
  const [low, high] = box(stage.things.filter(({ key }) => ["mount", "speaker"].includes(key)).flatMap(({ shapes }) => shapes));
  const middle = dot(times(plus(low, high), 0.5), way.along) - dot(way.zero, way.along);
  const reach = [0, 1, 2].reduce((sum, i) => sum + (Math.abs(way.along[i]) * (high[i] - low[i])) / 2, 0);
  return [Math.floor(middle - reach - 2), Math.ceil(middle + reach + 2)];
}

function capOf(stage, thing, number) {
  const order = 10 * (number + 1), [angle, period] = thing.look.hatch, counts = [];
  for (const [side, step] of [[BackSide, IncrementWrapStencilOp], [FrontSide, DecrementWrapStencilOp]]) {
    const count = new MeshBasicMaterial({
      side, colorWrite: false, depthWrite: false, depthTest: false, clippingPlanes: [stage.knife], stencilWrite: true,
      stencilFunc: AlwaysStencilFunc, stencilFail: step, stencilZFail: step, stencilZPass: step,
    });
    for (const shape of thing.shapes) {
      const mesh = new Mesh(shape.surface, count);
      mesh.renderOrder = order;
      counts.push(mesh);
    }
  }
  const base = new Color().setStyle(thing.look.colour, ""), white = new Color().setStyle("#ffffff", "");
  const turn = (angle * Math.PI) / 180;
  const fill = new ShaderMaterial({
    vertexShader: PLACE, fragmentShader: FILL, side: DoubleSide, stencilWrite: true, stencilRef: 0,
    stencilFunc: NotEqualStencilFunc, stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
    uniforms: {
      base: { value: base.clone().lerp(white, 0.35) }, line: { value: base.clone().multiplyScalar(0.45) },
      way: { value: { x: Math.cos(turn), y: Math.sin(turn), isVector2: true } }, period: { value: period },
      scale: { value: stage.renderer.getPixelRatio() },
    },
  });
  const cap = new Mesh(new PlaneGeometry(WIDE, WIDE), fill);
  cap.renderOrder = order + 1;
  cap.onAfterRender = (renderer) => renderer.clearStencil();
  const outline = new LineSegments(lines([]), new LineBasicMaterial({}));
  outline.renderOrder = order + 2;
  outline.frustumCulled = cap.frustumCulled = false;
  thing.group.add(...counts, cap, outline);
  return { thing, cap, outline, counts };
}

function placeCap(cut, { thing, cap, outline, counts }) {
  [cap, outline, ...counts].forEach((mesh) => (mesh.visible = cut.offset < Infinity));
  thing.sections = [];
  if (!cap.visible || !thing.group.visible) return;
  const at = times(cut.normal, cut.offset);
  cap.position.set(...at);
  cap.lookAt(new Vector3(...plus(at, cut.normal)));
  thing.sections = thing.shapes.map((shape) => section(shape, cut.normal, cut.offset));
  outline.geometry.dispose();
  outline.geometry = lines(thing.sections.flatMap((ends) => [...ends]));
  outline.position.set(...times(cut.normal, LIFT));
  outline.material.color.set(ink().cut);
}
