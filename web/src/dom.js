// Elements made from plain text: whatever a job file holds becomes text, never markup.

const SVG = "http://www.w3.org/2000/svg";

export function el(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

export function svg(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(node, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    node.setAttribute(key, value === true ? "" : String(value));
  }
  node.append(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

// A name from the job file keeps to itself, whichever way it is written.
export function name(text) {
  return el("bdi", {}, text);
}

export function list(sentences) {
  return el("ul", {}, ...sentences.map((sentence) => el("li", { dir: "auto" }, sentence)));
}

export function section(id, title, ...children) {
  return el("section", { "aria-labelledby": `${id}-title`, id }, el("h2", { id: `${id}-title` }, title), ...children);
}

// A table in a frame of its own that scrolls on a narrow screen, and that the keyboard reaches.
export function table(title, head, rows, { hidden = false } = {}) {
  const caption = el("caption", hidden ? { class: "unseen" } : {}, title);
  const made = el(
    "table",
    {},
    caption,
    el("thead", {}, el("tr", {}, ...head.map((text) => el("th", { scope: "col" }, text)))),
    el(
      "tbody",
      {},
      ...rows.map((row) =>
        el(
          "tr",
          {},
          ...row.map((cell, i) =>
            i === 0 ? el("th", { scope: "row", dir: "auto" }, cell) : el("td", { dir: "auto" }, cell),
          ),
        ),
      ),
    ),
  );
  return el("div", { class: "scroll", role: "region", "aria-label": title, tabindex: "0" }, made);
}

export function details(summary, ...children) {
  return el("details", {}, el("summary", {}, summary), ...children);
}
