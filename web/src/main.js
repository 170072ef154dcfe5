// The report: the page's data in, the page out. Where the data comes from is of no matter here.
import { chartsOf } from "./charts.js";
import { el, section } from "./dom.js";
import { cautionSection, headSection, ladderSection, limitsSection, partsSection, tablesSection } from "./sections.js";
import { stateOf } from "./state.js";
import { steerSection } from "./steer.js";
import { lengths } from "./words.js";

export function report(data, root) {
  const length = lengths(data.job.units);
  const state = stateOf({
    rack: data.grid.centre,
    travel: data.grid.ride_height,
    condition: "as_modified",
    tyres: true,
    parts: true,
    body: true,
    badges: true,
    swept: false,
  });
  // Over the whole width, beside the page's main part, so that it stays in sight.
  root.before(
    el("aside", { class: "strip", "aria-label": "Caution in short" }, el("a", { href: "#caution" }, "Screening numbers, no approval."), " Do not drive on an unchecked part."),
  );
  root.append(
    headSection(data),
    cautionSection(data),
  );
  const steer = steerSection(data, state, length, root);
  root.append(steer.element);
  steer.scene?.show(state.now);
  const charts = chartsOf(data, length);
  const parts = partsSection(data, length, root);
  root.append(
    section(
      "charts",
      "What it does from lock to lock",
      el("p", { class: "lead" }, "Thick lines: as modified. Thin grey ones: as measured. The upright line follows the slider above."),
      el("div", { class: "charts" }, ...charts.map((one) => one.figure)),
    ),
    limitsSection(data),
    ladderSection(data),
    parts.element,
    tablesSection(data),
  );
  state.heard((now) => {
    for (const one of charts) one.follow(now);
  });
  // The first picture goes before those of the parts.
  requestAnimationFrame(() => setTimeout(parts.paint));
  return { data, state, scene: steer.scene };
}

const source = document.getElementById("report-data");
if (source) window.locksweep = report(JSON.parse(source.textContent), document.getElementById("report"));
