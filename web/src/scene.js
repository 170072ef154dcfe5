// The picture in space. Bodies hang in frames, and a step of a slider sets each frame to one of the solver's poses.
import {
  BufferAttribute,
  BufferGeometry,
  Color,
  CircleGeometry,
  CylinderGeometry,
  DirectionalLight,
  DoubleSide,
  EdgesGeometry,
  GridHelper,
  Group,
  HemisphereLight,
  LatheGeometry,
  Line,
  LineBasicMaterial,
  LineLoop,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  PerspectiveCamera,
  Points,
  PointsMaterial,
  Quaternion,
  RingGeometry,
  Scene,
  SphereGeometry,
  Spherical,
  Vector2,
  Vector3,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { shadeOf } from "./colours.js";
import { el } from "./dom.js";
import { poseAt, within } from "./poses.js";

const UP = new Vector3(0, 1, 0);
const Z_TO_Y = new Quaternion().setFromUnitVectors(new Vector3(0, 0, 1), UP);
const Y_TO_Z = Z_TO_Y.clone().invert();
const ROUND = 56;
const BAR = new CylinderGeometry(1, 1, 1, 20);

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
function turnedByKeys(canvas, camera, controls) {
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

// A driver compiles a program for each kind of material that differs in more than its colour, and the first picture
// waits for all of them: so there are two kinds here, one that takes light and one that doesn't.
function lit(opacity = 1) {
  return kindOf(MeshLambertMaterial, opacity);
}

function plain(opacity = 1, more = {}) {
  return kindOf(MeshBasicMaterial, opacity, more);
}

function lines(opacity = 1, more = {}) {
  return kindOf(LineBasicMaterial, opacity, more);
}

function kindOf(Material, opacity, more = {}) {
  // Whatever is drawn is of the blended kind; what can be seen through comes last (`drawnLast`) and covers nothing.
  return new Material({ side: DoubleSide, transparent: true, forceSinglePass: true, opacity, depthWrite: opacity === 1, ...more });
}

function drawnLast(mesh) {
  mesh.renderOrder = mesh.material.opacity < 1 ? 1 : 0;
  return mesh;
}

function materialsOf(palette) {
  const made = {
    tyre: lit(),
    vent: plain(),
    rim: lit(),
    member: lit(),
    rod: lit(),
    keep: lit(0.5),
    axis: plain(),
    over: lines(0.75, { depthTest: false }),
    part: lit(),
    edge: lines(),
    swept: lit(0.2),
    ghost: lit(0.35),
    // Over the modified car, which would hide most of them, and in a colour that stands out from ground and tyre alike.
    ghostLine: lines(1, { depthTest: false }),
    ground: lines(0.6),
    contact: plain(),
  };
  made.set = (colours) => {
    made.tyre.color.set(colours.tyre);
    made.rim.color.set(colours.rim);
    made.vent.color.set(colours.vent);
    made.member.color.set(colours.member);
    made.rod.color.set(colours.rod);
    made.keep.color.set(colours.keep);
    made.axis.color.set(colours.ink);
    made.over.color.set(colours.ink);
    made.part.color.set(colours.accent);
    made.edge.color.set(colours.edge);
    made.swept.color.set(colours.accent);
    made.ghost.color.set(colours.muted);
    made.ghostLine.color.set(colours.part);
    made.ground.color.set(colours.grid);
    made.contact.color.set(colours.ink);
  };
  made.set(palette);
  return made;
}

function put(object, pose) {
  object.visible = pose !== null;
  if (!pose) return;
  object.quaternion.set(pose[0], pose[1], pose[2], pose[3]);
  object.position.set(pose[4], pose[5], pose[6]);
}

function conditionOf(data, materials, measured) {
  const root = new Group();
  const frames = {};
  for (const name of Object.keys(data.frames)) {
    frames[name] = new Group();
    root.add(frames[name]);
  }
  const solid = [];
  const loose = [];
  for (const bar of data.bars) {
    // Both conditions share what is fixed to the body, and one picture of it is enough.
    if (measured && bar.kind === "keep clear" && bar.start.frame === "body") continue;
    const material = materialOf(bar.kind, materials);
    const mesh = drawnLast(new Mesh(BAR, material));
    mesh.name = bar.name;
    solid.push(mesh);
    if (bar.start.frame === bar.end.frame) {
      span(mesh, new Vector3(...bar.start.at_mm), new Vector3(...bar.end.at_mm), bar.radius_mm);
      frames[bar.start.frame].add(mesh);
    } else {
      root.add(mesh);
      loose.push({ mesh, bar, start: new Vector3(), end: new Vector3() });
    }
    if (bar.kind === "tie rod") addBalls(bar, frames, materials, solid);
  }
  const wheels = {};
  for (const [side, place] of Object.entries(data.wheels.sides)) {
    const wheel = wheelOf(data.wheels, materials, side);
    const axis = new Vector3(...place.axis);
    wheel.group.quaternion.setFromUnitVectors(UP, axis);
    wheel.group.position.set(...place.centre_mm);
    frames[place.frame].add(wheel.group);
    wheels[side] = { ...wheel, axis, frame: frames[place.frame] };
  }
  const lines = linesOf(data, materials);
  for (const { line } of lines) root.add(line);
  const marks = data.tracks.map((track) => {
    const contact = track.name === "contact centre";
    const shape = contact ? new RingGeometry(9, 13, 24) : new SphereGeometry(8, 16, 12);
    const mesh = new Mesh(shape, contact ? materials.contact : materials.axis);
    root.add(mesh);
    return { mesh, track };
  });
  const whole = new Quaternion();
  const usual = solid.map((mesh) => mesh.material);
  return {
    data,
    root,
    frames,
    pose(rack, travel) {
      for (const [name, group] of Object.entries(frames)) put(group, poseAt(data.frames[name], rack, travel));
      for (const { mesh, bar, start, end } of loose) {
        const [a, b] = [frames[bar.start.frame], frames[bar.end.frame]];
        mesh.visible = a.visible && b.visible;
        if (!mesh.visible) continue;
        start.set(...bar.start.at_mm).applyQuaternion(a.quaternion).add(a.position);
        end.set(...bar.end.at_mm).applyQuaternion(b.quaternion).add(b.position);
        span(mesh, start, end, bar.radius_mm);
      }
      for (const { mesh, track } of marks) {
        const point = poseAt({ shape: track.shape, poses: track.points_mm }, rack, travel);
        mesh.visible = point !== null;
        if (point) mesh.position.set(point[0], point[1], point[2] + 1);
      }
      for (const { line, ends } of lines) {
        const points = ends.map((track) => poseAt({ shape: track.shape, poses: track.points_mm }, rack, travel));
        line.visible = !points.includes(null);
        if (!line.visible) continue;
        line.geometry.attributes.position.array.set(points.flat());
        line.geometry.attributes.position.needsUpdate = true;
      }
    },
    ghost(on) {
      solid.forEach((mesh, i) => {
        mesh.material = on ? materials.ghost : usual[i];
        drawnLast(mesh);
      });
      for (const wheel of Object.values(wheels)) wheel.ghost(on);
    },
    wheelsShown(on) {
      for (const wheel of Object.values(wheels)) wheel.group.visible = on;
    },
    spin(side) {
      const wheel = wheels[side];
      whole.copy(wheel.frame.quaternion).multiply(wheel.group.quaternion);
      return new Vector3(0, 1, 0).applyQuaternion(whole);
    },
  };
}

// The steering axis from the strut top to the ground, and there on to the contact centre: over everything else, as that
// is what they are for.
function linesOf(data, materials) {
  const found = [];
  for (const side of ["left", "right"]) {
    const [foot, contact] = ["foot of the steering axis", "contact centre"].map((name) =>
      data.tracks.find((track) => track.side === side && track.name === name),
    );
    const top = data.bars.find((bar) => bar.name === "steering axis" && bar.side === side).end.at_mm;
    const fixed = { shape: [1, 1], points_mm: [top] };
    for (const ends of [[fixed, foot], [foot, contact]]) {
      const geometry = new BufferGeometry().setFromPoints([new Vector3(), new Vector3()]);
      const line = new Line(geometry, materials.over);
      line.frustumCulled = false;
      line.renderOrder = 5;
      found.push({ line, ends });
    }
  }
  return found;
}

function materialOf(kind, materials) {
  return (
    { "keep clear": materials.keep, axis: materials.axis, "tie rod": materials.rod, rack: materials.rod }[kind] ??
    materials.member
  );
}

function span(mesh, start, end, radius) {
  const way = end.clone().sub(start);
  const length = way.length() || 1e-6;
  mesh.position.copy(start).addScaledVector(way, 0.5);
  mesh.quaternion.setFromUnitVectors(UP, way.divideScalar(length));
  mesh.scale.set(radius, length, radius);
}

function addBalls(bar, frames, materials, solid) {
  for (const end of [bar.start, bar.end]) {
    const ball = new Mesh(new SphereGeometry(1.25 * bar.radius_mm, 18, 12), materials.rod);
    ball.position.set(...end.at_mm);
    frames[end.frame].add(ball);
    solid.push(ball);
  }
}

function wheelOf(wheels, materials, side) {
  // Both halves are lathed about y, which is then laid along the wheel's axis; the axis points left on both sides, and
  // outwards is to the left on the left one only.
  const outwards = side === "left" ? 1 : -1;
  const points = (rows) => rows.map(([radius, along]) => new Vector2(radius, outwards * along));
  const group = new Group();
  const tyre = new Mesh(new LatheGeometry(points(wheels.tyre_section_mm), ROUND), materials.tyre);
  const rim = new Mesh(new LatheGeometry(points(wheels.rim_section_mm), ROUND), materials.rim);
  const rings = new Group();
  const outer = Math.max(...wheels.tyre_section_mm.map(([radius]) => radius));
  const half = Math.max(...wheels.tyre_section_mm.map(([, along]) => along));
  for (const along of [-0.7 * half, 0.7 * half]) rings.add(ring(outer, along, materials.ghostLine));
  rings.add(ring(wheels.tyre_section_mm[0][0], half, materials.ghostLine));
  rings.visible = false;
  group.add(tyre, rim, ...ventsOf(wheels.rim_section_mm, outwards, materials), rings);
  return {
    group,
    ghost(on) {
      for (const one of group.children) one.visible = on === (one === rings);
    },
  };
}

// Holes in the rim's face, as of a plain steel wheel: without them the eye can't tell how the wheel stands.
function ventsOf(section, outwards, materials) {
  const [[r1, a1], [r2, a2]] = [section[3], section[4]];
  const [radius, along] = [0.42 * r2 + 0.58 * r1, 0.42 * a2 + 0.58 * a1];
  const slope = Math.atan2(a1 - a2, r1 - r2);
  const shape = new CircleGeometry(0.13 * r1, 20);
  const vents = [];
  for (let i = 0; i < 8; i++) {
    const hole = new Mesh(shape, materials.vent);
    hole.rotation.x = -Math.PI / 2;
    const tilted = new Group();
    tilted.position.set(radius, outwards * (along + 0.8), 0);
    tilted.rotation.z = outwards * slope;
    tilted.add(hole);
    const turned = new Group();
    turned.rotation.y = (Math.PI * i) / 4;
    turned.add(tilted);
    vents.push(turned);
  }
  return vents;
}

function ring(radius, along, material) {
  const points = [];
  for (let i = 0; i < ROUND; i++) {
    const angle = (2 * Math.PI * i) / ROUND;
    points.push(new Vector3(radius * Math.cos(angle), along, radius * Math.sin(angle)));
  }
  const loop = new LineLoop(new BufferGeometry().setFromPoints(points), material);
  loop.renderOrder = 4;
  return loop;
}

function meshGeometry(vertices, triangles) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(vertices), 3));
  geometry.setIndex(triangles);
  return geometry;
}

function partsOf(data, condition, materials) {
  const found = [];
  for (const part of data.parts) {
    if (!part.mesh) continue;
    const whole = meshGeometry(part.mesh.vertices_mm, part.mesh.triangles);
    const edges = new EdgesGeometry(whole, 28);
    // Faces of their own show a part's flats as flat.
    const geometry = whole.toNonIndexed();
    geometry.computeVertexNormals();
    for (const place of part.mesh.places) {
      const group = new Group();
      group.name = part.name;
      group.add(new Mesh(geometry, materials.part), new LineSegments(edges, materials.edge));
      const frame = new Group();
      put(frame, place.pose);
      frame.add(group);
      condition.frames[place.frame].add(frame);
      found.push(group);
    }
  }
  return found;
}

function bodyOf(data, condition, palette) {
  const root = new Group();
  const carried = [];
  const painted = [];
  const { bodies, wanted_mm: wanted, interest_mm: interest } = data.surroundings;
  for (const one of bodies) {
    const geometry = meshGeometry(one.vertices_mm, one.triangles);
    const colours = new Float32Array(one.vertices_mm.length);
    geometry.setAttribute("color", new BufferAttribute(colours, 3));
    let mesh;
    if (one.triangles.length) {
      geometry.computeVertexNormals();
      mesh = drawnLast(new Mesh(geometry, plain(0.82, { vertexColors: true, depthWrite: true })));
    } else {
      mesh = new Points(geometry, new PointsMaterial({ vertexColors: true, size: 6 }));
    }
    if (one.frame === "body") root.add(mesh);
    else {
      condition.frames[one.frame].add(mesh);
      carried.push(mesh);
    }
    painted.push({ geometry, one });
  }
  const recolour = (colours) => {
    const colour = new Color();
    for (const { geometry, one } of painted) {
      const attribute = geometry.getAttribute("color");
      one.clearance_mm.forEach((clearance, i) => {
        colour.set(shadeOf(clearance, wanted, interest, colours));
        attribute.setXYZ(i, colour.r, colour.g, colour.b);
      });
      attribute.needsUpdate = true;
    }
  };
  recolour(palette);
  return { root, carried, recolour, places: data.surroundings.places };
}

function sweptOf(data, materials) {
  const group = new Group();
  for (const one of data.swept) {
    const geometry = meshGeometry(one.vertices_mm, one.triangles);
    geometry.computeVertexNormals();
    group.add(drawnLast(new Mesh(geometry, materials.swept)));
  }
  return group;
}

function groundOf(materials) {
  const grid = new GridHelper(3000, 30);
  grid.material.dispose();
  grid.geometry.deleteAttribute("color");
  grid.material = materials.ground;
  grid.rotation.x = Math.PI / 2;
  const group = new Group();
  group.add(drawnLast(grid));
  return group;
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

function viewsOf(data, camera, controls, canvas) {
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
