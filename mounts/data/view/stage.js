// The picture: what is shown, drawn anew only when something changed.
import { Color, DoubleSide, Group, LineBasicMaterial, LineSegments, Mesh, OrthographicCamera, Plane, Scene, ShaderMaterial, Vector3, WebGLRenderer } from "three";
import { shaped } from "./shapes.js";
import { LOOKS, ink } from "./look.js";

const LIT = { // a matt skin under the sky and one lamp, which comes with the eye; much less to compile than a general one
  vertexShader: `
    #include <clipping_planes_pars_vertex>
    varying vec3 skin;
    void main() {
      vec4 mvPosition = modelViewMatrix * vec4(position, 1.0);
      #include <clipping_planes_vertex>
      skin = normal;
      gl_Position = projectionMatrix * mvPosition;
    }`,
  fragmentShader: `
    #include <clipping_planes_pars_fragment>
    uniform vec3 colour; uniform float clear;
    varying vec3 skin;
    void main() {
      #include <clipping_planes_fragment>
      vec3 n = normalize(gl_FrontFacing ? skin : -skin);
      float lamp = max(dot(n, normalize(vec3(-0.4, 0.5, 1.0)) * mat3(viewMatrix)), 0.0);
      vec3 sky = mix(vec3(0.266, 0.235, 0.188), vec3(1.0), 0.5 * n.y + 0.5);
      gl_FragColor = vec4(colour * (0.67 * lamp + 0.48 * sky), clear);
      #include <colorspace_fragment>
    }`,
};
const BEHIND = 1500; // mm that the eye stands off: outside of everything, and near enough for single precision

// The stage of a page's data: the part first, then a thing a switch. Throws where the browser cannot draw.
export function makeStage(data, canvas) {
  const renderer = new WebGLRenderer({ canvas, antialias: isFast(), alpha: true, stencil: true });
  renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
  renderer.localClippingEnabled = true;
  const scene = new Scene(), camera = new OrthographicCamera();
  const knife = new Plane(new Vector3(0, 0, -1), 1e6); // what lies before it is shown
  const things = [
    { key: "mount", label: data.what, on: true, shapes: [data.part] },
    ...data.switches,
  ].map((thing) => thingOf(thing, knife));
  things.forEach((thing) => scene.add(thing.group));
  const stage = { renderer, scene, camera, knife, things, part: data.part, canvas, size: [], waiting: false, after: [] };
  stage.draw = () => drawSoon(stage);
  return stage;
}

// Whether a graphics processor draws, not a program in its place: that takes twice as long over smooth edges.
function isFast() {
  const probe = document.createElement("canvas").getContext("webgl2"), about = probe?.getExtension("WEBGL_debug_renderer_info");
  const name = about ? probe.getParameter(about.UNMASKED_RENDERER_WEBGL) : "";
  probe?.getExtension("WEBGL_lose_context")?.loseContext();
  return !/swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

function thingOf({ key, label, on, shapes }, knife) {
  const look = LOOKS[key], group = new Group(), shine = look.clear < 1;
  const skin = new ShaderMaterial({
    ...LIT, uniforms: { colour: { value: new Color(look.colour) }, clear: { value: look.clear } }, side: DoubleSide,
    transparent: shine, depthWrite: !shine, clipping: true, clippingPlanes: [knife],
    polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
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
  const { camera, canvas } = stage;
  const [half, high] = [(canvas.clientWidth * pixel) / 2, (canvas.clientHeight * pixel) / 2];
  Object.assign(camera, { left: -half, right: half, top: high, bottom: -high, near: 0, far: 2 * BEHIND });
  camera.up.set(...up);
  camera.position.set(...at.map((value, i) => value + BEHIND * from[i]));
  camera.lookAt(...at);
  camera.updateProjectionMatrix();
  camera.updateMatrixWorld();
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
