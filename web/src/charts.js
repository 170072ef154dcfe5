// The six charts. Every value is read from the page's data; here is only which of them goes where.
import { chart } from "./chart.js";
import { at, within } from "./poses.js";
import { angle, fixed, short } from "./words.js";

const SIDES = ["left", "right"];
const degrees = (value) => `${short(value)}\u00b0`;

export function chartsOf(data, length) {
  const { grid, goal, bands } = data;
  const { as_modified: modified, as_measured: measured } = data.conditions;
  const turned = grid.turned_mm;
  const ride = grid.ride_height;
  const row = (rows, i = ride) => rows.map((values) => values[i]);
  const kept = (condition, values) =>
    values.map((value, i) => (i < condition.lock.left || i > condition.lock.right ? null : value));
  const { unit } = length;
  const decimals = 1 + unit.more;
  const rackName = `rack from its middle, ${unit.name}: left turn on the left`;
  const rackTick = (value) => short(Math.abs(value));
  const rackHead = (value) =>
    Math.abs(value) < 0.5 * 0.1 ** decimals ? "0" : `${fixed(Math.abs(value), decimals)} ${value > 0 ? "left turn" : "right turn"}`;
  const cars = bands.cars
    ? ` The band holds ${Math.round(100 * bands.coverage)} of 100 cars that your measurements allow.`
    : "";
  const overRack = (key) => [
    ...SIDES.map((side) => ({
      name: `${side} wheel`,
      style: side,
      xs: turned,
      ys: kept(modified, row(modified.curves.wheels[side][key])),
    })),
    ...SIDES.map((side) => ({
      name: `${side} wheel, as measured`,
      style: `${side} before`,
      xs: turned,
      ys: kept(measured, row(measured.curves.wheels[side][key])),
    })),
  ];
  const banded = (key) =>
    SIDES.filter((side) => bands.wheels[side]).map((side) => {
      const [low, high] = bands.wheels[side][key];
      return { style: side, xs: turned, low: kept(modified, low), high: kept(modified, high) };
    });
  const wheelDots = (key, now) => {
    const found = [modified, measured].flatMap((condition) =>
      SIDES.map((side) => {
        const rack = within(condition, now.rack);
        const value = at(condition.curves.wheels[side][key], rack, ride);
        return value === null ? null : [turned[rack], value];
      }),
    );
    return { at: turned[within(modified, now.rack)], ys: found };
  };
  const both = (dots, digits = 1) =>
    `Here: left wheel ${angle(dots[0]?.[1] ?? null, digits)}, right wheel ${angle(dots[1]?.[1] ?? null, digits)}`;

  const made = [];
  const add = (spec, follow) => {
    const one = chart(spec);
    made.push({ figure: one.figure, follow: (now) => one.show(follow(now)) });
  };

  const lock = goal.lock_deg;
  add(
    {
      id: "chart-steer",
      title: "Steer angle.",
      words: `Both wheels at ride height, left positive. Shaded: beyond the wanted lock of ${angle(lock)}.${cars}`,
      xName: rackName,
      yName: "steer angle, degrees",
      xTick: rackTick,
      yTick: degrees,
      head: rackHead,
      xScale: unit.scale,
      flip: true,
      series: overRack("steer_deg"),
      bands: banded("steer_deg"),
      shaded: [
        { from: lock, to: 90, words: "beyond the wanted lock" },
        { from: -90, to: -lock, words: "beyond the wanted lock" },
      ],
    },
    (now) => {
      const dots = wheelDots("steer_deg", now);
      return { ...dots, said: both(dots.ys) };
    },
  );

  const turns = [
    { turn: "left", of: (values, c) => values.slice(c.lock.left, grid.centre + 1) },
    { turn: "right", of: (values, c) => values.slice(grid.centre, c.lock.right + 1) },
  ];
  const outer = [
    ...turns.map(({ turn, of }) => ({
      name: `outer wheel, ${turn} turn`,
      style: turn,
      xs: of(row(modified.curves.inner_deg), modified),
      ys: of(row(modified.curves.outer_deg), modified),
    })),
    {
      name: "ideal, without slip",
      style: "ideal",
      xs: turns[0].of(row(modified.curves.inner_deg), modified),
      ys: turns[0].of(row(modified.curves.ideal_outer_deg), modified),
    },
    {
      name: "as measured, left turn",
      style: "left before",
      xs: turns[0].of(row(measured.curves.inner_deg), measured),
      ys: turns[0].of(row(measured.curves.outer_deg), measured),
    },
  ];
  add(
    {
      id: "chart-outer",
      title: "Outer wheel against the ideal.",
      words: "The nearer to the ideal line, the less the tyres scrub in a slow turn.",
      xName: "inner wheel, degrees into the turn",
      yName: "outer wheel, degrees",
      xTick: (value) => angle(value, 0),
      yTick: degrees,
      head: (value) => angle(value),
      series: outer,
    },
    (now) => {
      const rack = within(modified, now.rack);
      const inner = at(modified.curves.inner_deg, rack, ride);
      const reached = at(modified.curves.outer_deg, rack, ride);
      const ideal = at(modified.curves.ideal_outer_deg, rack, ride);
      const there = reached === null || inner === null ? null : [inner, reached];
      return {
        at: inner,
        ys: [rack <= grid.centre ? there : null, rack > grid.centre ? there : null, null, null],
        said: there ? `Here: inner ${angle(inner)}, outer ${angle(reached)}, ideal ${angle(ideal)}` : "Here: straight ahead",
      };
    },
  );

  add(
    {
      id: "chart-over-centre",
      title: "Margin to over-centre.",
      words: `How far steering arm and tie rod are from one line, at ride height. Shaded: less than the wanted ${angle(goal.over_centre_margin_deg)}.${cars}`,
      xName: rackName,
      yName: "margin, degrees",
      xTick: rackTick,
      yTick: degrees,
      head: rackHead,
      xScale: unit.scale,
      flip: true,
      series: overRack("over_centre_deg"),
      bands: banded("over_centre_deg"),
      shaded: [{ from: 0, to: goal.over_centre_margin_deg, words: "less than wanted", within: [0] }],
    },
    (now) => {
      const dots = wheelDots("over_centre_deg", now);
      return { ...dots, said: both(dots.ys) };
    },
  );

  add(gapChart(data, turned, rackName, rackTick, rackHead, length), (now) => gapDots(data, turned, now, length));

  add(
    {
      id: "chart-camber",
      title: "Camber.",
      words: `Both wheels at ride height; negative when the top leans in.${cars}`,
      xName: rackName,
      yName: "camber, degrees",
      xTick: rackTick,
      yTick: degrees,
      head: rackHead,
      xScale: unit.scale,
      flip: true,
      series: overRack("camber_deg"),
      bands: banded("camber_deg"),
    },
    (now) => {
      const dots = wheelDots("camber_deg", now);
      return { ...dots, said: both(dots.ys) };
    },
  );

  const bump = (rack) =>
    SIDES.map((side) => ({
      name: `${side} wheel`,
      style: side,
      xs: grid.travel_mm,
      ys: modified.curves.wheels[side].toe_change_deg[within(modified, rack)],
    }));
  const least = (values) => values.flat(2).filter((value) => value !== null);
  const all = least(SIDES.map((side) => modified.curves.wheels[side].toe_change_deg));
  const most = Math.max(0.5, ...bump(grid.centre).flatMap((one) => one.ys.map((value) => Math.abs(value ?? 0))));
  const room = Math.min(Math.max(...all.map(Math.abs)), 12);
  add(
    {
      id: "chart-bump",
      title: "Bump steer.",
      words: "Change of toe with wheel travel at the slider's steer angle, positive in. Straight ahead first.",
      xName: `wheel travel, ${unit.name}: droop to bump`,
      yName: "change of toe, degrees",
      xTick: short,
      xScale: unit.scale,
      yTick: degrees,
      head: (value) => fixed(value, decimals),
      y: [-Math.max(most, room), Math.max(most, room)],
      series: bump(grid.centre),
    },
    (now) => {
      const series = bump(now.rack);
      const travel = grid.travel_mm[now.travel];
      const dots = series.map((one) => (one.ys[now.travel] === null ? null : [travel, one.ys[now.travel]]));
      return { at: travel, ys: dots, series, said: both(dots, 2) };
    },
  );
  return made;
}

function gapChart(data, turned, xName, xTick, head, length) {
  const names = gapNames(data);
  const { unit } = length;
  const { bodies, far_mm: far } = data.surroundings;
  const body = bodies.length ? " The body is as measured, before anything is cut." : "";
  const modified = data.conditions.as_modified;
  return {
    id: "chart-clearance",
    title: "Room round the tyre.",
    words: `Least gap of either tyre, grown to its largest, over all wheel travel. Shaded: less than the wanted ${length(data.goal.clearance_mm)}.${body} Gaps over ${length(far, 0)} are drawn as that.`,
    xName,
    yName: `gap, ${unit.name}`,
    xTick,
    yTick: short,
    yCell: (value) => fixed(value, 1 + unit.more),
    head,
    xScale: unit.scale,
    yScale: unit.scale,
    flip: true,
    series: names.map((name, i) => ({
      name,
      style: `gap-${i % 5}`,
      xs: turned,
      ys: leastOf(modified, name).map((value, at) =>
        at < modified.lock.left || at > modified.lock.right ? null : value,
      ),
    })),
    shaded: [{ from: -100, to: data.goal.clearance_mm, words: "less than wanted", within: [0, data.goal.clearance_mm, 1.07 * far] }],
  };
}

function gapNames(data) {
  return [...new Set(data.conditions.as_modified.curves.gaps.map((one) => one.name))];
}

function leastOf(condition, name) {
  const rows = condition.curves.gaps.filter((one) => one.name === name).map((one) => one.least_mm);
  return rows[0].map((_, i) => {
    const known = rows.map((row) => row[i]).filter((value) => value !== null);
    return known.length ? Math.min(...known) : null;
  });
}

function gapDots(data, turned, now, length) {
  const modified = data.conditions.as_modified;
  const rack = within(modified, now.rack);
  const found = gapNames(data).map((name) => ({ name, gap: leastOf(modified, name)[rack] }));
  const nearest = found.filter((one) => one.gap !== null).sort((a, b) => a.gap - b.gap)[0];
  const far = data.surroundings.far_mm;
  const said = nearest && nearest.gap < far ? `nearest is ${nearest.name}, ${length(nearest.gap)}` : `nothing within ${length(far, 0)}`;
  return {
    at: turned[rack],
    ys: found.map((one) => (one.gap === null ? null : [turned[rack], one.gap])),
    said: `Here: ${said}`,
  };
}
