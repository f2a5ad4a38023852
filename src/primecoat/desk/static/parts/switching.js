// What the switch changes, in numbers: the worst of each kind first.

import { el, nameOf } from "./dom.js";
import { figure, plain, readingWords, triple, whole } from "./words.js";

const SAID = {
  picture: ["Pictures read in the wrong space today", "CIEDE2000"],
  data: ["Data read as a colour today", "most off"],
  colour: ["Colours with new numbers", "CIEDE2000 if left"],
  light: ["Lights with new numbers", "CIEDE2000 if left"],
  product: ["Products that cannot be exact", "95 % within"],
};

/** @param {object} found counts and the worst of each kind */
export function effects(found) {
  const kinds = Object.keys(SAID).filter((kind) => found.counts[kind]);
  if (!kinds.length) return el("p", {}, "Nothing looks otherwise, whatever is left as it is.");
  return [kinds.map((kind) => {
    const rows = found.worst.filter((one) => one.kind === kind);
    return el("table", { class: "effect" },
      el("caption", {}, SAID[kind][0], el("span", { class: "soft" }, found.counts[kind] > rows.length ? ` ${whole(found.counts[kind])}, the worst ${rows.length}` : ` ${whole(found.counts[kind])}`)),
      el("thead", {}, el("tr", {}, ["of", "today", "after", SAID[kind][1]].map((h, i) => el("th", { scope: "col", class: i === 3 ? "num" : "" }, h)))),
      el("tbody", {}, rows.map((one) => el("tr", {}, el("td", {}, who(one)), values(one.before, kind), values(one.after, kind),
        el("td", { class: "num" }, amount(one), one.stops ? el("span", { class: "why" }, `${one.stops > 0 ? "+" : ""}${figure(one.stops, 2)} stops`) : null)))));
  }), el("p", { class: "soft" }, `CIEDE2000 through ${found.view} (${found.display}): how far off it looks if it is left as it is; about 1 is what an eye just tells apart side by side.`)];
}

function who(one) {
  const name = one.picture ? el("a", { href: `#/picture/${one.picture}` }, nameOf(one.where.split("/").pop()))
    : el("a", { href: "#/colours" }, nameOf(one.owner || one.where));
  return [name, el("span", { class: "why" }, plain(one.slot), one.picture ? [" of ", nameOf(one.owner)] : "")];
}

const values = (value, kind) => Array.isArray(value) ? el("td", { class: "num left" }, triple(value))
  : el("td", {}, kind === "product" ? value : readingWords(value));

function amount(one) {
  if (one.difference === null) return "unknown";
  return one.kind === "product" ? `${figure(100 * one.difference, 2)} %` : figure(one.difference, 2);
}
