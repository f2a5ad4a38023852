// What differs between the two renders, and by how much?

import { get } from "../api.js";
import { controls, how } from "../parts/controls.js";
import { desk, hear, shownThrough, stillness } from "../parts/desk.js";
import { button, el, fill, nameOf } from "../parts/dom.js";
import { emptySlip } from "../parts/notice.js";
import { pane } from "../parts/pane.js";
import { probing } from "../parts/probing.js";
import { strip } from "../parts/strip.js";
import { figure, plain } from "../parts/words.js";

const WAYS = [["beside", "side by side"], ["wipe", "wipe"], ["flicker", "flicker"], ["apart", "difference of display codes"]];

export async function rendersSheet({ put, until, current }) {
  if (desk.scene.renders === false) { put(none()); return; }
  put(el("section", { class: "sheet narrow", role: "status" }, el("h1", {}, "Two renders"), el("p", {}, "They are being compared, in light and as seen …")));
  const state = await get("api/renders");
  if (!current()) return;
  if (!state.old || !state.new) { put(none()); return; }
  const { comparison } = state;
  const ids = ["old", "new"];
  const of = { old: comparison.a, new: comparison.b };
  const size = [of.old.width, of.old.height];
  const look = { as: "view", stops: 0, channels: "rgb", layer: "", frame: "0" };
  const through = (id) => ({ ...shownThrough(), ...(of[id].view ? { display: of[id].display, view: of[id].view } : {}) });
  let way = "wipe", at = 50, front = 0, beat = 0;
  const knobs = controls({
    look, strip: () => proof, shapes: ["view", "plain"], layers: [], frames: [],
    channels: [["rgb", "all"], ["r", "R"], ["g", "G"], ["b", "B"], ["grey", "grey"]], changed: (quick) => { say(); proof.look(quick); },
  });
  const probe = probing({
    ids: () => ids.map((id) => ({ id, words: id })), params: (one) => ({ ...through(one.id), reading: of[one.id].space, stops: look.stops }),
  });
  const proof = strip({ size, label: "The two renders", probe: (p) => probe.at(p), moved: (view) => knobs.scaled(view) });
  const panes = ids.map((id) => pane({
    id, reading: of[id].space, size, view: proof.view, params: () => ({ ...look, ...through(id) }),
    title: [el("strong", {}, id), " ", nameOf(state[id].split("/").pop()), el("span", { class: "soft" }, ` ${of[id].space}`)],
  }));
  const say = () => panes.forEach((one, i) => one.how(how(look, one.reading, through(ids[i]))));
  const slider = el("input", { type: "range", min: 0, max: 100, value: at, "aria-label": "Place of the wipe", oninput: () => { at = Number(slider.value); arrange(); } });
  const turn = button("Show the other", () => { front = 1 - front; arrange(); });
  const run = button("Flicker by itself", () => (beat ? rest() : start()), { "aria-pressed": "false" });
  const wayButtons = WAYS.map(([value, words]) => button(words, () => { way = value; rest(); arrange(); proof.look(); }, {}));
  const bar = el("div", { class: "sheet controls row" }, el("fieldset", { class: "group" }, el("legend", {}, "Compared by"), wayButtons), slider, turn, run);

  // Once in 0.6 s: well below three flashes a second (WCAG 2.2, 2.3.1); never by itself if motion is unwanted.
  function start() { beat = setInterval(() => { front = 1 - front; arrange(); }, 600); run.setAttribute("aria-pressed", "true"); }
  function rest() { clearInterval(beat); beat = 0; run.setAttribute("aria-pressed", "false"); }
  function arrange() {
    WAYS.forEach(([value], i) => wayButtons[i].setAttribute("aria-pressed", String(value === way)));
    proof.element.classList.toggle("over", way !== "beside");
    proof.element.classList.toggle("apart", way === "apart");
    slider.hidden = way !== "wipe";
    turn.hidden = run.hidden = way !== "flicker";
    run.disabled = stillness();
    run.title = stillness() ? "The system asks for little motion; use the button beside it." : "";
    panes[1].element.style.setProperty("--from", way === "wipe" ? `${at}%` : "0%");
    panes[1].element.style.visibility = way === "flicker" && front === 0 ? "hidden" : "visible";
    proof.element.dataset.front = way === "flicker" ? ids[front] : "";
  }
  until(() => { rest(); proof.stop(); probe.stop(); });
  until(hear("settings", () => { say(); proof.look(); }));
  put(el("div", { class: "stack" }, el("section", { class: "sheet heading" }, el("h1", {}, "Two renders"), el("p", { class: "question" }, "What differs, and by how much?")),
    bar, proof.element, knobs.element, el("div", { class: "columns" }, probe.element, figures(comparison))));
  proof.lay(panes);
  say();
  arrange();
}

function figures(compare) {
  const rows = [];
  const walk = (value, name) => {
    if (value === null || value === undefined) return;
    if (typeof value === "number") rows.push([name, figure(value, 4)]);
    else if (Array.isArray(value) && value.every((v) => typeof v === "number")) rows.push([name, value.map((v) => figure(v, 4)).join("  ")]);
    else if (typeof value === "object" && !Array.isArray(value)) for (const [key, inner] of Object.entries(value)) walk(inner, `${name ? `${name}, ` : ""}${plain(key)}`);
  };
  for (const key of ["exposure_stops", "ciede2000"]) walk(compare?.[key], plain(key).replace("ciede2000", "CIEDE2000"));
  const first = rows.length;
  for (const [key, value] of Object.entries(compare ?? {})) if (!["exposure_stops", "ciede2000", "libraries"].includes(key)) walk(value, plain(key));
  const table = (part) => el("table", {}, el("tbody", {}, part.map(([name, value]) => el("tr", {}, el("th", { scope: "row" }, name), el("td", { class: "num" }, value)))));
  const box = el("section", { class: "sheet" }, el("h2", {}, "Figures"));
  return fill(box, el("h2", {}, "Figures"), table(rows.slice(0, first)), rows.length > first ? el("details", {}, el("summary", {}, "All figures"), table(rows.slice(first))) : null);
}

const none = () => el("section", { class: "sheet narrow" }, el("h1", {}, "Two renders"),
  emptySlip("No renders were named.", "Open the desk with an old and a new one: ", el("code", {}, "primecoat desk TARGET --old OLD.exr --new NEW.exr"), "."));
