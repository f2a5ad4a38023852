// Exact numbers of the pixel under the pointer, for both renders and their difference.

import { get } from "../api.js";
import { el, fill } from "./dom.js";
import { latest } from "./latest.js";
import { figure } from "./words.js";

const HEADS = ["", "as stored", "light, linear AP1", "0–255", "display, 0–1", "cd/m²"];

/** Numbers of a pixel in a cell; all their digits stand in its title. */
const cell = (values, digits) => el("td", { class: "num", title: values?.join("  ") ?? null },
  values ? values.map((v) => figure(v, digits)).join("  ") : "display-referred");

/** @param {object} spec params() -> query, words about cd/m² */
export function pairNumbers(spec) {
  const body = el("tbody", {});
  const where = el("p", { class: "where" }, "Point at a picture, or give it the focus, hold Shift and press the arrows.");
  const apart = el("p", { class: "apart-numbers" });
  const element = el("section", { class: "sheet probe", "aria-label": "Numbers under the pointer" }, el("div", { class: "row middle" }, el("h2", {}, "Numbers under the pointer"), where, apart),
    el("div", { class: "probe-table" }, el("table", {}, el("thead", {}, el("tr", {}, HEADS.map((h) => el("th", { scope: "col", title: h === "cd/m²" ? spec.words : null }, h)))), body)));
  const ask = latest(async (at, signal) => {
    let found;
    try { found = await get("api/renders/pixel", { x: at[0], y: at[1], ...spec.params() }, signal); } catch (error) {
      if (error.name === "AbortError") throw error;
      where.textContent = `${error.message} ${error.remedy ?? ""}`;
      return;
    }
    fill(where, "column ", el("b", { class: "num" }, found.x), ", row ", el("b", { class: "num" }, found.y));
    fill(apart, "CIEDE2000 ", el("b", { class: "num", "data-figure": "ciede2000" }, found.ciede2000 === null ? "none" : figure(found.ciede2000, 4)),
      "   stops ", el("b", { class: "num", "data-figure": "stops" }, found.stops === null ? "none" : `${found.stops > 0 ? "+" : ""}${figure(found.stops, 3)}`));
    fill(body, ["old", "new"].map((side) => {
      const p = found[side];
      return el("tr", {}, el("th", { scope: "row" }, el("strong", {}, side), " ", el("span", { class: "soft" }, p.space), ` ${p.stored}`),
        cell(p.file, 5), cell(p.light, 4), cell(p.display_255, 3), cell(p.display, 4), cell([p.nits], 4));
    }));
  });
  let last = null;
  return { element, at(next) { last = next ?? last; if (last) ask(last); }, stop: () => ask.stop() };
}
