// The front end in one condition: bars, wheels and marks hang in frames, which are set to the solver's poses.
import {
  BufferGeometry,
  CylinderGeometry,
  Group,
  Line,
  Mesh,
  Quaternion,
  RingGeometry,
  SphereGeometry,
  Vector3,
} from "three";
import { drawnLast } from "./materials.js";
import { poseAt } from "./poses.js";
import { wheelOf } from "./wheel.js";

const UP = new Vector3(0, 1, 0);
const BAR = new CylinderGeometry(1, 1, 1, 20);

export function put(object, pose) {
  object.visible = pose !== null;
  if (!pose) return;
  object.quaternion.set(pose[0], pose[1], pose[2], pose[3]);
  object.position.set(pose[4], pose[5], pose[6]);
}

export function conditionOf(data, materials, measured) {
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
