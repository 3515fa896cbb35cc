// Where the formed part is drawn: eye, light, and how finely, for machines with a graphics card and
// without one.
import { OrbitControls, THREE } from "nicegui-scene";

const COARSE = 0.6; // dots drawn for each dot shown, across and down, while a part moves without a card
const FINE = 2; // and once it rests

function drawnBySoftware() {
  const gl = document.createElement("canvas").getContext("webgl2");
  const more = gl?.getExtension("WEBGL_debug_renderer_info");
  const name = more ? gl.getParameter(more.UNMASKED_RENDERER_WEBGL) : "";
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software|basic render/i.test(name);
}

export class Stage {
  // Throws where the browser can't draw in space.
  constructor(canvas) {
    this.canvas = canvas;
    // Without a graphics card every dot costs, and smoothed edges four times over: then the part
    // is drawn more coarsely while it moves, and twice as finely as the screen once it rests.
    this.slow = drawnBySoftware();
    this.renderer = new THREE.WebGLRenderer({ antialias: !this.slow, alpha: true, canvas });
    this.renderer.setPixelRatio(Math.min(2, window.devicePixelRatio));
    this.world = new THREE.Scene();
    this.camera = new THREE.OrthographicCamera(-1, 1, 1, -1, -1e5, 1e5);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.lamp = new THREE.DirectionalLight(0xffffff, 1.9);
    this.world.add(new THREE.HemisphereLight(0xffffff, 0x9a9a9a, 1.7), this.lamp, this.lamp.target);
    this.ray = new THREE.Raycaster();
  }

  get size() { return [this.canvas.clientWidth, this.canvas.clientHeight]; }

  finer(on) {
    if (!this.slow || this.fine === on) return;
    this.fine = on;
    this.renderer.setPixelRatio(on ? FINE : COARSE);
  }

  // Show so much to either side of the middle [mm], and room around it [px].
  frame([wide, tall], room) {
    const [w, h] = this.size;
    const aspect = w / h || 1;
    const more = (px) => px / Math.max(40, px - 2 * room);
    const half = Math.max(tall * more(h), (wide / aspect) * more(w));
    Object.assign(this.camera, { left: -half * aspect, right: half * aspect, top: half, bottom: -half });
    this.camera.updateProjectionMatrix();
  }

  aim(center, eye, radius) {
    this.controls.target.copy(center);
    this.camera.position.copy(center).addScaledVector(eye, radius * 4);
    this.controls.update();
  }

  zoom(by) {
    this.camera.zoom = by ? this.camera.zoom * by : 1;
    this.camera.updateProjectionMatrix();
  }

  turn(side, rise) {
    const { camera, controls } = this;
    const ball = new THREE.Spherical();
    const away = camera.position.clone().sub(controls.target);
    // Spherical has y as its pole; the part stands on z.
    ball.setFromVector3(new THREE.Vector3(away.x, away.z, -away.y));
    ball.theta += side;
    ball.phi = Math.min(Math.PI - 0.01, Math.max(0.01, ball.phi + rise));
    const v = new THREE.Vector3().setFromSpherical(ball);
    camera.position.copy(controls.target).add(new THREE.Vector3(v.x, -v.z, v.y));
    controls.update();
  }

  // Let the ray run through a place on the screen; returns the place and the picture's box.
  through(event) {
    const box = this.canvas.getBoundingClientRect();
    const spot = [event.clientX - box.left, event.clientY - box.top];
    const at = new THREE.Vector2((spot[0] / box.width) * 2 - 1, 1 - (spot[1] / box.height) * 2);
    this.ray.setFromCamera(at, this.camera);
    return { spot, box };
  }

  screen(point) {
    const p = point.project(this.camera);
    const [w, h] = this.size;
    return [Math.round(((p.x + 1) / 2) * w), Math.round(((1 - p.y) / 2) * h)];
  }

  draw(rims) {
    const { camera, controls, lamp, renderer, world } = this;
    const away = camera.position.distanceTo(controls.target);
    lamp.position.copy(camera.position).addScaledVector(new THREE.Vector3(0, 0, 1), away * 0.6);
    lamp.target.position.copy(controls.target);
    renderer.render(world, camera);
    if (this.fine && rims) this.thicken(rims);
  }

  // Lines are one dot wide, and at rest there are four dots to each of the screen's: draw them
  // over again, a dot aside and a dot down.
  thicken(rims) {
    const { camera, renderer, world } = this;
    const size = renderer.getDrawingBufferSize(new THREE.Vector2());
    rims.layers.enable(1);
    camera.layers.set(1);
    renderer.autoClear = false;
    for (const [x, y] of [[1, 0], [0, 1], [1, 1]]) {
      camera.setViewOffset(size.x, size.y, x, y, size.x, size.y);
      renderer.render(world, camera);
    }
    renderer.autoClear = true;
    camera.layers.set(0);
    camera.clearViewOffset();
  }

  dispose() {
    this.controls.dispose();
    this.renderer.dispose();
  }
}
