// A wheel: tyre and rim lathed from their half sections, or their outlines alone.
import { BufferGeometry, CircleGeometry, Group, LatheGeometry, LineLoop, Mesh, Vector2, Vector3 } from "three";

const ROUND = 56;

export function wheelOf(wheels, materials, side) {
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
