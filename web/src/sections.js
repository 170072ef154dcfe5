// Everything that is read rather than moved: caution, key numbers, limits, ladder, parts, tables.
import { paletteOf } from "./colours.js";
import { details, el, list, name, section, svg, table } from "./dom.js";
import { picture } from "./raster.js";
import { angle, fixed, sentence } from "./words.js";

const [PICTURE_WIDTH, PICTURE_HEIGHT] = [340, 230];

export function headSection(data) {
  return el(
    "header",
    { class: "head" },
    el("p", { class: "product" }, "locksweep report"),
    el("h1", {}, name(data.job.name)),
    el("p", { class: "answer", dir: "auto" }, data.answer),
    el(
      "dl",
      { class: "headline" },
      ...data.headline.map((one) =>
        el(
          "div",
          {},
          el("dt", {}, one.name),
          el("dd", { class: "big" }, one.modified),
          el("dd", { class: "was" }, `${one.measured} as measured`),
          el("dd", { class: "word", dir: "auto" }, one.word),
        ),
      ),
    ),
  );
}

export function cautionSection(data) {
  const { general, changes, falls_short: short, overridden, engineer, before_driving: before } = data.cautions;
  const more = (title, sentences) => (sentences.length ? [el("h3", {}, title), list(sentences)] : []);
  return el(
    "section",
    { class: "caution", id: "caution", "aria-labelledby": "caution-title" },
    el("h2", { id: "caution-title" }, "Caution"),
    el("p", { class: "caution-words" }, data.caution),
    ...more("Made although a check falls short", overridden),
    ...more("Not made here, and falls short", short),
    details(
      "What changes on this car carry it, and what is done before anyone relies on it",
      ...more("Changes that carry the car or change how it drives", changes),
      ...more("Before anyone relies on it", before),
    ),
    details("What these numbers are not, and what a licensed engineer must decide", list(general), el("h3", {}, "For the engineer"), list(engineer)),
    el("p", { class: "note" }, "The whole note, with every load and check, lies beside this file: ", link("caution.pdf"), " to print, ", link("caution.md"), " to read."),
  );
}

function link(file) {
  return el("a", { href: encodeURIComponent(file) }, file);
}

export function limitsSection(data) {
  const rows = [...data.limits].sort((a, b) => a.lock_deg - b.lock_deg);
  const most = Math.max(data.goal.lock_deg, ...rows.map((one) => one.lock_deg)) * 1.06;
  const groups = ["left", "right"].map((turn) => {
    const mine = rows.filter((one) => one.turn === turn);
    return bars(
      `The ${turn} turn's limits, first one first`,
      mine.map((one, i) => ({
        words: one.name,
        aside: [one.name.includes(one.where) ? null : one.where, one.counts ? null : "does not end the lock"].filter(Boolean).join(", "),
        value: one.lock_deg,
        strong: one.counts && i === mine.findIndex((item) => item.counts),
        faint: !one.counts,
      })),
      most,
      data.goal.lock_deg,
    );
  });
  return section(
    "limits",
    "What stops the wheel",
    el("p", { class: "lead" }, "Each limit as if it were the only one. The first that counts ends the lock; the upright line is the lock wanted."),
    el("div", { class: "pair" }, ...groups),
    list(data.limit_notes),
  );
}

export function ladderSection(data) {
  const { rungs, wanted_deg: wanted, notes, usual_bounds: usual } = data.ladder;
  const most = Math.max(wanted, ...rungs.map((one) => one.lock_deg)) * 1.06;
  return section(
    "ladder",
    "How far each kind of work gets",
    el("p", { class: "lead" }, "From the least work to the most; each rung holds the work of those above it, at its farthest."),
    bars(
      "Farthest lock of each rung",
      rungs.map((one, i) => ({
        words: `${i}. ${one.added}`,
        aside: `${one.load_path ? "touches the primary load path; " : ""}ended by ${one.held_by}`,
        value: one.lock_deg,
        strong: one.meets_goal,
      })),
      most,
      wanted,
    ),
    el("p", { class: "note" }, "Filled bars: all that the job asks for is within reach there, on paper."),
    details(
      "What each rung takes",
      table(
        "Rungs of the ladder",
        ["rung", "farthest lock", "percent Ackermann", "margin to over-centre", "what ends it", "to do"],
        rungs.map((one, i) => [
          `${i}. ${one.added}`,
          angle(one.lock_deg),
          fixed(one.percent_ackermann, 0),
          angle(one.over_centre_deg),
          one.held_by,
          one.work.join("; ") || "nothing",
        ]),
      ),
      usual ? el("p", { class: "note" }, "Beyond spacers and arms the job frees nothing, so the rest was tried within usual bounds.") : null,
      notes.length ? list(notes) : null,
    ),
  );
}

// Bars with their words above them, so that a long name never squeezes a bar.
function bars(title, rows, most, wanted) {
  const at = (value) => (100 * value) / most;
  const items = rows.map((row) =>
    el(
      "li",
      { class: row.faint ? "faint" : null },
      el("span", { class: "bar-words" }, el("bdi", {}, row.words), row.aside ? el("span", { class: "bar-aside", dir: "auto" }, ` (${row.aside})`) : null),
      el("span", { class: "bar-value" }, angle(row.value)),
      svg(
        "svg",
        { class: "bar", viewBox: "0 0 100 8", preserveAspectRatio: "none", "aria-hidden": "true" },
        svg("rect", { class: "bar-room", x: 0, y: 0, width: 100, height: 8 }),
        svg("rect", { class: row.strong ? "bar-fill strong" : "bar-fill", x: 0, y: 0, width: at(row.value), height: 8 }),
        svg("line", { class: "bar-wanted", x1: at(wanted), x2: at(wanted), y1: 0, y2: 8 }),
      ),
    ),
  );
  return el("div", { class: "bars" }, el("h3", {}, title), el("ol", {}, ...items));
}

export function partsSection(data, length, root) {
  const cards = data.parts.map((part) => ({ part, ...card(part, length) }));
  const aid = ({ part }) => part.role === "marking aid";
  const group = (title, mine) =>
    mine.length ? [el("h3", {}, title), el("div", { class: "cards" }, ...mine.map((one) => one.element))] : [];
  const paint = () => {
    const palette = paletteOf(root);
    for (const { part, canvas } of cards) if (canvas) picture(canvas, part.mesh, PICTURE_WIDTH, PICTURE_HEIGHT, palette);
  };
  const refused = data.refused.length
    ? [
        el("h3", {}, "Not made"),
        list(data.refused.map((one) => `${one.name}, ${one.limit}: ${one.reason}. Possible instead: ${one.nearest}`)),
      ]
    : [];
  const element = section(
    "parts",
    "Parts to be made",
    el("p", { class: "lead" }, "Files are beside this page. Print the mock-ups and hold them against the car before any metal is cut. What to do in which order is in the work order: ", link("work-order.pdf"), " to print, ", link("work-order.md"), " to read."),
    filesOf(data.set_files),
    ...group("Parts that go on the car", cards.filter((one) => !aid(one))),
    ...group("Marking aids and fixtures: none of them stays on the car", cards.filter(aid)),
    ...refused,
  );
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", paint);
  return { element, paint };
}

function card(part, length) {
  const canvas = part.mesh
    ? el("canvas", { class: "picture", width: PICTURE_WIDTH, height: PICTURE_HEIGHT, role: "img", "aria-label": pictureWords(part) })
    : null;
  const facts = [
    ["Revision", part.revision ?? "not built here"],
    ["Quantity", String(part.quantity)],
    ["Material", part.material],
    // How thick a sheet of paper is, is of no matter.
    ["Size over all", part.envelope_mm.slice(0, part.pattern ? 2 : 3).map((side) => length(side)).join(" \u00d7 ")],
    ["Mass of one", `${part.mass_kg.toFixed(3)} kg`],
  ];
  const { dimensions, checks, loads } = part.tables;
  const element = el(
    "article",
    { class: part.role === "carries the car" || part.role === "limits steering" ? "card heavy" : "card", "aria-labelledby": `part-${part.name}` },
    el("h4", { id: `part-${part.name}` }, part.name),
    el("p", { class: "what", dir: "auto" }, `${part.title}: ${part.fits}`),
    canvas ?? (part.pattern ? patternOf(part) : null),
    el("p", { class: "verdict" }, ...verdictOf(part)),
    ...part.overridden.map((sentence) => el("p", { class: "overridden", dir: "auto" }, `Made by override of the builder: ${sentence}`)),
    el("p", { class: "fails", dir: "auto" }, el("b", {}, "If it lets go: "), part.if_it_fails),
    el("dl", { class: "facts" }, ...facts.map(([key, value]) => el("div", {}, el("dt", {}, key), el("dd", { dir: "auto" }, value)))),
    filesOf(part.files),
    lazily("Dimensions", () => [rowsOf(part, dimensions), list(part.reasons)]),
    checks.rows.length ? lazily("Checks and loads", () => [rowsOf(part, checks), ...(loads.rows.length ? [rowsOf(part, loads)] : [])]) : null,
    lazily("To be done or judged by someone qualified", () => [list(part.qualified)]),
  );
  return { element, canvas };
}

function pictureWords(part) {
  return `Picture of ${part.name}: ${part.title}`;
}

function verdictOf(part) {
  if (part.role === "marking aid") return [el("strong", {}, sentence(part.load_path))];
  return [
    el("strong", {}, part.verdict),
    el("br"),
    `${sentence(part.load_path)} Least margin in the screening cases: ${part.least_margin}. No approval.`,
  ];
}

// The files of one use in a row: a mock-up may be of many pieces.
function filesOf(files) {
  const uses = new Map();
  for (const { name: file, what } of files) uses.set(what, [...(uses.get(what) ?? []), file]);
  const rows = [...uses].map(([what, names]) => el("li", {}, `${what}: `, ...names.flatMap((file, i) => [i ? ", " : null, link(file)])));
  return rows.length ? el("ul", { class: "files" }, ...rows) : null;
}

// What is only paper is shown as the lines that are printed.
function patternOf(part) {
  const { outlines_mm: outlines, marks_mm: marks } = part.pattern;
  const all = [...outlines, ...marks].flat();
  const [xs, ys] = [all.map(([x]) => x), all.map(([, y]) => -y)];
  const [left, top, room] = [Math.min(...xs), Math.min(...ys), 6];
  const d = (points, end) => `M${points.map(([x, y]) => `${x} ${-y}`).join("L")}${end}`;
  return svg(
    "svg",
    {
      class: "picture pattern",
      role: "img",
      "aria-label": pictureWords(part),
      viewBox: `${left - room} ${top - room} ${Math.max(...xs) - left + 2 * room} ${Math.max(...ys) - top + 2 * room}`,
    },
    ...outlines.map((points) => svg("path", { class: "pattern-cut", d: d(points, "Z") })),
    ...marks.map((points) => svg("path", { class: "pattern-mark", d: d(points, "") })),
  );
}

function rowsOf(part, one) {
  return table(`${one.title} of ${part.name}`, one.head, one.rows);
}

// Made when it is opened, so that a page of many tables is there at once.
function lazily(title, make) {
  const box = details(title);
  box.addEventListener("toggle", () => box.append(...make()), { once: true });
  return box;
}

// On paper the caution is whole. The parts' loads and checks have sheets of their own in caution.pdf.
let opened = [];
window.addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll(".caution details:not([open])")];
  for (const box of opened) box.open = true;
});
window.addEventListener("afterprint", () => {
  for (const box of opened) box.open = false;
});

export function tablesSection(data) {
  return section(
    "numbers",
    "All numbers",
    ...data.tables.map((one) => table(one.title, one.head, one.rows)),
    details(
      "What the words mean",
      el("dl", { class: "definitions" }, ...Object.entries(data.definitions).flatMap(([term, text]) => [el("dt", {}, term), el("dd", {}, text)])),
    ),
    el("p", { class: "note" }, `Made by locksweep ${data.tool.version}. The same numbers for other programs: `, link("summary.json"), "; the shops' summary: ", link("summary.md"), "; the job file as used: ", link("job.toml"), "."),
  );
}
