// "See it steer": the picture, what moves it, and what it reads.
import { paletteOf } from "./colours.js";
import { el, section, table } from "./dom.js";
import { flatOf } from "./flat.js";
import { at, within } from "./poses.js";
import { sceneOf } from "./scene.js";
import { angle, travelWords, turnWords } from "./words.js";

const STEP_MS = 70;

export function steerSection(data, state, length, root) {
  const canvas = el("canvas", { class: "scene", tabindex: "0", role: "img", "aria-label": "Front end in space. Drag or use the arrow keys to turn it, plus and minus to come nearer or go farther; the standard views are buttons below." });
  const labels = el("div", { class: "badges", "aria-hidden": "true" });
  const stage = el("div", { class: "stage" }, canvas, labels);
  const flat = flatOf(data);
  const flatBox = el("div", { class: "print-only" }, flat.element);
  const reading = el("dl", { class: "readings" });
  const grid = data.grid;

  const steer = slider("steer", "Steering", "full left", "full right", grid.turned_mm.length - 1, state.now.rack);
  const travel = slider("travel", "Wheel travel, both wheels", "droop", "bump", grid.travel_mm.length - 1, state.now.travel);
  steer.input.addEventListener("input", () => state.set({ rack: Number(steer.input.value) }));
  travel.input.addEventListener("input", () => state.set({ travel: Number(travel.input.value) }));

  const play = el("button", { type: "button", class: "play", "aria-pressed": "false" }, "Play lock to lock");
  player(play, data, state);
  let scene = null;
  try {
    if (!document.createElement("canvas").getContext("webgl2")) throw new Error("no WebGL");
    scene = sceneOf(data, canvas, labels, paletteOf(root));
  } catch {
    // Whatever keeps it from drawing in space, the flat drawings stand in.
    scene = null;
  }
  const condition = choices("condition", "Car", [
    ["as_modified", "as modified"],
    ["as_measured", "as measured"],
    ...(scene ? [["both", "both: measured as outlines"]] : []),
  ], state);
  const shown = el(
    "fieldset",
    {},
    el("legend", {}, "Show"),
    ...[
      ["tyres", "tyres"],
      ["parts", "parts that you make"],
      ["body", "body, by clearance"],
      ["swept", "swept tyre"],
    ].map(([key, words]) => toggle(key, words, state)),
  );
  const views = el("div", { class: "views", role: "group", "aria-label": "Standard views" });
  if (scene) {
    for (const view of scene.views.names) {
      const button = el("button", { type: "button" }, view);
      button.addEventListener("click", () => {
        scene.views.show(view);
        scene.ask();
      });
      views.append(button);
    }
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.addEventListener("change", () => scene.recolour(paletteOf(root)));
    window.addEventListener("beforeprint", () => scene.draw());
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => scene.ask());
  } else {
    stage.replaceChildren(
      el("p", { class: "plain-note" }, "This browser gives no WebGL, so the front end is drawn flat. Charts, pictures and tables below are the same."),
      flat.element,
    );
    stage.classList.add("without");
  }

  state.heard((now) => {
    const one = data.conditions[now.condition === "as_measured" ? "as_measured" : "as_modified"];
    const rack = within(one, now.rack);
    steer.input.value = now.rack;
    travel.input.value = now.travel;
    const turned = grid.turned_mm[rack];
    const stopped = rack !== now.rack ? ", at its stop" : "";
    const words = `${turnWords(turned)}${Math.abs(turned) < 0.05 ? "" : `, rack ${length(Math.abs(turned))} from its middle`}${stopped}`;
    const height = travelWords(grid.travel_mm[now.travel], length);
    steer.say(words);
    travel.say(height);
    reading.replaceChildren(...readingsOf(one, rack, now.travel, length, data.surroundings.far_mm));
    if (scene) scene.show(now);
    else flat.show(now);
  });
  window.addEventListener("beforeprint", () => flat.show(state.now));

  const legend = legendOf(data, length, scene !== null);
  const element = section(
    "motion",
    "See it steer",
    el("p", { class: "lead screen-only" }, `Move the sliders: every pose is the solver's.${scene ? " Turn the picture with the mouse, a finger or the arrow keys." : ""}`),
    stage,
    scene ? flatBox : null,
    el("div", { class: "sliders" }, steer.element, travel.element),
    reading,
    el("div", { class: "controls" }, play, condition, scene ? shown : null),
    views,
    legend,
    placesTable(data, length, scene !== null),
  );
  return { element, scene };
}

function slider(id, title, low, high, most, start) {
  const said = el("output", { for: id, id: `${id}-said` });
  const input = el("input", { type: "range", id, min: 0, max: most, step: 1, value: start });
  return {
    input,
    element: el(
      "div",
      { class: "slider" },
      el("label", { for: id }, title),
      said,
      input,
      el("span", { class: "ends", "aria-hidden": "true" }, el("span", {}, low), el("span", {}, high)),
    ),
    say(words) {
      said.textContent = words;
      input.setAttribute("aria-valuetext", words);
    },
  };
}

function choices(key, legend, options, state) {
  const box = el("fieldset", {}, el("legend", {}, legend));
  for (const [value, words] of options) {
    const input = el("input", { type: "radio", name: key, value });
    input.addEventListener("change", () => state.set({ [key]: value }));
    state.heard((now) => {
      input.checked = now[key] === value;
    });
    box.append(el("label", {}, input, ` ${words}`));
  }
  return box;
}

function toggle(key, words, state) {
  const input = el("input", { type: "checkbox", name: key });
  input.addEventListener("change", () => state.set({ [key]: input.checked }));
  state.heard((now) => {
    input.checked = now[key];
  });
  return el("label", {}, input, ` ${words}`);
}

function player(button, data, state) {
  let timer = null;
  let way = -1;
  const stop = () => {
    clearInterval(timer);
    timer = null;
    button.textContent = "Play lock to lock";
    button.setAttribute("aria-pressed", "false");
  };
  button.addEventListener("click", () => {
    if (timer) {
      stop();
      return;
    }
    button.textContent = "Stop";
    button.setAttribute("aria-pressed", "true");
    timer = setInterval(() => {
      const { left, right } = data.conditions.as_modified.lock;
      const next = state.now.rack + way;
      if (next < left || next > right) way = -way;
      state.set({ rack: Math.min(Math.max(state.now.rack + way, left), right) });
    }, STEP_MS);
  });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden && timer) stop();
  });
}

function readingsOf(condition, rack, travel, length, far) {
  const { wheels, gaps } = condition.curves;
  const pair = (words, key, digits = 1) =>
    item(words, `${angle(at(wheels.left[key], rack, travel), digits)} left, ${angle(at(wheels.right[key], rack, travel), digits)} right`);
  const near = gaps
    .map((one) => ({ ...one, here: at(one.gap_mm, rack, travel) }))
    .filter((one) => one.here !== null)
    .sort((a, b) => a.here - b.here)[0];
  return [
    pair("Steer angle", "steer_deg"),
    pair("Camber", "camber_deg"),
    pair("Margin to over-centre", "over_centre_deg"),
    item(
      "Nearest to a tyre",
      near && near.here < far ? `${near.name}, ${length(near.here)} (${near.side} wheel)` : `nothing within ${length(far, 0)}`,
    ),
  ];
}

function item(words, value) {
  return el("div", {}, el("dt", {}, words), el("dd", { dir: "auto" }, value));
}

function legendOf(data, length, inSpace) {
  const { bodies, wanted_mm: wanted, interest_mm: interest, remarks } = data.surroundings;
  const step = (name, words) => el("li", {}, el("span", { class: `swatch ${name}`, "aria-hidden": "true" }), words);
  const coloured = inSpace && bodies.length
    ? [
        el("h3", {}, "Colours of the body"),
        el(
          "ul",
          {},
          step("touch", "the swept tyre goes through it: cut, or closed up by a plate"),
          step("near", `under the wanted gap of ${length(wanted)}`),
          step("close", `up to ${length(interest)}`),
          step("far", "farther away"),
        ),
      ]
    : [];
  const body = bodies.length
    ? "The body is as measured, the tyre as modified and grown to its largest."
    : "The job holds no body round the wheels, so none is shown.";
  const swept = inSpace
    ? " The see-through swept tyre is a picture of where it goes, not a proof of clearance; go by the numbers, and by the wheel turned by hand."
    : "";
  return el(
    "div",
    { class: "legend" },
    ...coloured,
    el("p", { class: "note" }, body + swept),
    ...remarks.map((text) => el("p", { class: "note", dir: "auto" }, text)),
  );
}

function placesTable(data, length, inSpace) {
  const { places } = data.surroundings;
  if (!places.length) return null;
  return table(
    `Where the swept tyre comes nearest to the body${inSpace ? ", numbered as in the picture" : ""}`,
    ["place", "what and where", "clearance", "when", "forward, left, up"],
    places.map((place) => [
      String(place.number),
      place.name,
      place.clearance_mm < 0 ? `${length(-place.clearance_mm)} through it` : length(place.clearance_mm),
      place.when ? `wheel at ${angle(place.when.steer_deg)}, ${travelWords(place.when.travel_mm, length)}` : "in any pose",
      place.at_mm.map((value) => length(value, 0)).join(", "),
    ]),
  );
}
