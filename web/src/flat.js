// The front end in two plain drawings, from above and from the front: for paper, and where there is no WebGL.
import { el, svg } from "./dom.js";
import { carried, poseAt, within } from "./poses.js";

const VIEWS = [
  { name: "From above, front of the car upwards", across: ([, y]) => -y, up: ([x]) => x },
  { name: "From the front, the car's right side on the left", across: ([, y]) => y, up: ([, , z]) => z },
];

export function flatOf(data) {
  const drawings = VIEWS.map((view) => {
    const drawing = svg("svg", { class: "flat", role: "img", "aria-label": `Front end. ${view.name}` });
    return { ...view, drawing, figure: el("figure", {}, drawing, el("figcaption", {}, view.name)) };
  });
  const element = el("div", { class: "flats" }, ...drawings.map((one) => one.figure));
  return {
    element,
    show(now) {
      const condition = data.conditions[now.condition === "as_measured" ? "as_measured" : "as_modified"];
      const rack = within(condition, now.rack);
      for (const view of drawings) draw(view, condition, rack, now.travel);
    },
  };
}

function draw({ drawing, across, up }, condition, rack, travel) {
  const place = (end) => {
    const pose = poseAt(condition.frames[end.frame], rack, travel);
    return pose === null ? null : carried(pose, end.at_mm);
  };
  const shapes = [];
  const all = [];
  const flat = (point) => {
    const found = [across(point), -up(point)];
    all.push(found);
    return found;
  };
  for (const side of Object.values(condition.wheels.sides)) {
    const pose = poseAt(condition.frames[side.frame], rack, travel);
    if (pose === null) continue;
    shapes.push(svg("path", { class: "flat-tyre", d: tyre(side, condition.wheels, pose, flat) }));
  }
  for (const bar of condition.bars) {
    const ends = [place(bar.start), place(bar.end)];
    if (ends.includes(null)) continue;
    const [[x1, y1], [x2, y2]] = ends.map(flat);
    const kind = bar.kind.replace(" ", "-");
    shapes.push(svg("line", { class: `flat-bar ${kind}`, x1, y1, x2, y2, "stroke-width": Math.max(1.4 * bar.radius_mm, 6) }));
  }
  const xs = all.map(([x]) => x);
  const ys = all.map(([, y]) => y);
  const [left, top] = [Math.min(...xs) - 30, Math.min(...ys) - 30];
  drawing.setAttribute("viewBox", `${left} ${top} ${Math.max(...xs) + 30 - left} ${Math.max(...ys) + 30 - top}`);
  drawing.replaceChildren(...shapes);
}

// The tyre as what it covers: the outline round both of its side walls' rims.
function tyre(side, wheels, pose, flat) {
  const [ax, ay, az] = side.axis;
  const size = Math.hypot(ax, ay) || 1;
  const u = [-ay / size, ax / size, 0];
  const v = [ay * u[2] - az * u[1], az * u[0] - ax * u[2], ax * u[1] - ay * u[0]];
  const radius = Math.max(...wheels.tyre_section_mm.map(([r]) => r));
  const half = Math.max(...wheels.tyre_section_mm.map(([, along]) => along));
  const points = [];
  for (const along of [-half, half]) {
    for (let i = 0; i < 40; i++) {
      const [c, s] = [radius * Math.cos((Math.PI * i) / 20), radius * Math.sin((Math.PI * i) / 20)];
      const point = side.centre_mm.map((value, k) => value + along * side.axis[k] + c * u[k] + s * v[k]);
      points.push(flat(carried(pose, point)));
    }
  }
  return `M${outline(points).map(([x, y]) => `${x.toFixed(0)} ${y.toFixed(0)}`).join("L")}Z`;
}

// The convex outline of points, by a walk along it below and back above (Andrew, 1979).
function outline(points) {
  const sorted = [...points].sort(([ax, ay], [bx, by]) => ax - bx || ay - by);
  const half = (row) => {
    const found = [];
    for (const point of row) {
      while (found.length > 1 && turn(found.at(-2), found.at(-1), point) <= 0) found.pop();
      found.push(point);
    }
    return found.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

function turn([ax, ay], [bx, by], [cx, cy]) {
  return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
}
