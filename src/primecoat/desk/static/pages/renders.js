// What differs between the two renders, by how much, and which few numbers give the old look back?

import { get } from "../api.js";
import { controls } from "../parts/controls.js";
import { desk } from "../parts/desk.js";
import { el, fill, nameOf } from "../parts/dom.js";
import { knowKeys } from "../parts/keys.js";
import { emptySlip, refuse } from "../parts/notice.js";
import { pane } from "../parts/pane.js";
import { renderFigures } from "../parts/render_figures.js";
import { matchSheet } from "../parts/render_match.js";
import { pairNumbers } from "../parts/render_numbers.js";
import { sayForm } from "../parts/render_said.js";
import { scopesSheet } from "../parts/render_scopes.js";
import { compared } from "../parts/render_ways.js";
import { strip } from "../parts/strip.js";

const KEYS = [
  ["arrows", "move the pictures, once they have the focus"], ["+  −", "larger, smaller"], ["0  1", "fit; one to one"],
  ["Shift + arrows", "move the probe"], ["[  ]", "less, more exposure"], ["x", "the next way to compare"],
  ["f", "show the other render (flicker)"], ["m", "new render matched, or as it is"],
];
const SIDES = ["old", "new"];

export async function rendersSheet({ put, until, current }) {
  if (desk.scene.renders === false) { put(none()); return; }
  put(el("section", { class: "sheet narrow", role: "status" }, el("h1", {}, "Two renders"), el("p", {}, "They are being opened …")));
  const again = (state) => lay(state).catch(refuse);
  let stops = [], laid = "";
  const putAway = () => { for (const stop of stops.splice(0)) stop(); };
  until(putAway);
  async function lay(state) {
    // both what was said here and the look now and then may tell of the same
    if (!current() || laid === JSON.stringify(state)) return;
    laid = JSON.stringify(state);
    putAway();
    if (!state.old || !state.new) { put(none()); return; }
    knowKeys(state.refused ? [] : KEYS);
    if (state.refused) { put(asking(state, again)); return; }
    layOut(state, { put, current, until: (stop) => stops.push(stop), again });
  }
  await lay(await get("api/renders"));
}

function layOut(state, { put, until, again, current }) {
  const look = { as: "view", stops: 0, channels: "rgb", layer: "", frame: "0" };
  let adjust = "", stale = false;
  const shared = () => ({
    key: state.key, frame: look.frame, stops: look.stops, channels: look.channels, as: look.as, adjust,
  });
  const probe = pairNumbers({ params: () => ({ key: state.key, frame: look.frame, stops: look.stops, adjust }), words: state.nits_words });
  const proof = strip({ size: state.size, label: "The two renders", probe: (at) => probe.at(at), moved: (view) => knobs.scaled(view) });
  const changed = (quick) => {
    say();
    proof.look(quick);
    scopes.look(quick);
    if (!quick) probe.at(null);
  };
  const knobs = controls({
    look, strip: () => proof, shapes: ["view", "plain"], layers: [], changed,
    channels: [["rgb", "all"], ["r", "R", "red alone"], ["g", "G", "green alone"], ["b", "B", "blue alone"], ["grey", "grey", "luminance on the display"]],
    frames: state.frames.map((number, i) => [String(i), String(number)]),
  });
  const print = (id, title, more = {}) => pane({
    id: `render/${id}`, size: state.size, view: proof.view, title: [el("strong", {}, title), id in state.how ? [" ", nameOf(state[id].split("/").pop())] : null],
    params: () => ({ ...shared(), ...(id === "old" ? { adjust: "" } : {}), ...more }),
  });
  let panes = [];
  const ways = compared({
    state, proof, until,
    lay(way, end) {
      const different = way === "difference" || way === "stops";
      panes = different ? [print(way, way === "stops" ? "Stops from old to new" : "CIEDE2000 from old to new", { end })] : SIDES.map((id) => print(id, id));
      proof.lay(panes);
      say();
      proof.look();
      return panes;
    },
  });
  const exposed = (side) => look.stops && state.scene_referred[side] ? `; ${look.stops > 0 ? "+" : "−"}${Math.abs(look.stops)} stops` : "";
  function say() {
    if (panes.length === 1) { panes[0].how(ways.words(adjust)); return; }
    SIDES.forEach((side, i) => panes[i]?.how(look.as === "plain" ? "the numbers as stored, through no view"
      : `${state.how[side].replace(/\.$/, "")}${exposed(side)}${side === "new" && adjust ? "; matched" : ""}`));
  }
  const scopes = scopesSheet({ state, until, params: () => ({ key: state.key, frame: look.frame, stops: look.stops, adjust }) });
  const match = matchSheet({ state, until, again, adjusted(next, quick) { adjust = next; changed(quick); } });
  const figures = renderFigures(state);
  const top = el("section", { class: "sheet heading top" }, el("div", { class: "row middle" }, el("h1", {}, "Two renders"), ways.element), sayForm(state, again));
  put(el("div", { class: "stack renders" }, top,
    el("div", { class: "worktop" }, el("div", { class: "stack" }, el("div", { class: "ways" }, proof.element, ways.key), probe.element, knobs.element, figures.element), match.element), scopes.element));
  ways.start();
  scopes.look(false);
  figures.look().catch((error) => { if (current()) figures.failed(error); });
  until(() => { proof.stop(); probe.stop(); });
  until(listenKeys({ knobs, ways, match }));
  until(whenStale(state, () => {
    if (stale) return;
    stale = true;
    get("api/renders").then(again).catch(refuse).finally(() => { stale = false; });
  }));
}

/** Look now and then, while the sheet is in sight, whether the renders are still those shown. */
function whenStale(state, act) {
  const look = async () => {
    if (document.hidden) return;
    const now = await get("api/renders/now").catch(() => null);
    if (now && now.key !== state.key) act();
  };
  const every = setInterval(look, 3000);
  return () => clearInterval(every);
}

const asking = (state, again) => el("div", { class: "stack renders" },
  el("section", { class: "sheet heading" }, el("h1", {}, "Two renders"), el("p", { class: "question" }, "How must they be read?")),
  el("section", { class: "sheet", role: "status" }, el("h2", {}, "They cannot be shown yet"), el("p", {}, state.refused.what), el("p", {}, hint(state.refused.remedy))),
  el("section", { class: "sheet" }, sayForm(state, again, true)));

/** The remedy of the verb, whose options stand as fields on this sheet. */
const hint = (remedy) => `${remedy} Here: choose it below.`;

function listenKeys({ knobs, ways, match }) {
  const acts = { "[": () => knobs.by(-0.5), "]": () => knobs.by(0.5), x: () => ways.next(), f: () => ways.turn(), m: () => match.turn() };
  const hit = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !desk.settings.singleKeys) return;
    if (event.target.matches("input:not([type=range]):not([type=checkbox]), select, textarea") || document.querySelector("dialog[open]")) return;
    if (event.key in acts) { event.preventDefault(); acts[event.key](); }
  };
  document.addEventListener("keydown", hit);
  return () => document.removeEventListener("keydown", hit);
}

const none = () => el("section", { class: "sheet narrow" }, el("h1", {}, "Two renders"),
  emptySlip("No renders were named.", "Open the desk with an old and a new one: ", el("code", {}, "primecoat desk TARGET --old OLD.exr --new NEW.exr"), "."));
