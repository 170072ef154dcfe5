// Where the picture is seen from: standard views, and keys for those who have no mouse.
import { Quaternion, Spherical, Vector3 } from "three";

const UP = new Vector3(0, 1, 0);
const Z_TO_Y = new Quaternion().setFromUnitVectors(new Vector3(0, 0, 1), UP);
const Y_TO_Z = Z_TO_Y.clone().invert();

export function viewsOf(data, camera, controls, canvas) {
  const { wheels } = data.conditions.as_modified;
  const left = new Vector3(...wheels.sides.left.centre_mm);
  const right = new Vector3(...wheels.sides.right.centre_mm);
  const middle = left.clone().add(right).multiplyScalar(0.5);
  middle.x -= 40;
  const half = left.distanceTo(right) / 2;
  // A tyre at full lock stands across, and nearer than its middle.
  const radius = Math.max(...wheels.tyre_section_mm.map(([distance]) => distance));
  const wide = half + 1.3 * radius;
  const views = {
    "front three-quarter": [middle, new Vector3(1.0, 0.62, 0.62), wide, 0.62 * wide],
    front: [middle, new Vector3(1, 0, 0.001), wide, 0.5 * wide],
    rear: [middle, new Vector3(-1, 0, 0.12), wide, 0.5 * wide],
    above: [middle, new Vector3(0.001, 0, 1), wide, 420],
    "left wheel": [left, new Vector3(0.25, 1, 0.22), 470, 420],
    "right wheel": [right, new Vector3(0.25, -1, 0.22), 470, 420],
    "behind left wheel": [left, new Vector3(-1, 0.12, 0.35), 420, 400],
  };
  return {
    names: Object.keys(views),
    shown: null,
    show(name) {
      this.shown = name;
      const [target, direction, width, height] = views[name];
      const aspect = canvas.clientWidth / Math.max(canvas.clientHeight, 1) || 1.6;
      const tangent = Math.tan((camera.fov * Math.PI) / 360);
      const distance = Math.max(height / tangent, width / (tangent * aspect)) * 1.06;
      controls.target.copy(target);
      camera.position.copy(target).addScaledVector(direction.clone().normalize(), distance);
      controls.update();
    },
  };
}

const KEYS = {
  ArrowLeft: { around: -1 },
  ArrowRight: { around: 1 },
  ArrowUp: { over: -1 },
  ArrowDown: { over: 1 },
  "+": { away: -1 },
  "-": { away: 1 },
};
const KEY_TURN = 0.12;

// What a mouse does, for those who have none: arrows go round the front end, plus and minus nearer and farther.
export function turnedByKeys(canvas, camera, controls) {
  canvas.addEventListener("keydown", (event) => {
    const key = KEYS[event.key];
    if (!key || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    const { around = 0, over = 0, away = 0 } = key;
    const place = new Spherical().setFromVector3(camera.position.clone().sub(controls.target).applyQuaternion(Z_TO_Y));
    place.theta += KEY_TURN * around;
    place.phi += KEY_TURN * over;
    place.radius *= 1 + KEY_TURN * away;
    place.makeSafe();
    camera.position.setFromSpherical(place).applyQuaternion(Y_TO_Z).add(controls.target);
    controls.update();
  });
}
