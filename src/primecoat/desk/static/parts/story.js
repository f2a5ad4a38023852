// One picture's story: each witness in words with its weight, the file's own facts, the uses.

import { el, nameOf } from "./dom.js";
import { figure, plain, readingWords, standing } from "./words.js";

/** How much a witness weighs, in words; strength is the natural log of a likelihood ratio. */
export function weight(strength) {
  if (strength <= 0) return "none";
  if (strength < 1.5) return "slight";
  if (strength < 3.5) return "fair";
  if (strength < 6.5) return "strong";
  return "very strong";
}

export function story(image, plots) {
  return [el("div", { class: "columns" },
    el("div", { class: "stack" }, evidence(image), uses(image)),
    el("div", { class: "stack" }, findings(image), said(image), plots, header(image)))];
}

function evidence(image) {
  const sorted = [...image.evidence].sort((a, b) => b.strength - a.strength);
  return el("section", { class: "sheet" }, el("h2", {}, "How do you know?"),
    sorted.length ? el("table", { class: "evidence" },
      el("thead", {}, el("tr", {}, ["witness", "says", "weight", "in words"].map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, sorted.map((one) => el("tr", { class: one.set_aside ? "aside" : "" },
        el("td", {}, one.witness, one.prior ? el("span", { class: "soft" }, " (prior)") : null),
        el("td", {}, readingWords(one.claim)),
        el("td", {}, one.set_aside ? "set aside" : weight(one.strength), el("span", { class: "num soft" }, ` ${figure(one.strength, 2)}`)),
        el("td", {}, one.words, one.set_aside ? el("span", { class: "why" }, `Set aside: ${one.set_aside}.`) : null,
          el("span", { class: "why" }, nameOf(one.location)))))))
      : el("p", {}, "No witness says anything. Say yourself how it is to be read, in the slip above."));
}

function said(image) {
  if (!image.decided) return null;
  const { reading, who, when, because } = image.decided;
  return el("section", { class: "sheet" }, el("h2", {}, "A person's word"), el("p", {},
    `${who || "Someone"} said ${readingWords(reading)}${when ? `, ${when}` : ""}. `, because ? `“${because}”` : "No reason was given."));
}

function findings(image) {
  if (!image.findings.length) return null;
  return el("section", { class: "sheet" }, el("h2", {}, "What is wrong, or worth knowing"), image.findings.map((one) => el("div", { class: "finding" },
    el("p", {}, el("span", { class: `severity ${one.severity}` }, one.severity), " ", el("span", { class: "code soft" }, one.code), " ", one.message),
    el("p", { class: "soft" }, one.remedy))));
}

function header(image) {
  return el("section", { class: "sheet" }, el("h2", {}, "What the file says"), image.header.length
    ? el("dl", { class: "facts" }, image.header.filter(([, value]) => value).flatMap(([name, value]) => [el("dt", {}, plain(name)), el("dd", {}, value)]))
    : el("p", {}, "Nothing could be read of it."));
}

function uses(image) {
  return el("section", { class: "sheet" }, el("h2", {}, "Where it is used"), image.uses.length ? el("table", {},
    el("thead", {}, el("tr", {}, ["scene", "by", "slot", "needs", "is read today as"].map((h) => el("th", { scope: "col" }, h)))),
    el("tbody", {}, image.uses.map((use) => el("tr", {},
      el("td", {}, nameOf(use.scene)), el("td", {}, nameOf(use.owner)),
      el("td", {}, plain(use.slot), el("span", { class: "code soft" }, ` ${use.channels}`)),
      el("td", {}, readingWords(use.reading), use.standing && use.standing !== image.standing ? [" ", standing(use.standing)] : null),
      el("td", {}, readingWords(use.reads_as?.today), el("span", { class: "why" }, use.reads_as?.why)))))) : el("p", {}, "No scene file here uses it."));
}
