// Scopes of both renders as they are seen: waveform, RGB parade, histogram, and u'v' of the files.

import { get } from "../api.js";
import { button, el, fill, svg } from "./dom.js";
import { latest } from "./latest.js";
import { chromaticity } from "./plots.js";
import { counted, whole } from "./words.js";

const KINDS = [["waveform", "waveform"], ["parade", "RGB parade"], ["histogram", "histogram"], ["uv", "u′v′"]];
const SIDES = ["old", "new"];
const RGB = ["R", "G", "B"];

/** @param {object} spec state, params() -> query, until */
export function scopesSheet(spec) {
  let kind = "waveform";
  const wished = ["", ""];
  const places = SIDES.map(() => el("div", { class: "scope" }, el("p", { class: "soft", role: "status" }, "Its pixels are being counted …")));
  const buttons = KINDS.map(([value, words]) => button(words, () => { kind = value; press(); look(false); }));
  const press = () => KINDS.forEach(([value], i) => buttons[i].setAttribute("aria-pressed", String(value === kind)));
  const element = el("section", { class: "sheet scopes", "aria-label": "Scopes" },
    el("div", { class: "row middle" }, el("h2", {}, "Scopes"), el("fieldset", { class: "group", "aria-label": "Kind of scope" }, buttons)),
    el("div", { class: "columns even" }, SIDES.map((side, i) => el("div", {}, el("h3", {}, side), places[i]))));
  const asks = SIDES.map((side, i) => latest(async ({ which, query }, signal) => {
    try {
      const found = await get(`api/renders/${which === "uv" ? "chromaticity" : "scopes"}`, query, signal);
      fill(places[i], which === "uv" ? [chromaticity(found), el("p", { class: "soft" }, `Light as the file has it (${spec.state.sides[side].space}), before any view or match.`)] : [DRAW[which](found), words(found)]);
    } catch (error) {
      if (error.name === "AbortError") throw error;
      wished[i] = "";
      fill(places[i], el("p", {}, error.message, " ", error.remedy ?? ""));
    }
  }));
  /** Count again what would differ; while something is dragged only if the scopes are in sight. */
  function look(quick) {
    if (quick && (kind === "uv" || element.getBoundingClientRect().top > innerHeight)) return;
    SIDES.forEach((side, i) => {
      const { adjust, stops, ...rest } = spec.params();
      const query = kind === "uv" ? { ...rest, side } : { ...rest, side, stops, adjust: side === "new" ? adjust : "", quick: quick ? 1 : null };
      const wish = JSON.stringify([kind, { ...query, quick: side === "new" || stops ? query.quick : null }]);
      if (wish === wished[i]) return;
      wished[i] = wish;
      asks[i]({ which: kind, query });
    });
  }
  spec.until(() => { for (const ask of asks) ask.stop(); });
  press();
  return { element, look };
}

function words(found) {
  const told = [counted(found.pixels, "pixel"), found.exact ? "" : "of a reduced picture", found.not_finite ? `${whole(found.not_finite)} not finite` : "",
    found.below.some(Boolean) ? `below 0: ${RGB.map((c, i) => `${c} ${whole(found.below[i])}`).join(", ")}` : "",
    found.above.some(Boolean) ? `above 1: ${RGB.map((c, i) => `${c} ${whole(found.above[i])}`).join(", ")}` : "",
    found.dark ? `${whole(found.dark)} darker than ${found.least_nits} cd/m²` : ""].filter(Boolean);
  return el("p", { class: "soft", "data-exact": found.exact ? "1" : "0" }, `${told.join("; ")}.`);
}

/** Ink of a density on a canvas, the first level at the bottom; black, turned to white by the dark theme. */
function inked(text, columns, levels) {
  const ink = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const canvas = el("canvas", { width: columns, height: levels, "aria-hidden": "true" });
  const drawn = canvas.getContext("2d");
  const image = drawn.createImageData(columns, levels);
  for (let level = 0; level < levels; level += 1) {
    for (let column = 0; column < columns; column += 1) {
      const from = level * columns + column, to = 4 * ((levels - 1 - level) * columns + column);
      image.data.set([0, 0, 0, ink[from] ? 40 + (215 * ink[from]) / 255 : 0], to);
    }
  }
  drawn.putImageData(image, 0, 0);
  return canvas;
}

/** A field with an axis at its left; marks are [share from the bottom, words]. */
const field = (marks, label, ...inside) => el("div", { class: "field-of", role: "img", "aria-label": label },
  el("div", { class: "axis num", "aria-hidden": "true" }, marks.map(([share, text]) => { const one = el("span", {}, text); one.style.bottom = `${100 * share}%`; return one; })),
  el("div", { class: "graph" }, marks.map(([share]) => { const line = el("i", {}); line.style.bottom = `${100 * share}%`; return line; }), inside));

const CODE_MARKS = [0, 64, 128, 192, 255].map((code) => [code / 255, String(code)]);

const DRAW = {
  waveform(found) {
    const decades = [];
    for (let nits = found.least_nits; nits <= found.most_nits * 1.001; nits *= 10) decades.push(nits);
    const share = (nits) => Math.log(nits / found.least_nits) / Math.log(found.most_nits / found.least_nits);
    return el("figure", { class: "plot" }, field(decades.map((nits) => [share(nits), String(Number(nits.toPrecision(1)))]), "Waveform: luminance on the display of each column of the picture", inked(found.nits, found.columns, found.levels[1])),
      el("figcaption", { class: "soft" }, "cd/m² upwards, by their logarithm; the picture's columns from left to right; stronger ink is more pixels"));
  },
  parade(found) {
    return el("figure", { class: "plot" }, field(CODE_MARKS, "RGB parade: display codes of each column of the picture", el("div", { class: "parade" }, RGB.map((name, i) => el("div", {}, inked(found.codes[i], found.columns, found.levels[0]), el("b", {}, name))))),
      el("figcaption", { class: "soft" }, "display codes 0 to 255 upwards; columns from left to right, once for each of red, green and blue"));
  },
  histogram(found) {
    const most = Math.max(1, ...found.histogram.flat());
    const path = (counts) => `M0 60${counts.map((n, i) => `L${i} ${(60 - (57 * Math.sqrt(n / most))).toFixed(1)}H${i + 1}`).join("")}V60Z`;
    return el("figure", { class: "plot" }, RGB.map((name, i) => el("div", { class: "channel" }, el("b", {}, name),
      svg("svg", { viewBox: "0 0 256 60", preserveAspectRatio: "none", role: "img", "aria-label": `Histogram of ${name}` }, svg("path", { d: path(found.histogram[i]), fill: "currentColor" })))),
    el("figcaption", { class: "soft" }, `display codes 0 to 255; heights by the square root of the count, the highest is ${counted(most, "pixel")}`));
  },
};
