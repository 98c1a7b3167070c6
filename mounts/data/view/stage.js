// The picture: what is shown, drawn anew only when something changed.
import { Color, DirectionalLight, DoubleSide, Group, HemisphereLight, LineBasicMaterial, LineSegments, Mesh, MeshLambertMaterial, OrthographicCamera, Plane, Scene, Vector3, WebGLRenderer } from "three";
import { shaped } from "./shapes.js";
import { LOOKS, ink } from "./look.js";

const BEHIND = 1500; // mm that the eye stands off: outside of everything, and near enough for single precision

// The stage of a page's data: the part first, then a thing a switch. Throws where the browser cannot draw.
export function makeStage(data, canvas) {
  const renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, stencil: true });
  renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
  renderer.localClippingEnabled = true;
  const scene = new Scene(), camera = new OrthographicCamera();
  const lamp = new DirectionalLight("#ffffff", 2.1);
  scene.add(new HemisphereLight("#ffffff", "#8d8578", 1.5), lamp, lamp.target);
  const knife = new Plane(new Vector3(0, 0, -1), 1e6); // what lies before it is shown
  const things = [
    { key: "mount", label: data.what, on: true, shapes: [data.part] },
    ...data.switches,
  ].map((thing) => thingOf(thing, knife));
  things.forEach((thing) => scene.add(thing.group));
  const stage = { renderer, scene, camera, lamp, knife, things, part: data.part, canvas, size: [], waiting: false, after: [] };
  stage.draw = () => drawSoon(stage);
  return stage;
}

function thingOf({ key, label, on, shapes }, knife) {
  const look = LOOKS[key], group = new Group(), shine = look.clear < 1;
  const skin = new MeshLambertMaterial({
    color: new Color(look.colour), side: DoubleSide, transparent: shine, opacity: look.clear,
    depthWrite: !shine, clippingPlanes: [knife], polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
  });
  const pen = new LineBasicMaterial({ clippingPlanes: [knife], transparent: true, opacity: shine ? 0.45 : 0.8 });
  for (const shape of shapes.map(shaped)) group.add(new Mesh(shape.surface, skin), new LineSegments(shape.outline, pen));
  group.visible = on;
  return { key, label, shapes, group, look, pen, shine };
}

function drawSoon(stage) {
  if (stage.waiting) return;
  stage.waiting = true;
  requestAnimationFrame(() => {
    stage.waiting = false;
    drawNow(stage);
  });
}

function drawNow(stage) {
  const { renderer, scene, camera, things } = stage;
  const crease = new Color(ink().crease);
  things.forEach((thing) => thing.pen.color.copy(crease));
  renderer.render(scene, camera);
  stage.after.forEach((act) => act());
}

// Sets the eye: `at` in the middle of the picture, seen from the unit way `from`, `up` upward, `pixel` mm a pixel.
export function setEye(stage, { at, from, up, pixel }) {
  const { camera, canvas, lamp } = stage;
  const [half, high] = [(canvas.clientWidth * pixel) / 2, (canvas.clientHeight * pixel) / 2];
  Object.assign(camera, { left: -half, right: half, top: high, bottom: -high, near: 0, far: 2 * BEHIND });
  camera.up.set(...up);
  camera.position.set(...at.map((value, i) => value + BEHIND * from[i]));
  camera.lookAt(...at);
  camera.updateProjectionMatrix();
  camera.updateMatrixWorld();
  const aside = [0, 1, 2].map((i) => from[i] + 0.5 * up[i]);
  const right = [up[1] * from[2] - up[2] * from[1], up[2] * from[0] - up[0] * from[2], up[0] * from[1] - up[1] * from[0]];
  lamp.position.set(...at.map((value, i) => value + 500 * (aside[i] - 0.4 * right[i])));
  lamp.target.position.set(...at);
  lamp.target.updateMatrixWorld();
  stage.draw();
}

// Gives the canvas its frame's size; true where it had another.
export function fitCanvas(stage) {
  const { clientWidth: wide, clientHeight: high } = stage.canvas.parentElement, [oldWide, oldHigh] = stage.size;
  if (oldWide === wide && oldHigh === high) return false;
  stage.size = [wide, high];
  stage.renderer.setSize(wide, high, false);
  return true;
}
