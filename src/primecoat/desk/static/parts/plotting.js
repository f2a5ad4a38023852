// What a picture holds: histogram and u'v' plot under one of the readings on the strip.

import { get } from "../api.js";
import { choice, el, fill, labelled } from "./dom.js";
import { latest } from "./latest.js";
import { chromaticity, histogram } from "./plots.js";
import { readingWords } from "./words.js";

/**
 * @param {string} id  @param {function} readings those on the strip  @param {function} look layer and frame
 * @param {function} cannot why what the look asks for cannot be shown, if it is known beforehand
 */
export function plotting(id, readings, look, cannot) {
  let chosen = "", of = "file", done = "";
  const drawn = el("div", { class: "pair" });
  const asks = el("div", { class: "row" });
  const element = el("section", { class: "sheet plots" }, el("h2", {}, "What it holds"), asks, drawn);
  const draw = latest(async (reading, signal) => {
    const wish = { reading, layer: look().layer, frame: look().frame };
    const light = reading !== "data" && reading !== "unknown";
    const [counts, uv] = await Promise.all([
      get(`histogram/${id}`, { ...wish, of: light ? of : "file" }, signal),
      light ? get(`chromaticity/${id}`, wish, signal) : null,
    ]);
    fill(drawn, histogram(counts), uv ? chromaticity(uv) : el("p", { class: "soft" }, "Numbers that are no colours have no place in u′v′."));
  });
  draw.failed = (error) => { done = ""; fill(drawn, el("p", {}, error.message)); };
  function lay() {
    const there = readings();
    const reading = there.includes(chosen) ? chosen : there[0];
    const state = JSON.stringify([there, reading, of, look().layer, look().frame]);
    if (!reading || state === done) return;
    done = state;
    if (cannot()) { draw.stop(); fill(asks); fill(drawn, el("p", {}, `Cannot be shown: ${cannot()}`)); return; }
    const had = [...asks.querySelectorAll("select")].indexOf(document.activeElement);
    fill(asks,
      labelled("Read as", choice(there.map((r) => [r, readingWords(r)]), reading, (value) => { chosen = value; lay(); }, { "data-plots": "reading" })),
      labelled("Histogram of", choice([["file", "numbers as stored"], ["stops", "light in stops"]], of, (value) => { of = value; lay(); }, { disabled: reading === "data" })));
    asks.querySelectorAll("select")[had]?.focus({ preventScroll: true });
    draw(reading);
  }
  return { element, lay, stop: draw.stop };
}
