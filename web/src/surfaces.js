// Meshes from the page's data: the parts, the body by its clearance, the swept tyres; and the ground.
import {
  BufferAttribute,
  BufferGeometry,
  Color,
  EdgesGeometry,
  GridHelper,
  Group,
  LineSegments,
  Mesh,
  Points,
  PointsMaterial,
} from "three";
import { put } from "./car.js";
import { shadeOf } from "./colours.js";
import { drawnLast, plain } from "./materials.js";

function meshGeometry(vertices, triangles) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(vertices), 3));
  // An index of nothing would draw nothing, not the bare points.
  if (triangles.length) geometry.setIndex(triangles);
  return geometry;
}

export function partsOf(data, condition, materials) {
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

export function bodyOf(data, condition, palette) {
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
      // So many px from near and from afar: a point of a few mm is none from where one sees the whole.
      mesh = new Points(geometry, new PointsMaterial({ vertexColors: true, size: 4, sizeAttenuation: false }));
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

export function sweptOf(data, materials) {
  const group = new Group();
  for (const one of data.swept) {
    const geometry = meshGeometry(one.vertices_mm, one.triangles);
    geometry.computeVertexNormals();
    group.add(drawnLast(new Mesh(geometry, materials.swept)));
  }
  return group;
}

export function groundOf(materials) {
  const grid = new GridHelper(3000, 30);
  grid.material.dispose();
  grid.geometry.deleteAttribute("color");
  grid.material = materials.ground;
  grid.rotation.x = Math.PI / 2;
  const group = new Group();
  group.add(drawnLast(grid));
  return group;
}
