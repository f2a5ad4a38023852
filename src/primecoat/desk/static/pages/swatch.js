// What is this colour elsewhere, and what can be done with it?

import { get } from "../api.js";
import { desk, shownThrough } from "../parts/desk.js";
import { button, choice, el, fill, labelled } from "../parts/dom.js";
import { emptySlip, say } from "../parts/notice.js";
import { READINGS } from "../parts/readings.js";
import { figure, readingWords } from "../parts/words.js";

const SPACES = READINGS.filter((r) => r !== "data");
const USES = [
  ["through", "how it is seen through"], ["against", "what shows as it under"],
];

export async function swatchSheet({ put, query, current }) {
  const { display, view } = shownThrough();
  const views = desk.scene.views.filter((one) => one.display === display).map((one) => [one.view, one.view]);
  const paper = el("div", { class: "stack" });
  const moved = el("div", {});
  const colour = el("input", { type: "text", value: query.get("colour") ?? "#c8553d", "data-words": "", maxlength: 200, required: true, spellcheck: "false", autocomplete: "off" });
  const space = choice([["", "as it is written"], ...SPACES.map((s) => [s, s])], query.get("in") ?? "", () => {});
  const use = choice(USES, query.get("against") ? "against" : "through", () => look());
  const chosen = choice(views, query.get("against") ?? query.get("through") ?? view, () => look());
  const form = el("form", { class: "row", onsubmit: (event) => { event.preventDefault(); look(); } },
    labelled("Colour: #rrggbb, r,g,b or 6500K", colour), labelled("Given in", space), labelled("Tell also", use), labelled(`View on ${display}`, chosen),
    el("button", { type: "submit", class: "main" }, "Look it up"));
  let turn = 0, balance = 0;
  async function look() {
    if (!form.reportValidity()) return;
    const mine = turn += 1;
    try {
      const found = await get("api/swatch", { colour: colour.value.trim(), in: space.value, display, [use.value]: chosen.value });
      if (current() && mine === turn) fill(paper, answer(found));
    } catch (error) {
      if (current() && mine === turn) fill(paper, el("section", { class: "sheet", role: "alert" }, emptySlip(error.message, here(error.remedy))));
    }
  }
  const gains = el("input", { type: "text", placeholder: "1.2,1,0.8", maxlength: 200, required: true, spellcheck: "false", autocomplete: "off" });
  const asked = el("form", { class: "row", onsubmit: async (event) => {
    event.preventDefault();
    const mine = balance += 1;
    const tell = (...found) => { if (mine === balance) fill(moved, ...found); };
    try { tell(shownGains(await get("api/gains", { gains: gains.value.trim(), from: made.value }))); } catch (error) {
      if (error.name !== "AbortError") tell(el("div", { role: "alert" }, emptySlip(error.message, error.remedy)));
    }
  } });
  const linear = SPACES.filter((s) => s.startsWith("lin_"));
  const made = choice(linear.map((s) => [s, s]), linear.includes(desk.scene.from) ? desk.scene.from : linear[0], () => {});
  asked.append(labelled("White-balance gains r,g,b", gains), labelled("of", made), el("button", { type: "submit" }, "Say them anew"));
  put(el("div", { class: "stack" },
    el("section", { class: "sheet" }, el("h1", {}, "Swatch"), el("p", { class: "question" }, "What is this colour elsewhere, and what can be done with it?"), form), paper,
    el("section", { class: "sheet" }, el("h2", {}, "White balance"), el("p", { class: "question" }, `What do gains set in the old working space become in ${desk.scene.to}?`), asked, moved)));
  await look();
}

/** The remedy of the verb, whose option stands as a field on this sheet. */
const here = (remedy) => `${remedy}${remedy.includes("--in ") ? " On this sheet: choose it under “Given in”." : ""}`;
const numbers = (values) => values.map((v) => figure(v, 5).padStart(9)).join(" ");
const table = (heads, rows) => el("table", { class: "plain-table" }, heads ? el("thead", {}, el("tr", {}, heads.map(([h, kind]) => el("th", { scope: "col", class: kind ?? "" }, h)))) : null, el("tbody", {}, rows));

function answer(found) {
  const seen = found.through ?? found.against?.shown ?? null;
  const hex = seen?.hex ?? found.codes.srgb_rec709_display?.hex ?? null;
  return el("div", { class: "columns even" },
    el("section", { class: "sheet" }, el("h2", {}, "In every space"),
      table([["space"], ["numbers", "num"], ["8-bit codes", "num"], ["", ""]], Object.entries(found.spaces).map(([id, values]) => el("tr", {},
        el("th", { scope: "row", class: "code" }, id), el("td", { class: "num" }, numbers(values)),
        el("td", { class: "num" }, found.codes[id]?.hex ?? ""),
        el("td", { class: "num" }, copy(id, found.copy[id] ?? values.join(", "))))))),
    el("section", { class: "sheet" }, el("h2", {}, "As it is seen"), chip(hex),
      seen ? el("p", {}, found.against ? "What comes nearest, " : "", `seen through ${seen.view} on ${seen.display}: `, el("span", { class: "num" }, `${seen.hex}  ${seen.codes.join(" ")}`)) : null,
      found.against ? sought(found.against) : null,
      el("h3", {}, "What it is"), facts([
        ["given in", `${found.colour.space}, ${found.colour.referred}-referred`], ["X, Y, Z", numbers(found.xyz)], ["x, y", found.xy ? numbers(found.xy) : "black has none"],
        ["as white light", found.temperature ? `${figure(found.temperature.kelvin, 4)} K, Duv ${figure(found.temperature.duv, 3)} (${found.temperature.method})` : "too far from white for a temperature"],
        ["as an albedo", `${found.albedo.judgement}; luminance ${figure(found.albedo.luminance, 3)}, real ones from ${figure(found.albedo.limits[0], 2)} to ${figure(found.albedo.limits[1], 2)}`]]),
      el("h3", {}, "Gamuts"), table([["gamut"], ["holds it?"], ["nearest", "num"], ["CIEDE2000", "num"]], Object.entries(found.gamuts).map(([id, one]) => el("tr", {},
        el("th", { scope: "row", class: "code" }, id), el("td", {}, one.inside ? "yes" : "no"),
        el("td", { class: "num" }, one.inside ? "" : numbers(one.nearest)), el("td", { class: "num" }, one.inside || one.ciede2000 === null ? "" : figure(one.ciede2000, 3))))),
      el("h3", {}, "To copy into a field"), table(null, Object.entries(found.copy).map(([id, text]) => el("tr", {},
        el("th", { scope: "row", class: "code" }, id), el("td", { class: "num" }, text), el("td", { class: "num" }, copy(`${id} for a field`, text)))))));
}

function chip(hex) {
  const made = el("div", { class: "big-chip", role: "img", "aria-label": hex ? `The colour, ${hex}` : "The colour cannot be shown" });
  if (hex) made.style.background = hex; else made.classList.add("blank");
  return made;
}

function sought(found) {
  return facts([
    ["wanted", `${found.wanted.hex}`], ["can be reached", found.reachable ? "yes" : `no; CIEDE2000 ${figure(found.ciede2000, 3)} off`],
    ["scene light", numbers(found.scene)], ["as a surface", found.uses.reflectance ? "yes" : `no: ${found.why}`], ["as a light or unlit", "yes"]]);
}

function shownGains(found) {
  const off = (one) => `${figure(100 * one.median, 2)} % in the median, ${figure(100 * one.p95, 2)} % at 95 %`;
  return [table([["as"], ["numbers", "num"], ["how far off", "num"]], [
    el("tr", {}, el("th", { scope: "row" }, `gains of ${found.to}, the best there are`), el("td", { class: "num" }, numbers(found.best.gains)), el("td", { class: "num" }, off(found.best.residual))),
    el("tr", {}, el("th", { scope: "row" }, "gains converted like a colour"), el("td", { class: "num" }, numbers(found.as_colour.gains)), el("td", { class: "num" }, off(found.as_colour.residual))),
    found.matrix.map((row, i) => el("tr", {}, el("th", { scope: "row" }, i ? "" : "exactly, as a matrix"), el("td", { class: "num" }, numbers(row)), el("td", { class: "num" }, i ? "" : "exact")))]),
  el("p", { class: "soft" }, `From ${readingWords(found.from)}. Over ${found.over}.`)];
}

const facts = (pairs) => el("dl", { class: "facts" }, pairs.flatMap(([what, is]) => [el("dt", {}, what), el("dd", {}, is)]));
const copy = (id, text) => button("Copy", () => copied(id, text), { class: "plain", "aria-label": `Copy ${id}` });

async function copied(id, text) {
  try {
    await navigator.clipboard.writeText(text);
    say(`${id} copied.`);
  } catch {
    say(`The browser does not let this page copy. The numbers are ${text}`, { stay: true, kind: "error" });
  }
}
