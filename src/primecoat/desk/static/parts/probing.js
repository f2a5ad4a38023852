// The numbers of the pixel under the pointer, computed by the server for each proof.

import { get } from "../api.js";
import { el, fill } from "./dom.js";
import { latest } from "./latest.js";
import { figure } from "./words.js";

const row = (values) => Array.isArray(values) ? values.map((v) => figure(v, 5)).join("  ") : "";

/** @param {object} spec ids() -> [{id, reading, words}], params(one, step in stops), cannot() -> why not */
export function probing(spec) {
  const body = el("tbody", {});
  const where = el("p", { class: "num where" }, "Point at a picture, or hold Shift and press the arrows.");
  const element = el("section", { class: "sheet probe", "aria-label": "Numbers under the pointer" },
    el("h2", {}, "Numbers under the pointer"), where,
    el("div", { class: "probe-table" }, el("table", {}, el("thead", {}, el("tr", {},
      ["read as", "stored", "working space", "display, 0–255", "display, 0–1", "cd/m²"].map((h) => el("th", { scope: "col" }, h)))), body)));
  const ask = latest(async ([at, step], signal) => {
    const why = spec.cannot?.();
    if (why) { where.textContent = `Cannot be probed: ${why}`; fill(body); return; }
    const found = await Promise.all(spec.ids().map(async (one) => {
      try { return [one, await get(`probe/${one.id}`, { x: at[0], y: at[1], ...spec.params(one, step) }, signal)]; } catch (error) {
        if (error.name === "AbortError") throw error;
        return [one, null, error];
      }
    }));
    const first = found.find(([, p]) => p)?.[1];
    where.textContent = first ? `column ${at[0]}, row ${at[1]}; ${first.channels.join(" ")}, ${first.stored}${step ? `; ${step > 0 ? "+" : ""}${figure(step)} stops` : ""}`
      : `Cannot be probed: ${found[0]?.[2]?.message ?? ""}`;
    fill(body, found.filter(([, p]) => p).map(([one, p]) => el("tr", {}, el("th", { scope: "row" }, one.words),
      el("td", { class: "num" }, row(p.file)), el("td", { class: "num" }, row(p.working) || "no colour"),
      el("td", { class: "num" }, row(p.display_255)), el("td", { class: "num" }, row(p.display)),
      el("td", { class: "num", title: p.nits_words }, p.nits === null ? "" : figure(p.nits, 4)))));
  });
  let last = null;
  return { element, at(next, step = 0) { if (next) last = [next, step]; if (last) ask(last); }, stop: () => ask.stop() };
}
