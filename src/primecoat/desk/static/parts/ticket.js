// The job ticket: the operations of a plan as lines before and after, and what needs a yes.

import { el, nameOf } from "./dom.js";
import { counted, plain, readingWords } from "./words.js";

const SHOWN = 200;

/** Operations grouped by kind; `consent` collects the yeses. */
export function ticket(plan, consent, changed) {
  const kinds = new Map();
  for (const one of plan.operations) kinds.set(one.kind, [...(kinds.get(one.kind) ?? []), one]);
  const asking = asks(plan);
  return [
    asking.length ? el("fieldset", { class: "asking" }, el("legend", {}, "This needs your yes"), asking.map((one) => {
      const box = el("input", { type: "checkbox", onchange: () => { if (box.checked) for (const n of one.numbers) { if (box.checked) consent.add(n); else consent.delete(n); } changed(); } });
      return el("label", { class: "field beside" }, box, el("span", { class: "label" }, one.words, el("span", { class: "why" }, `${counted(one.numbers.length, "operation")}: `, nameOf(one.where))));
    })) : null,
    [...kinds].map(([kind, operations]) => el("section", { class: "kind" }, el("h3", {}, KINDS[kind] ?? plain(kind), " ", el("span", { class: "soft" }, counted(operations.length, "operation"))),
      el("ul", { class: "diff" }, operations.slice(0, SHOWN).map(line)),
      operations.length > SHOWN ? rest(operations.slice(SHOWN)) : null)),
    plan.operations.length ? null : el("p", {}, "By this route nothing would change."),
    held(plan.held ?? []),
  ];
}

/** What needs consent, each reason once: [{words, where, numbers}]. */
export function asks(plan) {
  const found = new Map();
  for (const one of plan.operations.filter((o) => o.consent)) {
    if (!found.has(one.consent)) found.set(one.consent, { words: one.consent, where: one.where, numbers: [] });
    found.get(one.consent).numbers.push(one.n);
  }
  return [...found.values()];
}

/** Whether a yes is still missing. */
export const unasked = (plan, consent) => asks(plan).some((one) => one.numbers.some((n) => !consent.has(n)));

const KINDS = {
  link_image: "Pictures get a second name", bake_image: "Pictures are converted", write_scene: "Scenes are written",
};

function line(one) {
  const places = one.edits.length ? el("details", { open: one.edits.length <= 40 },
    el("summary", {}, counted(one.places, "place"), one.places > one.edits.length ? `, the first ${one.edits.length} are shown` : ""),
    el("ul", { class: "diff edits" }, one.edits.map((edit) => el("li", {}, el("p", { class: "code soft" }, nameOf(edit.place ?? "")), pair(edit))))) : null;
  return el("li", {}, pair(one), one.reading ? el("p", { class: "soft" }, `read as ${readingWords(one.reading)}`) : null, places);
}

const pair = (one) => [
  one.before ? el("p", { class: "before" }, el("span", { class: "sign", "aria-hidden": "true" }, "−"), el("del", {}, nameOf(one.before))) : null,
  one.after ? el("p", { class: "after" }, el("span", { class: "sign", "aria-hidden": "true" }, "+"), el("ins", {}, nameOf(one.after))) : null,
];

function rest(operations) {
  const list = el("ul", { class: "diff" });
  const details = el("details", { ontoggle: () => { if (details.open && !list.childElementCount) list.append(...operations.map(line)); } },
    el("summary", {}, `and ${counted(operations.length, "more operation")}`), list);
  return details;
}

function held(rows) {
  if (!rows.length) return null;
  return el("section", { class: "kind" }, el("h3", {}, "Left as it is ", el("span", { class: "soft" }, counted(rows.length, "place"))),
    el("ul", { class: "diff" }, rows.map((one) => el("li", {}, el("p", { class: "where" }, nameOf(one.where)),
      el("p", {}, one.why), el("p", { class: "soft" }, one.remedy)))));
}
