// What one render of the card tells: the whole, what to do, the picture with its patches, each input.

import { address } from "./../api.js";
import { el, fill, nameOf, svg } from "./dom.js";

/** @param {object} found document of the reading  @param through display and view of the desk */
export function cardFound(found, through) {
  const rows = found.inputs.map((one, i) => ({ ...one, n: i + 1 }));
  const todo = [...new Set(rows.map((one) => one.remedy).filter(Boolean))].map((words) => [rows.filter((one) => one.remedy === words).map((one) => one.n).join(", "), words]);
  const wrong = rows.filter((one) => one.as_made === false && one.reading !== "not_there").length;
  const open = rows.filter((one) => one.as_made === null).length;
  const verdict = found.ready ? "All that is seen was read as it was made."
    : [wrong ? `${wrong} of ${rows.length} inputs not read as made` : "", open ? `${open} open` : ""].filter(Boolean).join("; ");
  const [view, ...more] = found.words.view;
  const print = picture(found, rows, through);
  return el("div", { class: "stack" },
    el("section", { class: "sheet" }, el("h2", { tabindex: -1 }, nameOf(found.render.path)),
      el("p", { class: "lead", role: "status" }, el("strong", {}, /[.]$/.test(verdict) ? verdict : `${verdict}.`)),
      el("dl", { class: "facts" }, [["working space", found.words.working], ["view", [view, more.map((one) => el("span", { class: "why" }, one))]], ["exposure", found.words.exposure]]
        .filter(([, words]) => words).flatMap(([name, words]) => [el("dt", {}, name), el("dd", {}, words)])),
      todo.length || found.advice.length ? [el("h3", {}, "What to set"), el("ul", { class: "tree" }, found.advice.map((one) => el("li", {}, one)),
        todo.map(([numbers, words]) => el("li", {}, el("strong", {}, numbers), ` ${words}`)))] : null),
    el("section", { class: "sheet" }, el("h2", {}, "The card in the picture"), print.element,
      el("p", { class: "soft" }, found.words.shown[0].toUpperCase(), found.words.shown.slice(1), ". The numbers are those of the table; w is the white wedge. Broken lines: not read as made.")),
    el("section", { class: "sheet" }, el("h2", {}, "Each input"), table(rows, print.point)));
}

function mark(one) {
  if (one.reading === "not_there") return ["–", "not in the picture"];
  return one.as_made === null ? ["?", "open"] : one.as_made ? ["", "as made"] : ["!", "not as made"];
}

function picture(found, rows, through) {
  const { width, height } = found.render;
  const shapes = new Map();
  const drawn = [["white", "w", true], ...rows.map((one) => [one.key, String(one.n), one.as_made !== false])].flatMap(([key, words, right]) =>
    (found.marks[key] ?? []).map((outline) => {
      const points = outline.map((at) => at.join(",")).join(" ");
      const [x, y] = [0, 1].map((c) => outline.reduce((sum, at) => sum + at[c], 0) / outline.length);
      const made = svg("g", { class: right ? "patch" : "patch wrong" }, svg("polygon", { points, class: "under" }), svg("polygon", { points, class: "line" }),
        svg("text", { x, y, "font-size": width / 52, "text-anchor": "middle", "dominant-baseline": "central" }, words));
      shapes.set(key, [...(shapes.get(key) ?? []), made]);
      return made;
    }));
  const image = el("img", { src: address(`picture/card/${found.key}`, through), width, height, alt: `The render ${found.render.path}; each patch is marked with the number of its line in the table` });
  const trouble = el("p", { class: "trouble" });
  image.addEventListener("error", () => fill(trouble, "The picture cannot be shown now; read the render again."));
  const point = (key, on) => { for (const shape of shapes.get(key) ?? []) shape.classList.toggle("pointed", on); };
  return { point, element: el("div", { class: "card-print" }, image, svg("svg", { viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" }, drawn), trouble) };
}

function table(rows, point) {
  const heads = ["", "input", "read as", "sure"];
  const row = (one) => {
    const [sign, words] = mark(one);
    const made = el("tr", { class: one.as_made === false ? "wrong" : null, onmouseenter: () => point(one.key, true), onmouseleave: () => point(one.key, false) },
      el("td", { class: "num" }, String(one.n)),
      el("th", { scope: "row" }, one.words, one.path ? el("span", { class: "why" }, nameOf(one.path)) : null),
      el("td", {}, el("span", { class: "sign-word" }, sign ? [el("strong", {}, sign), ` ${words}: `] : null), one.read_words),
      el("td", { class: "num" }, one.sure_words));
    return made;
  };
  return el("table", { class: "card-inputs" }, el("thead", {}, el("tr", {}, heads.map((h, i) => el(i ? "th" : "td", { scope: i ? "col" : null }, h)))), el("tbody", {}, rows.map(row)));
}
