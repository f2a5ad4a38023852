// The figures of the comparison, as the verb compare says them.

import { get } from "../api.js";
import { el, fill } from "./dom.js";
import { figure, plain, whole } from "./words.js";

const DONE = new Set(["document", "primecoat", "libraries", "config", "a", "b", "pictures", "frames", "exposure_stops", "exposure", "ciede2000"]);

export function renderFigures(state) {
  const place = el("div", {}, el("p", { role: "status" }, "They are being compared, in light and as seen …"));
  const element = el("section", { class: "sheet figures" }, el("h2", {}, "How they differ"), place);
  return {
    element,
    async look() {
      const found = await get("api/renders/comparison", { key: state.key });
      fill(place, lay(found, state));
    },
    failed(error) { fill(place, el("p", {}, error.message), el("p", {}, error.remedy ?? "")); },
  };
}

function lay(found, state) {
  const { ciede2000: e, exposure_stops: stops } = found;
  const frames = found.frames.length
    ? el("details", {}, el("summary", {}, `Each of the ${found.frames.length} frames`), table([["frame", "stops; CIEDE2000 mean, 95 %"],
      ...found.frames.map((one) => [String(one.frame), `${signed(one.exposure_stops)}; ${figure(one.ciede2000.mean, 3)}, ${figure(one.ciede2000.p95, 3)}`])])) : null;
  return [
    table([
      [`Exposure, stops of light ${found.exposure_of === "scene" ? "in the scene" : "on the display"}`, signed(stops)],
      ["CIEDE2000, mean", figure(e.mean, 4)], ["95 % of the pixels up to", figure(e.p95, 4)],
      ["99 % up to", figure(e.p99, 4)], ["greatest", figure(e.max, 4)], ["pixels", whole(found.pixels)],
    ]),
    el("p", { class: "soft" }, state.corrections ? "As the verb compare says it: without the old corrections, which it does not know. The pictures above are with them." : "As the verb compare says it, the new render as it is."),
    found.a.alpha !== found.b.alpha ? el("p", { class: "soft" }, "One has alpha and the other has not; colour alone is compared.") : null,
    frames,
    el("details", {}, el("summary", {}, "All figures"), table(rest(found))),
  ];
}

const signed = (x) => `${x > 0 ? "+" : ""}${figure(x, 4)}`;

const table = (rows) => el("table", {}, el("tbody", {}, rows.map(([name, value]) => el("tr", {}, el("th", { scope: "row" }, name), el("td", { class: "num" }, value)))));

function rest(found) {
  const rows = [];
  const walk = (value, name) => {
    if (value === null || value === undefined || value === "") return;
    if (typeof value === "object" && !Array.isArray(value)) for (const [key, inner] of Object.entries(value)) walk(inner, `${name}, ${plain(key)}`);
    else rows.push([name, Array.isArray(value) ? value.map((v) => figure(v, 4)).join("  ") : typeof value === "number" ? figure(value, 4) : String(value)]);
  };
  for (const [key, value] of Object.entries(found)) if (!DONE.has(key)) walk(value, plain(key));
  return rows;
}
