// What happens to the colours and lights? A swatch book: before and after, as seen and as numbers.

import { get } from "../api.js";
import { hear, shownThrough } from "../parts/desk.js";
import { el, fill, labelled, nameOf } from "../parts/dom.js";
import { virtualList } from "../parts/list.js";
import { emptySlip, refuse } from "../parts/notice.js";
import { counted, figure, plain, readingWords, triple } from "../parts/words.js";

export async function coloursSheet({ put, until, later }) {
  const asked = { words: "" };
  let spell = 0;
  let first = null;
  const says = el("p", { class: "found", role: "status" });
  const none = el("div", { class: "sheet", hidden: true });
  const list = virtualList({
    id: "colour", label: "Colours and lights", rowHeight: 64, class: "swatches",
    async fetch(from, count, signal) {
      const found = await get("api/colours", { ...asked, from, count, ...shownThrough() }, signal);
      first = found;
      const total = found.total ?? found.rows.length;
      fill(says, counted(total, "colour or light", "colours and lights"));
      none.hidden = total > 0;
      list.element.hidden = total === 0;
      if (!total) fill(none, emptySlip(asked.words ? "None answers to these words." : "The scene holds no colours and no lights.", "Pictures have a sheet of their own."));
      return { ...found, total };
    },
    draw: (made, row) => fill(made, chips(row),
      el("span", { class: "cell" }, nameOf(row.owner || row.location, { title: row.owner || row.location }), el("span", { class: "why" }, row.kind === "light" ? "light" : plain(row.slot), row.kelvin ? `, ${row.kelvin} K` : "", `, ${row.scene}`)),
      el("span", { class: "cell" }, readingWords(row.reading), row.count > 1 ? el("span", { class: "why" }, `${row.count} values, the first is shown`) : null),
      numbers("in the scene", row.value), numbers("in the working space", row.working),
      el("span", { class: "cell" }, el("span", { class: "num" }, row.before?.hex ?? "none"), el("span", { class: "why" }, row.before ? codes(row.before) : "")),
      el("span", { class: "cell" }, el("span", { class: "num" }, row.after?.hex ?? "none"), el("span", { class: "why" }, row.after ? codes(row.after) : ""))),
    wait: (made) => fill(made, el("span", { class: "coming" }, "…")), failed: refuse,
  });
  until(list.stop);
  const field = el("input", {
    type: "search", "data-words": "", autocomplete: "off", spellcheck: "false", oninput: () => {
      clearTimeout(spell);
      spell = later(() => { asked.words = field.value; list.renew(true).catch(refuse); }, 180);
    },
  });
  await list.renew();
  const [products, question] = [el("div", {}), el("p", { class: "question" })];
  const layRest = () => {
    fill(products, inexact(first));
    fill(question, `Each chip is split: left as it is seen today through ${first.old.view}, right as it will be seen through ${first.new.view} (${first.new.display}).`);
  };
  layRest();
  put(el("section", { class: "sheet filters" }, el("h1", {}, "Colours and lights"),
    question,
    labelled("Words in owner, place or reading", field, { class: "field wide" }), says),
  el("div", { class: "vhead swatches", "aria-hidden": "true" }, ["before | after", "of", "read as", "in the scene", "working space", "seen before", "seen after"].map((h) => el("span", {}, h))),
  list.element, none, products);
  for (const what of ["changed", "settings"]) until(hear(what, () => list.renew().then(layRest).catch(refuse)));
}

function chips(row) {
  const half = (seen, words) => {
    const chip = el("span", { class: "chip", title: seen?.hex ? `${words}: ${seen.hex}` : words });
    if (seen?.hex) chip.style.background = seen.hex;
    else chip.classList.add("blank");
    return chip;
  };
  return el("span", { class: "chips", "aria-hidden": "true" }, half(row.before, "before"), half(row.after, "after"));
}

const share = (x) => `${figure(100 * x, 2)} %`;
const numbers = (words, values) => el("span", { class: "cell num", title: words }, Array.isArray(values) ? triple(values) : "unknown");
const codes = (seen) => seen.codes.join("  ");

function inexact(found) {
  const rows = found.products;
  return el("section", { class: "sheet" }, el("h2", {}, "What cannot be exact"),
    rows.length ? [el("p", { class: "question" }, "Products of two colours do not commute with a change of primaries. The result after the switch differs from today's by so much:"),
      el("table", {}, el("thead", {}, el("tr", {}, ["of", "slot", "picture", "product", "median", "95 %", "most"].map((h) => el("th", { scope: "col" }, h)))), el("tbody", {}, rows.map((one) => el("tr", {},
        el("td", {}, nameOf(one.owner), el("span", { class: "why" }, one.scene)), el("td", {}, plain(one.slot)), el("td", {}, nameOf(one.image || "")),
        el("td", {}, one.operation, el("span", { class: "why" }, one.why)),
        el("td", { class: "num" }, one.residual ? share(one.residual.median) : "unknown"), el("td", { class: "num" }, one.residual ? share(one.residual.p95) : ""),
        el("td", { class: "num" }, one.residual ? share(one.residual.max) : ""))))) , el("p", { class: "soft" }, rows[0].residual ? `Over ${rows[0].residual.over}.` : "")]
      : el("p", {}, "Every colour and light here is converted exactly."));
}
