// The job ticket: the operations of a plan as lines before and after.

import { el, nameOf } from "./dom.js";
import { counted, plain, readingWords } from "./words.js";

const SHOWN = 200;

export const KINDS = {
  link_image: "Pictures get a second name", rename_image: "Pictures get another name",
  extract_image: "Pictures are taken out of the scene file", bake_image: "Pictures are converted", write_scene: "Scenes are written",
};

/** Operations grouped by kind, then what is left as it is. */
export function ticket(plan) {
  const kinds = new Map();
  for (const one of plan.operations) kinds.set(one.kind, [...(kinds.get(one.kind) ?? []), one]);
  return [
    [...kinds].map(([kind, operations]) => el("section", { class: "kind" }, el("h3", {}, KINDS[kind] ?? plain(kind), " ", el("span", { class: "soft" }, counted(operations.length, "operation"))),
      inPieces(operations, line, "diff"))),
    plan.operations.length ? null : el("p", {}, "By this route nothing would change."),
    held(plan.held ?? []),
  ];
}

/** A list whose tail is laid out only when it is wanted. */
export function inPieces(items, draw, kind) {
  const list = el("ul", { class: kind }, items.slice(0, SHOWN).map(draw));
  const rest = items.slice(SHOWN);
  if (!rest.length) return list;
  const later = el("div", {});
  const details = el("details", { ontoggle: () => { if (details.open && !later.childElementCount) later.append(inPieces(rest, draw, kind)); } },
    el("summary", {}, `and ${counted(rest.length, "more")}`.replace(/s$/, "")), later);
  return [list, details];
}

/** The picture that an operation is about, as a way to it. */
export const pictureLink = (one) => one.picture ? el("a", { href: `#/picture/${one.picture}` }, "look at it") : null;

function line(one) {
  const places = one.edits.length ? el("details", { open: one.edits.length <= 40 },
    el("summary", {}, counted(one.places, "place"), one.places > one.edits.length ? `, the first ${one.edits.length} are shown` : ""),
    el("ul", { class: "diff edits" }, one.edits.map((edit) => el("li", {}, el("p", { class: "code soft" }, nameOf(edit.place ?? "")), pair(edit))))) : null;
  return el("li", {}, pair(one), one.reading ? el("p", { class: "soft" }, `read as ${readingWords(one.reading)}`,
    one.consent ? "; needs your yes" : "") : null, places);
}

const STAY = ["link_image", "extract_image", "bake_image"];

/** What stood before and what stands after; struck out only where it goes away. */
const pair = (one) => [
  one.before ? el("p", { class: "before" }, stays(one)
    ? [el("span", { class: "sign", "aria-hidden": "true" }, "="), el("span", {}, nameOf(one.before), el("span", { class: "stays" }, " stays"))]
    : [el("span", { class: "sign", "aria-hidden": "true" }, "−"), el("del", {}, nameOf(one.before))]) : null,
  one.after ? el("p", { class: "after" }, el("span", { class: "sign", "aria-hidden": "true" }, "+"), el("ins", {}, nameOf(one.after))) : null,
];

const stays = (one) => STAY.includes(one.kind) || (one.kind === "write_scene" && one.before !== one.after);

function held(rows) {
  if (!rows.length) return null;
  return el("section", { class: "kind" }, el("h3", {}, "Left as it is ", el("span", { class: "soft" }, counted(rows.length, "place"))),
    inPieces(rows, (one) => el("li", {}, el("p", { class: "where" }, one.picture ? el("a", { href: `#/picture/${one.id}` }, nameOf(one.where)) : nameOf(one.where)),
      el("p", {}, one.why), el("p", { class: "soft" }, one.remedy)), "diff"));
}
