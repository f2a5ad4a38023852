// Plain words for the words of the data.

import { el, svg } from "./dom.js";

export const STANDINGS = ["conflicting", "unknown", "likely", "settled", "overruled"];

export const STANDING_MEANS = {
  settled: "act on it",
  likely: "the best answer; ask before acting",
  conflicting: "strong witnesses or uses disagree",
  unknown: "nothing says how to read it",
  overruled: "a person said so",
};

/** A slot or finding name as words: `base_color` is "base colour". */
export function plain(word) {
  return String(word ?? "").replaceAll("_", " ").replace(/\bcolor\b/g, "colour");
}

/** A count with its noun. */
export function counted(n, one, many = `${one}s`) {
  return `${whole(n)} ${n === 1 ? one : many}`;
}

/** A whole number with thousands set apart. */
export function whole(n) {
  return String(n).replace(/\B(?=(\d{3})+$)/g, "\u202f");
}

/** A number to so many figures, without needless noughts. */
export function figure(x, digits = 4) {
  if (x === null || x === undefined) return "none";
  if (typeof x !== "number") return String(x);
  const text = Math.abs(x) >= 1e5 || (x !== 0 && Math.abs(x) < 1e-4)
    ? x.toExponential(digits - 1) : x.toPrecision(digits);
  return (text.includes(".") && !text.includes("e") ? text.replace(/\.?0+$/, "") : text).replace("-", "−");
}

/** Numbers of one colour in a row. */
export function triple(values, digits = 4) {
  return Array.isArray(values) ? values.map((v) => figure(v, digits)).join("  ") : figure(values, digits);
}

/** A reading with what it needs said. */
export function readingWords(reading) {
  if (reading === "data") return "data (no colour)";
  return reading ?? "unknown";
}

const INK = { fill: "currentColor" };
const LINE = { fill: "none", stroke: "currentColor", "stroke-width": 1.5 };

/** The mark of a standing: a shape, so that no one needs its colour. */
export function mark(standing) {
  const box = svg("svg", { viewBox: "0 0 14 14", class: "mark", "aria-hidden": "true" });
  const frame = svg("rect", { x: 1.5, y: 1.5, width: 11, height: 11, ...LINE });
  const parts = {
    settled: [svg("rect", { x: 1, y: 1, width: 12, height: 12, ...INK })],
    likely: [frame, svg("path", { d: "M1.5 12.5 L12.5 12.5 L12.5 1.5 Z", ...INK })],
    conflicting: [svg("path", { d: "M1 1 L7 6 L13 1 L13 13 L7 8 L1 13 Z", ...INK })],
    unknown: [svg("rect", { x: 1.5, y: 1.5, width: 11, height: 11, ...LINE, "stroke-dasharray": "2.4 1.8" })],
    overruled: [svg("rect", { x: 3, y: 1, width: 8, height: 8, ...INK }), svg("path", { d: "M1 12.5 H13", ...LINE })],
  };
  box.append(...(parts[standing] ?? parts.unknown));
  return box;
}

/** A standing as mark and word. */
export function standing(word) {
  return el("span", { class: "standing", title: STANDING_MEANS[word] }, mark(word), word);
}
