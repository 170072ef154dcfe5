// Small line charts: drawn once, with a cursor that follows the slider.
import { el, svg, table, details } from "./dom.js";

const [WIDTH, HEIGHT] = [440, 270];
const EDGE = { left: 50, right: 14, top: 12, bottom: 42 };

export function ticks(low, high, about) {
  const raw = (high - low) / about || 1;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10].map((factor) => factor * power).find((size) => size >= raw);
  const found = [];
  for (let value = Math.ceil(low / step) * step; value <= high + 1e-9; value += step) found.push(Math.round(value / step) * step);
  return found;
}

function span(values, room) {
  let [low, high] = [Math.min(...values), Math.max(...values)];
  if (high - low < 1e-9) [low, high] = [low - 1, high + 1];
  const spare = room * (high - low);
  return [low - spare, high + spare];
}

function path(xs, ys, x, y) {
  let drawn = "";
  let pen = "M";
  for (let i = 0; i < xs.length; i++) {
    if (xs[i] === null || ys[i] === null) {
      pen = "M";
      continue;
    }
    drawn += `${pen}${x(xs[i]).toFixed(1)} ${y(ys[i]).toFixed(1)}`;
    pen = "L";
  }
  return drawn;
}

// xScale, yScale: from the values' own unit to the one in which ticks and table are told; ticks and cells get the latter.
// series: {name, style, xs, ys}; bands: {xs, low, high}; shaded: {from, to, words}; marks: function of the state
export function chart({ id, title, words, xName, yName, xTick, yTick, yCell = yTick, xScale = 1, yScale = 1, series, bands = [], shaded = [], y: fixedY, reads, head, flip }) {
  const allX = series.flatMap((one) => one.xs).filter((value) => value !== null);
  const allY = [
    ...series.flatMap((one) => one.ys),
    ...bands.flatMap((one) => [...one.low, ...one.high]),
    ...shaded.flatMap((one) => one.within ?? []),
  ].filter((value) => value !== null);
  const [x0, x1] = [Math.min(...allX), Math.max(...allX)];
  const [y0, y1] = fixedY ?? span(allY, 0.05);
  const w = WIDTH - EDGE.left - EDGE.right;
  const h = HEIGHT - EDGE.top - EDGE.bottom;
  const share = (value) => (value - x0) / (x1 - x0 || 1);
  const x = (value) => EDGE.left + w * (flip ? 1 - share(value) : share(value));
  const y = (value) => EDGE.top + h * (1 - (value - y0) / (y1 - y0));
  const clip = `${id}-inside`;
  const drawing = svg(
    "svg",
    { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, class: "chart", role: "img", "aria-labelledby": `${id}-caption` },
    svg("clipPath", { id: clip }, svg("rect", { x: EDGE.left, y: EDGE.top, width: w, height: h })),
  );
  const inside = svg("g", { "clip-path": `url(#${clip})` });
  for (const area of shaded) {
    const [a, b] = [Math.max(area.from, y0), Math.min(area.to, y1)];
    if (b <= a) continue;
    inside.append(svg("rect", { class: "limit", x: EDGE.left, y: y(b), width: w, height: y(a) - y(b) }));
    inside.append(svg("text", { class: "limit-words", x: EDGE.left + 6, y: y(b) + 13 }, area.words));
  }
  for (const band of bands) {
    const known = band.xs.map((_, i) => i).filter((i) => band.low[i] !== null && band.high[i] !== null);
    const there = known.map((i) => `${x(band.xs[i]).toFixed(1)} ${y(band.high[i]).toFixed(1)}`);
    const back = known.reverse().map((i) => `${x(band.xs[i]).toFixed(1)} ${y(band.low[i]).toFixed(1)}`);
    if (there.length) inside.append(svg("path", { class: `band ${band.style ?? ""}`, d: `M${[...there, ...back].join("L")}Z` }));
  }
  for (const value of ticks(y0 * yScale, y1 * yScale, 5)) {
    const at = y(value / yScale);
    drawing.append(
      svg("line", { class: value === 0 ? "rule zero" : "rule", x1: EDGE.left, x2: WIDTH - EDGE.right, y1: at, y2: at }),
      svg("text", { class: "tick", x: EDGE.left - 6, y: at + 4, "text-anchor": "end" }, yTick(value)),
    );
  }
  for (const value of ticks(x0 * xScale, x1 * xScale, 6)) {
    drawing.append(svg("text", { class: "tick", x: x(value / xScale), y: HEIGHT - EDGE.bottom + 15, "text-anchor": "middle" }, xTick(value)));
  }
  const lines = series.map((one) => {
    const line = svg("path", { class: `line ${one.style}`, d: path(one.xs, one.ys, x, y) });
    inside.append(line);
    return line;
  });
  const cursor = svg("line", { class: "cursor", y1: EDGE.top, y2: EDGE.top + h });
  const dots = series.map((one) => svg("circle", { class: `dot ${one.style}`, r: 4 }));
  inside.append(cursor, ...dots);
  drawing.append(
    inside,
    svg("text", { class: "axis-name", x: EDGE.left + w / 2, y: HEIGHT - 8, "text-anchor": "middle" }, xName),
    svg("text", { class: "axis-name", x: 12, y: EDGE.top + h / 2, "text-anchor": "middle", transform: `rotate(-90 12 ${EDGE.top + h / 2})` }, yName),
  );
  const read = el("p", { class: "reading" });
  const key = el(
    "ul",
    { class: "key" },
    ...series
      .filter((one) => one.name)
      .map((one) =>
        el("li", {}, svg("svg", { viewBox: "0 0 28 8", class: "sample", "aria-hidden": "true" }, svg("path", { class: `line ${one.style}`, d: "M0 4L28 4" })), el("bdi", {}, one.name)),
      ),
  );
  const rows = () =>
    series[0].xs.map((value, i) => [
      head(value * xScale),
      ...series.filter((s) => s.name).map((one) => (one.xs[i] === null || one.ys[i] === null ? "none" : yCell(one.ys[i] * yScale))),
    ]);
  const numbers = details("Numbers as a table");
  // A table is made when it is opened first: six of them would double what the page holds.
  numbers.addEventListener(
    "toggle",
    () => numbers.append(table(title, [xName, ...series.filter((s) => s.name).map((one) => one.name)], rows())),
    { once: true },
  );
  const figure = el(
    "figure",
    { id },
    el("figcaption", { id: `${id}-caption` }, el("strong", {}, title), " ", words),
    key,
    drawing,
    read,
    numbers,
  );
  return {
    figure,
    // at: {x, ys} of the slider's pose; lines that hang on the slider come with new values
    show({ at, ys, series: next, said }) {
      if (next) {
        next.forEach((one, i) => {
          if (!one) return;
          Object.assign(series[i], one);
          lines[i].setAttribute("d", path(one.xs, one.ys, x, y));
        });
      }
      cursor.setAttribute("visibility", at === null || reads === "none" ? "hidden" : "visible");
      if (at !== null) {
        cursor.setAttribute("x1", x(at));
        cursor.setAttribute("x2", x(at));
      }
      dots.forEach((dot, i) => {
        const point = ys[i];
        dot.setAttribute("visibility", point ? "visible" : "hidden");
        if (!point) return;
        dot.setAttribute("cx", x(point[0]));
        dot.setAttribute("cy", y(point[1]));
      });
      read.textContent = said;
    },
  };
}
