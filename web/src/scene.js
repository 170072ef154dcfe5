// The picture in space. Bodies hang in frames, and a step of a slider sets each frame to one of the solver's poses.
import { DirectionalLight, HemisphereLight, PerspectiveCamera, Scene, Vector2, Vector3, WebGLRenderer } from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { conditionOf } from "./car.js";
import { el } from "./dom.js";
import { materialsOf } from "./materials.js";
import { within } from "./poses.js";
import { bodyOf, groundOf, partsOf, sweptOf } from "./surfaces.js";
import { turnedByKeys, viewsOf } from "./views.js";

export function sceneOf(data, canvas, labels, palette) {
  const renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, preserveDrawingBuffer: true });
  const scene = new Scene();
  const camera = new PerspectiveCamera(32, 1, 20, 20000);
  camera.up.set(0, 0, 1);
  const controls = new OrbitControls(camera, canvas);
  controls.enableDamping = false;
  // A finger that goes up or down scrolls the page, as everywhere else on it; two fingers zoom.
  canvas.style.touchAction = "pan-y";
  controls.maxDistance = 8000;
  controls.minDistance = 150;
  const sky = new HemisphereLight(0xffffff, 0x8a8f94, 2.25);
  sky.position.set(0, 0, 1);
  const sun = new DirectionalLight(0xffffff, 1.5);
  sun.position.set(900, 700, 1800);
  scene.add(sky, sun);

  const materials = materialsOf(palette);
  const conditions = {
    as_modified: conditionOf(data.conditions.as_modified, materials, false),
    as_measured: conditionOf(data.conditions.as_measured, materials, true),
  };
  const parts = partsOf(data, conditions.as_modified, materials);
  const body = bodyOf(data, conditions.as_modified, palette);
  const swept = sweptOf(data, materials);
  const ground = groundOf(materials);
  scene.add(conditions.as_modified.root, conditions.as_measured.root, body.root, swept, ground);
  const badges = badgesOf(data, labels, body.places);

  let wanted = false;
  const draw = () => {
    wanted = false;
    // Before its size is known there is nowhere to stand.
    if (!views.shown) return;
    renderer.render(scene, camera);
    badges.place(camera, canvas);
  };
  const ask = () => {
    if (wanted) return;
    wanted = true;
    requestAnimationFrame(draw);
  };
  controls.addEventListener("change", ask);

  const size = new Vector2();
  let views = null;
  const resize = () => {
    const { clientWidth: width, clientHeight: height } = canvas;
    if (!width || !height) return;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    renderer.getSize(size);
    if (size.x !== width || size.y !== height) renderer.setSize(width, height, false);
    camera.aspect = width / height;
    camera.updateProjectionMatrix();
    // How far off to stand hangs on the canvas's shape, which is known only now.
    if (!views.shown) views.show("front three-quarter");
    draw();
  };
  views = viewsOf(data, camera, controls, canvas);
  new ResizeObserver(resize).observe(canvas);
  turnedByKeys(canvas, camera, controls);

  return {
    draw,
    ask,
    views,
    show(now) {
      for (const [name, condition] of Object.entries(conditions)) {
        condition.pose(within(condition.data, now.rack), now.travel);
        condition.root.visible = now.condition === name || now.condition === "both";
      }
      conditions.as_measured.ghost(now.condition === "both");
      const modified = now.condition !== "as_measured";
      for (const mesh of parts) mesh.visible = now.parts && modified;
      body.root.visible = now.body;
      for (const mesh of body.carried) mesh.visible = now.body && modified;
      badges.shown = now.body && now.badges;
      swept.visible = now.swept && modified;
      for (const condition of Object.values(conditions)) condition.wheelsShown(now.tyres);
      const of = conditions[now.condition === "as_measured" ? "as_measured" : "as_modified"].data;
      ground.position.z = of.ground_mm + data.grid.travel_mm[now.travel];
      ask();
    },
    recolour(next) {
      materials.set(next);
      body.recolour(next);
      draw();
    },
    // Read back from the scene: the angle at which a wheel's axis lies in it, positive to the left.
    steerOf(side, name = "as_modified") {
      const axis = conditions[name].spin(side);
      return (Math.atan2(-axis.x, axis.y) * 180) / Math.PI;
    },
    // Where the picture is seen from, mm.
    seenFrom() {
      return camera.position.toArray();
    },
  };
}

function badgesOf(data, labels, places) {
  const { wanted_mm: wanted } = data.surroundings;
  const all = places.map((place) => {
    const badge = el("span", { class: place.clearance_mm < wanted ? "badge near" : "badge" }, String(place.number));
    labels.append(badge);
    return { badge, point: new Vector3(...place.at_mm), seen: new Vector3() };
  });
  return {
    shown: true,
    place(camera, canvas) {
      for (const { badge, point, seen } of all) {
        seen.copy(point).project(camera);
        const inside = this.shown && Math.abs(seen.x) < 1 && Math.abs(seen.y) < 1 && seen.z < 1;
        badge.hidden = !inside;
        if (!inside) continue;
        const x = ((seen.x + 1) / 2) * canvas.clientWidth;
        const y = ((1 - seen.y) / 2) * canvas.clientHeight;
        badge.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%)`;
      }
    },
  };
}
