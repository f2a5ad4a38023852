// Ways to compare: side by side, wipe, flicker, and two pictures of the difference with their keys.

import { stillness } from "./desk.js";
import { button, choice, el, fill, labelled, svg } from "./dom.js";
import { figure } from "./words.js";

const WAYS = [
  ["beside", "side by side"], ["wipe", "wipe"], ["flicker", "flicker"],
  ["difference", "difference"], ["stops", "stops"],
];
const ENDS = { difference: [1, 2, 5, 10, 20, 50], stops: [0.1, 0.25, 0.5, 1, 2, 4, 8] };

/** @param {object} spec state, proof, lay(way, end) -> panes, until */
export function compared(spec) {
  const { state, proof } = spec;
  const ends = { difference: 10, stops: 2 };
  let way = "wipe", at = 50, front = 0, beat = 0, panes = [], laid = "";
  const slider = el("input", { type: "range", min: 0, max: 100, value: at, "aria-label": "Place of the wipe", oninput: () => { at = Number(slider.value); arrange(); } });
  const turnBy = button("Show the other", () => turn());
  const run = button("Flicker by itself", () => (beat ? rest() : start()), { "aria-pressed": "false" });
  const buttons = WAYS.map(([value, words]) => button(words, () => go(value)));
  const end = el("span", {});
  const key = el("figure", { class: "sheet key", hidden: true });
  const element = el("div", { class: "row middle way-row" },
    el("fieldset", { class: "group", "aria-label": "Compared by" }, buttons), slider, turnBy, run, end);

  function go(value) { way = value; rest(); lay(); arrange(); }
  function lay() {
    const wanted = way in ends ? `${way} ${ends[way]}` : "both";
    if (laid !== wanted) { laid = wanted; panes = spec.lay(way, ends[way]); }
  }
  function turn() { if (way !== "flicker") go("flicker"); front = 1 - front; arrange(); }
  // Once in 0.6 s: well below three flashes a second (WCAG 2.2, 2.3.1); never by itself if motion is unwanted.
  function start() { beat = setInterval(() => { front = 1 - front; arrange(); }, 600); run.setAttribute("aria-pressed", "true"); }
  function rest() { clearInterval(beat); beat = 0; run.setAttribute("aria-pressed", "false"); }

  function arrange() {
    const different = way in ends;
    WAYS.forEach(([value], i) => buttons[i].setAttribute("aria-pressed", String(value === way)));
    proof.element.classList.toggle("over", way !== "beside");
    slider.hidden = way !== "wipe";
    turnBy.hidden = run.hidden = way !== "flicker";
    run.disabled = stillness();
    run.title = stillness() ? "The system asks for little motion; use the button beside it." : "";
    fill(end, different ? labelled(way === "stops" ? "colours end at, stops" : "colours end at, CIEDE2000", choice(ENDS[way].map((n) => [String(n), `${way === "stops" ? "±" : ""}${n}`]), String(ends[way]), (value) => { ends[way] = Number(value); lay(); arrange(); }), { class: "field beside first" }) : null);
    key.hidden = !different;
    if (different) layKey();
    if (panes.length > 1) {
      panes[1].element.style.setProperty("--from", way === "wipe" ? `${at}%` : "0%");
      panes[1].element.style.visibility = way === "flicker" && front === 0 ? "hidden" : "visible";
      panes[0].element.style.visibility = way === "flicker" && front === 1 ? "hidden" : "visible";
    }
    proof.element.dataset.way = way;
    proof.element.dataset.front = way === "flicker" ? ["old", "new"][front] : "";
  }

  function layKey() {
    const last = ends[way];
    const colours = state.colours[way];
    const id = `key-${way}`;
    const marks = way === "difference"
      ? [[0, "0, the same"], [0.5, figure(last / 2)], [1, `${figure(last)} and more`]]
      : [[0, `−${figure(last)}: new is darker`], [0.5, "0"], [1, `+${figure(last)}: new is brighter`]];
    const bar = svg("svg", { class: "bar", viewBox: "0 0 100 6", preserveAspectRatio: "none", role: "img", "aria-label": `Key of the colours: ${marks.map(([, words]) => words).join("; ")}` },
      svg("linearGradient", { id }, colours.map((colour, i) => svg("stop", { offset: `${(100 * i) / (colours.length - 1)}%`, "stop-color": colour }))),
      svg("rect", { width: 100, height: 6, fill: `url(#${id})` }));
    const nothing = svg("svg", { viewBox: "0 0 10 10", class: "patch", "aria-hidden": "true" }, svg("rect", { width: 10, height: 10, fill: state.nothing }));
    fill(key, bar, el("div", { class: "marks num", "aria-hidden": "true" }, marks.map(([, words]) => el("span", {}, words))),
      el("figcaption", {}, way === "difference" ? "CIEDE2000 of the two as they are seen, after their views; white is 100 cd/m². About 1 is what an eye just tells apart side by side."
        : `Stops from old to new: log2 of luminance of light ${state.stops_of === "scene" ? "in the scene, before the views" : "on the display"}.`,
      " Where one pixel shown stands for several of the file, their light is averaged first; at 1 : 1 each stands for itself. ", nothing, " no number: not finite, or no light."));
  }

  spec.until(rest);
  return {
    element, key, turn,
    start() { lay(); arrange(); },
    next() { go(WAYS[(WAYS.findIndex(([value]) => value === way) + 1) % WAYS.length][0]); },
    words: (adjust) => `${way === "stops" ? `log2 of light, to ±${ends.stops}` : `after the views, to ${ends.difference}`}${adjust ? "; new is matched" : ""}`,
  };
}
