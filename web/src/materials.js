// What things in the picture are made of, in the page's colours.
import { DoubleSide, LineBasicMaterial, MeshBasicMaterial, MeshLambertMaterial } from "three";

// A driver compiles a program for each kind of material that differs in more than its colour, and the first picture
// waits for all of them: so there are two kinds here, one that takes light and one that doesn't.
function lit(opacity = 1) {
  return kindOf(MeshLambertMaterial, opacity);
}

export function plain(opacity = 1, more = {}) {
  return kindOf(MeshBasicMaterial, opacity, more);
}

function lines(opacity = 1, more = {}) {
  return kindOf(LineBasicMaterial, opacity, more);
}

function kindOf(Material, opacity, more = {}) {
  // Whatever is drawn is of the blended kind; what can be seen through comes last (`drawnLast`) and covers nothing.
  return new Material({ side: DoubleSide, transparent: true, forceSinglePass: true, opacity, depthWrite: opacity === 1, ...more });
}

export function drawnLast(mesh) {
  mesh.renderOrder = mesh.material.opacity < 1 ? 1 : 0;
  return mesh;
}

export function materialsOf(palette) {
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
