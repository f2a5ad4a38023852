// The controls of a proof strip; all panes follow them.

import { button, choice, el, group, labelled } from "./dom.js";
import { figure } from "./words.js";

const SHAPES = {
  view: ["through the view", "as the working space and the view show it"],
  plain: ["plain", "the numbers as stored, through no view"],
  lit: ["lit", "the normals under a light from the upper left"],
  stops: ["over stops", "five exposures side by side; light that was cut off is hatched"],
};

/** Words for how a picture is shown; every pane says them. */
export function how(look, reading, through) {
  if (look.as === "plain") return "plain, through no view";
  if (look.as === "lit") return `lit, green ${look.green}`;
  if (reading === "data" || reading === "unknown" || !reading) return "numbers as they are, through no view";
  const by = look.stops ? `, ${look.stops > 0 ? "+" : ""}${figure(look.stops)} stops` : "";
  return `${look.as === "stops" ? "over stops, " : ""}${through.view}${by}`;
}

/** @param {object} spec look (changed in place), shapes, channels, layers, frames, changed(quick), strip */
export function controls(spec) {
  const { look } = spec;
  const press = (legend, pairs, key, props = {}) => {
    const buttons = pairs.map(([value, words, title]) => button(words, () => {
      look[key] = value;
      for (const [i, one] of buttons.entries()) one.setAttribute("aria-pressed", String(pairs[i][0] === value));
      spec.changed(false);
    }, { "aria-pressed": String(look[key] === value), title }));
    return group(legend, buttons, props);
  };
  const shapes = press("Shown", spec.shapes.map((s) => [s, ...SHAPES[s]]), "as");
  const channels = press("Channels", spec.channels, "channels");
  const stopsWords = (stops) => `${stops > 0 ? "+" : ""}${figure(stops)}`;
  const said = el("output", { class: "num stops" }, stopsWords(look.stops));
  const slider = el("input", { type: "range", min: -8, max: 8, step: 0.1, value: look.stops, "aria-label": "Exposure in stops" });
  const expose = (stops, quick) => {
    look.stops = Math.round(Math.max(-8, Math.min(8, stops)) * 10) / 10;
    slider.value = look.stops;
    said.textContent = stopsWords(look.stops);
    spec.changed(quick);
  };
  slider.addEventListener("input", () => expose(Number(slider.value), true));
  slider.addEventListener("change", () => expose(Number(slider.value), false));
  const exposure = group("Exposure, stops", [slider, said, button("reset", () => expose(0, false), { "aria-label": "Reset the exposure" })], { class: "exposure" });
  const scale = el("output", { class: "num scale" }, "");
  const zoom = group("Size", [button("fit", () => spec.strip().fit()), button("1 : 1", () => spec.strip().scaleTo(1)),
    button("−", () => spec.strip().smaller(), { "aria-label": "Smaller" }), button("+", () => spec.strip().larger(), { "aria-label": "Larger" }), scale]);
  const pick = (words, list, key) => list.length > 1
    ? labelled(words, choice(list, String(look[key] ?? list[0][0]), (value) => { look[key] = value; spec.changed(false); })) : null;
  return {
    element: el("div", { class: "sheet controls row" }, shapes, channels, exposure, zoom,
      pick("Layer", spec.layers, "layer"), pick("Tile or frame", spec.frames, "frame"),
      spec.shapes.includes("lit") ? press("Green of the normals", [["up", "up"], ["down", "down"]], "green") : null),
    expose,
    by: (d) => expose(look.stops + d, false),
    turn() { const next = look.as === "plain" ? "view" : "plain"; shapes.querySelectorAll("button")[spec.shapes.indexOf(next)]?.click(); },
    scaled(view) { scale.textContent = ` ${view.scale < 1 ? figure(view.scale * 100, 3) : Math.round(view.scale * 100)} %`; },
  };
}
