// Which pictures are sure, which need me? Filter, mark many, decide for all of them at once.

import { get, address } from "../api.js";
import { desk, hear, keep } from "../parts/desk.js";
import { button, choice, el, fill, labelled, nameOf } from "../parts/dom.js";
import { knowKeys } from "../parts/keys.js";
import { virtualList } from "../parts/list.js";
import { emptySlip, refuse } from "../parts/notice.js";
import { slip } from "../parts/slip.js";
import { counted, plain, readingWords, standing, STANDINGS, whole } from "../parts/words.js";

const KEYS = [
  ["arrows, Page, Home, End", "move"], ["Space", "mark or unmark"], ["Shift + arrows", "mark a run"],
  ["Ctrl + A", "mark all that the filter shows"], ["Esc", "unmark all"], ["Enter", "open the picture"],
  ["d", "to the decision slip"], ["u", "take the last word back"],
];
const FACETS = ["standing", "slot", "owner", "finding"];

/** The filter last used, so that a way back from a picture finds it again. */
export const asked = { words: "", standing: "", slot: "", owner: "", finding: "", order: "path" };

export async function picturesSheet({ put, query, until, current, later }) {
  if ([...query.keys()].length) {
    for (const key of Object.keys(asked)) asked[key] = query.get(key) ?? (key === "order" ? "path" : "");
  }
  knowKeys(KEYS);
  const marked = new Map();
  const filters = el("form", { class: "sheet filters", role: "search", "aria-label": "Filter", onsubmit: (e) => e.preventDefault() });
  const says = el("p", { class: "found", role: "status" });
  const none = el("div", { class: "sheet", hidden: true });
  let spell = 0;

  const list = virtualList({
    id: "picture", label: "Pictures", rowHeight: desk.settings.sheet === "contact" ? 208 : 48,
    class: desk.settings.sheet === "contact" ? "contact" : "rows",
    columns: 1,
    columnsFor: desk.settings.sheet === "contact" ? (w) => Math.max(2, Math.floor(w / 190)) : undefined,
    fetch: async (from, count, signal) => {
      const found = await get("api/images", { ...asked, from, count }, signal);
      layFilters(found);
      return found;
    },
    draw: desk.settings.sheet === "contact" ? drawCard : drawRow,
    wait: (made) => { made.removeAttribute("aria-selected"); fill(made, el("span", { class: "coming" }, "…")); },
    settled: (made) => made.forEach(showThumb),
    activate: (index) => { const row = list.row(index); if (row) location.hash = `#/picture/${row.id}`; },
    toggle, failed: refuse,
    key(event, index) {
      if (event.key === "a" && (event.ctrlKey || event.metaKey)) { markRun(0, list.total - 1); return true; }
      if (event.key === "Escape") { marked.clear(); renewed(); return true; }
      if (event.ctrlKey || event.metaKey || !desk.settings.singleKeys) return false;
      if (event.key === "d") {
        const row = list.row(index);
        if (!marked.size && row) { marked.set(row.id, row); renewed(); }
        decision.focus();
        return true;
      }
      if (event.key === "u") { if (!event.repeat) decision.takeBack(); return true; }
      return false;
    },
  });
  until(list.stop);

  const decision = slip({
    ids: () => [...marked.keys()], count: () => marked.size, version: () => list.version, readings: [],
    async done(ids) {
      for (const id of ids) marked.delete(id); // those marked meanwhile stay so
      await list.renew();
      renewed();
      if (current() && decision.idle()) list.element.focus({ preventScroll: true });
    },
  });

  async function toggle(index, run) {
    if (run !== undefined) { await markRun(Math.min(run, index), Math.max(run, index)); return; }
    const row = list.row(index);
    if (!row) return;
    if (!marked.delete(row.id)) marked.set(row.id, row);
    renewed();
  }
  async function markRun(from, to) {
    try {
      for (const row of await list.range(from, to)) marked.set(row.id, row);
      renewed();
    } catch (error) { refuse(error); }
  }
  function renewed() {
    decision.update();
    decision.lay([...marked.values()].slice(0, 50).map((row) => row.reading));
    list.redraw();
  }

  function drawRow(made, row) {
    const on = marked.has(row.id);
    made.setAttribute("aria-selected", String(on));
    fill(made, el("span", { class: "tick" }), thumb(row),
      el("span", { class: "cell path", "data-opens": "" }, nameOf(row.path)),
      el("span", { class: "cell reads" }, readingWords(row.reading), row.decided ? el("span", { class: "soft" }, ` by ${row.decided.who || "a person"}`) : null),
      el("span", { class: "cell" }, standing(row.standing)),
      el("span", { class: "cell soft" }, (row.slots.length ? row.slots : [row.content]).map(plain).join(", ")),
      el("span", { class: "cell soft" }, row.owners.map((o) => nameOf(o)).flatMap((o, i) => (i ? [", ", o] : [o]))),
      el("span", { class: "cell code" }, row.findings.join(" ")));
  }
  function drawCard(made, row) {
    made.setAttribute("aria-selected", String(marked.has(row.id)));
    fill(made, el("span", { class: "tick" }), thumb(row),
      el("span", { class: "path", "data-opens": "" }, nameOf(row.path.split("/").pop())),
      el("span", { class: "under" }, standing(row.standing), " ", el("span", { class: "soft" }, readingWords(row.reading))));
  }
  function thumb(row) {
    if (row.cannot_show) return noThumb(row.cannot_show);
    const image = el("img", { class: "thumb", alt: "", loading: "eager", draggable: "false" });
    image.dataset.id = row.id;
    image.hidden = true;
    image.addEventListener("load", () => { image.hidden = false; });
    image.addEventListener("error", () => image.parentElement?.replaceWith(noThumb("The file cannot be read any more.")));
    return el("span", { class: "thumb-field" }, image);
  }
  const noThumb = (why) => el("span", { class: "thumb-field no-thumb", title: `Cannot be shown: ${why}` }, "cannot be shown");
  function showThumb(made) {
    const image = made.querySelector(".thumb");
    if (!image || image.src) return;
    const edge = desk.settings.sheet === "contact" ? 176 : 40;
    image.src = address(`picture/${image.dataset.id}`, { size: `${edge},${edge}`, quick: 1, as: "view" });
  }

  let laidFor = "";
  function layFilters(found) {
    if (!current()) return;
    fill(says, found.total === found.all ? counted(found.all, "picture") : `${whole(found.total)} of ${counted(found.all, "picture")}`);
    const bare = FACETS.every((f) => !asked[f]) && !asked.words;
    none.hidden = found.total > 0;
    list.element.hidden = found.total === 0;
    if (!found.total) {
      fill(none, bare ? emptySlip("There are no pictures here.", "The scene holds colours and lights only, if at all.")
        : emptySlip("No picture answers to this.", button("Clear the filter", clear)));
    }
    const facets = JSON.stringify(found.facets);
    if (laidFor === facets && filters.childElementCount) return;
    laidFor = facets;
    const had = document.activeElement?.dataset?.facet;
    const options = (facet) => {
      const counts = Object.entries(found.facets[facet] ?? {});
      if (facet === "standing") counts.sort((a, b) => STANDINGS.indexOf(a[0]) - STANDINGS.indexOf(b[0]));
      if (asked[facet] && !counts.some(([v]) => v === asked[facet])) counts.unshift([asked[facet], 0]);
      return [["", "any"], ...counts.map(([value, n]) => [value, `${facet === "slot" ? plain(value) : value} (${n})`])];
    };
    if (!filters.childElementCount) filters.append(words, ...FACETS.map(() => el("span", {})), order, clearing, says, laying);
    FACETS.forEach((facet, i) => filters.children[i + 1].replaceWith(labelled(facet[0].toUpperCase() + facet.slice(1), choice(options(facet), asked[facet],
      (value) => { asked[facet] = value; again(); }, { "data-facet": facet }))));
    if (had && had !== "words") filters.querySelector(`[data-facet="${CSS.escape(had)}"]`)?.focus();
  }
  const field = el("input", {
    type: "search", placeholder: "name, owner …", value: asked.words, "data-words": "", autocomplete: "off", spellcheck: "false",
    oninput: () => { clearTimeout(spell); spell = later(() => { asked.words = field.value; again(); }, 180); },
    onkeydown: (event) => { if (event.key === "ArrowDown") { event.preventDefault(); list.element.focus(); } },
  });
  const words = labelled("Words", field, { class: "field wide" });
  const order = labelled("Order", choice([["path", "by name"], ["standing", "least firm first"], ["confidence", "least sure first"]],
    asked.order, (value) => { asked.order = value; again(); }));
  const clearing = button("Clear", clear);
  const laying = el("fieldset", { class: "group push" }, el("legend", {}, "Laid out as"),
    [["list", "list"], ["contact", "contact sheet"]].map(([value, said]) => button(said, () => {
      keep({ sheet: value });
      dispatchEvent(new HashChangeEvent("hashchange"));
    }, { "aria-pressed": String((desk.settings.sheet === "contact") === (value === "contact")) })));

  function clear() {
    for (const key of Object.keys(asked)) if (key !== "order") asked[key] = "";
    field.value = "";
    again();
  }
  async function again() {
    marked.clear();
    try { await list.renew(true); renewed(); } catch (error) { refuse(error); }
  }

  const head = el("div", { class: "vhead", "aria-hidden": "true", hidden: desk.settings.sheet === "contact" },
    ["", "", "picture", "read as", "standing", "is", "of", "findings"].map((h) => el("span", {}, h)));
  put(el("h1", { class: "unseen" }, "Pictures"), filters, head, list.element, none,
    el("div", { class: "sheet below" }, decision.element));
  until(hear("changed", async () => { try { await list.renew(); renewed(); } catch (error) { refuse(error); } }));
  await list.renew();
  list.element.focus({ preventScroll: true });
}
