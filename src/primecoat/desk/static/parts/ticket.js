// The job ticket: the operations of a plan as lines before and after, and what needs a yes.

import { el, nameOf } from "./dom.js";
import { counted, plain } from "./words.js";

const SHOWN = 200;

/** Operations grouped by kind; `consent` collects the yeses. */
export function ticket(plan, consent, changed) {
  const kinds = new Map();
  for (const one of plan.operations) kinds.set(one.kind, [...(kinds.get(one.kind) ?? []), one]);
  const asking = asks(plan);
  return [
    asking.length ? el("fieldset", { class: "asking" }, el("legend", {}, "This needs your yes"), asking.map((one) => {
      const box = el("input", { type: "checkbox", onchange: () => { if (box.checked) consent.add(one.id); else consent.delete(one.id); changed(); } });
      return el("label", { class: "field beside" }, box, el("span", { class: "label" }, one.words));
    })) : null,
    [...kinds].map(([kind, operations]) => el("section", { class: "kind" }, el("h3", {}, plain(kind), " ", el("span", { class: "soft" }, counted(operations.length, "operation"))),
      el("ul", { class: "diff" }, operations.slice(0, SHOWN).map(line)),
      operations.length > SHOWN ? rest(operations.slice(SHOWN)) : null)),
    plan.operations.length ? null : el("p", {}, "By this route nothing would change."),
    held(plan.held ?? []),
  ];
}

/** What needs consent, each once: [{id, words}]. */
export function asks(plan) {
  const found = new Map();
  for (const one of plan.operations) {
    if (!one.consent) continue;
    const id = typeof one.consent === "object" ? one.consent.id ?? one.id : typeof one.consent === "string" ? one.consent : one.id ?? one.where;
    found.set(id, { id, words: (typeof one.consent === "object" ? one.consent.words : null) ?? one.consent_words ?? one.words ?? one.where });
  }
  for (const one of plan.consents ?? []) found.set(one.id ?? one, { id: one.id ?? one, words: one.words ?? String(one) });
  return [...found.values()];
}

const text = (value) => Array.isArray(value) ? value.join("  ") : value !== null && typeof value === "object" ? Object.entries(value).map(([k, v]) => `${k} ${v}`).join(", ") : value;

function line(one) {
  return el("li", {},
    el("p", { class: "where" }, nameOf(one.where ?? "")),
    one.before !== undefined && one.before !== null && one.before !== "" ? el("p", { class: "before" }, el("span", { class: "sign" }, "−"), el("del", {}, nameOf(text(one.before)))) : null,
    one.after !== undefined && one.after !== null && one.after !== "" ? el("p", { class: "after" }, el("span", { class: "sign" }, "+"), el("ins", {}, nameOf(text(one.after)))) : null,
    one.words ? el("p", { class: "soft" }, one.words) : null);
}

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
