// What is this colour elsewhere, and what can be done with it?

import { get } from "../api.js";
import { shownThrough } from "../parts/desk.js";
import { button, choice, el, fill, labelled } from "../parts/dom.js";
import { emptySlip, say } from "../parts/notice.js";
import { READINGS } from "../parts/readings.js";
import { figure, plain } from "../parts/words.js";

const SPACES = READINGS.filter((r) => r !== "data");

export async function swatchSheet({ put, query }) {
  const paper = el("div", { class: "stack" });
  const colour = el("input", { type: "text", value: query.get("colour") ?? "#c8553d", "data-words": "", spellcheck: "false", autocomplete: "off" });
  const space = choice([["", "as it is written"], ...SPACES.map((s) => [s, s])], "", () => {});
  const form = el("form", { class: "row", onsubmit: (event) => { event.preventDefault(); look(); } },
    labelled("Colour: #rrggbb, r,g,b or 6500K", colour), labelled("Given in", space), el("button", { type: "submit", class: "main" }, "Look it up"));
  async function look() {
    try {
      fill(paper, answer(await get("api/swatch", { colour: colour.value.trim(), in: space.value, display: shownThrough().display })));
    } catch (error) {
      if (error.name !== "AbortError") fill(paper, el("section", { class: "sheet", role: "alert" }, emptySlip(error.message, error.remedy)));
    }
  }
  put(el("div", { class: "stack" }, el("section", { class: "sheet" }, el("h1", {}, "Swatch"),
    el("p", { class: "question" }, "What is this colour elsewhere, and what can be done with it?"), form), paper));
  await look();
}

function answer(found) {
  const hex = found.display?.hex ?? hexOf(found.spaces?.srgb_rec709_scene);
  const chip = el("div", { class: "big-chip", role: "img", "aria-label": hex ? `The colour, ${hex}` : "The colour cannot be shown" });
  if (hex) chip.style.background = hex;
  const rest = Object.entries(found).filter(([key, value]) => !["document", "primecoat", "libraries", "spaces", "config", "to", "version", "colour"].includes(key) && value !== null);
  return el("div", { class: "columns even" },
    el("section", { class: "sheet" }, el("h2", {}, "In every space"), el("table", { class: "plain-table" }, el("tbody", {}, Object.entries(found.spaces).map(([id, values]) => el("tr", {},
      el("th", { scope: "row", class: "code" }, id), el("td", { class: "num" }, values.map((v) => figure(v, 5).padStart(9)).join(" ")),
      el("td", {}, button("Copy", () => navigator.clipboard?.writeText(values.join(", ")).then(() => say(`${id} copied.`)), { class: "plain", "aria-label": `Copy ${id}` }))))))),
    el("section", { class: "sheet" }, el("h2", {}, "What can be done with it"), chip,
      el("p", { class: "soft" }, hex ? `The chip is ${hex} as sRGB; where the colour lies outside sRGB it is cut off.` : ""), rest.map(([key, value]) => [el("h3", {}, plain(key)), tree(value)])));
}

const hexOf = (rgb) => rgb ? `#${rgb.map((v) => Math.round(255 * Math.max(0, Math.min(1, v))).toString(16).padStart(2, "0")).join("")}` : null;

/** Facts of any shape as nested lists of words and numbers. */
export function tree(value) {
  if (Array.isArray(value)) {
    if (value.every((v) => typeof v !== "object" || v === null)) return el("p", { class: value.every((v) => typeof v === "number") ? "num" : "" }, value.map((v) => typeof v === "number" ? figure(v, 5) : v ?? "none").join("  "));
    return el("ul", { class: "tree" }, value.map((v) => el("li", {}, tree(v))));
  }
  if (value !== null && typeof value === "object") {
    return el("dl", { class: "facts" }, Object.entries(value).flatMap(([key, inner]) => [el("dt", {}, READINGS.includes(key) ? key : plain(key)), el("dd", {}, tree(inner))]));
  }
  if (typeof value === "boolean") return el("span", {}, value ? "yes" : "no");
  return el("span", { class: typeof value === "number" ? "num" : "" }, typeof value === "number" ? figure(value, 5) : value ?? "none");
}
