// How would it look, read so or so? How do you know?

import { get, post } from "../api.js";
import { controls, how } from "../parts/controls.js";
import { desk, hear, shownThrough } from "../parts/desk.js";
import { button, choice, el, fill, labelled, nameOf } from "../parts/dom.js";
import { inOrder } from "../parts/in_order.js";
import { knowKeys } from "../parts/keys.js";
import { refuse } from "../parts/notice.js";
import { pane } from "../parts/pane.js";
import { plotting } from "../parts/plotting.js";
import { probing } from "../parts/probing.js";
import { READINGS } from "../parts/readings.js";
import { slip } from "../parts/slip.js";
import { story } from "../parts/story.js";
import { strip } from "../parts/strip.js";
import { figure, plain, readingWords, standing } from "../parts/words.js";
import { asked } from "./pictures.js";

const MOST = 4;
/** Stops of the panels of an answer "over stops", from the exposure. */
const STOPS = [-6, -3, 0, 3, 6];
const KEYS = [
  ["arrows", "move the pictures, once the proof strip has the focus"], ["+  −", "larger, smaller"], ["0  1", "fit; one to one"],
  ["Shift + arrows", "move the probe"], ["[  ]", "less, more exposure"], ["v", "through the view or plain"],
  [".  ,", "next, previous picture"], ["d", "to the decision slip"], ["b", "back to the pictures"],
];

export async function pictureSheet({ put, rest, until, current, later }) {
  const id = /^[0-9a-f]+$/.test(rest) ? rest : "none";
  let image = await get(`api/image/${id}`);
  if (!current()) return;
  knowKeys(KEYS);
  const seen = desk.looks?.get(id) ?? { as: "view", stops: 0, channels: "rgb", green: "up", layer: "", frame: "0" };
  const look = { ...seen };
  const broken = () => image.problems[Number(look.frame)] || "";
  const params = () => ({ ...look, green: look.as === "lit" ? look.green : null, ...shownThrough() });
  const readings = chosenReadings(image);
  const [words, sheetStory, decisionPlace] = [el("div", { class: "row middle" }), el("div", { class: "stack" }), el("div", { class: "sheet" })];
  const plots = plotting(id, () => readings, () => look, broken);
  const neighbours = await neighboursOf(image).catch(() => ({}));
  if (!current()) return;

  const decision = slip({
    ids: () => [id], count: () => 1, version: () => image.version, path: () => image.path, readings: candidates(image),
    async done() { await renew(); },
  });
  decisionPlace.append(decision.element);

  const parts = [];
  let begin = () => {};
  if (!image.cannot_show) {
    const proof = strip({
      size: image.size, label: "Proof strip: the picture under each reading",
      probe: (at, step) => probe.at(at, step), moved: (view) => knobs.scaled(view),
    });
    const probe = probing({
      cannot: broken,
      ids: () => readings.map((r) => ({ id, reading: r, words: readingWords(r) })),
      params: (one, step) => ({ reading: one.reading, ...shownThrough(), stops: look.stops + step, layer: look.layer, frame: look.frame }),
    });
    const changed = (quick) => {
      if ((look.as === "stops") !== overStops) layPanes();
      else { say(); proof.look(quick); }
      if (quick) return;
      probe.at(null);
      plots.lay();
    };
    const knobs = controls({
      look, strip: () => proof, changed, shapes: shapesOf(image), channels: channelsOf(image),
      layers: image.layers.map((one) => [layerName(one), layerWords(one)]),
      frames: image.frames.map((name, i) => [String(i), name.split("/").pop()]),
    });
    let panes = [], overStops = false;
    const panels = () => STOPS.map((step) => ({ step, words: `${figure(look.stops + step)} stops`.replace(/^(?=[1-9])/, "+") }));
    const say = () => panes.forEach((one) => one.how(how(look, one.reading, shownThrough())));
    const layPanes = () => {
      overStops = look.as === "stops";
      proof.element.classList.toggle("down", overStops);
      panes = readings.map((reading) => pane({ id, reading, panels: overStops && !["data", "unknown"].includes(reading) ? panels() : undefined, size: image.size, params, view: proof.view, title: titleOf(reading), cannot: broken }));
      proof.lay(panes);
      say();
      proof.look();
    };
    const titleOf = (reading) => {
      const candidate = image.candidates.find((c) => c.reading === reading);
      return [el("strong", {}, readingWords(reading)),
        el("span", { class: "soft" }, candidate ? ` ${figure(candidate.confidence * 100, 3)} %` : " no witness for it"),
        readings.length > 1 ? button("Take off", () => { readings.splice(readings.indexOf(reading), 1); layPanes(); layMore(); plots.lay(); }, { class: "plain", "aria-label": `Take off ${reading}` }) : null];
    };
    const more = el("span", {});
    const layMore = () => fill(more, labelled("Beside it, read as", choice([["", "choose a reading"], ...READINGS.filter((r) => !readings.includes(r)).map((r) => [r, readingWords(r)])], "", (value) => {
      if (!value) return;
      if (readings.length >= MOST) readings.pop();
      readings.push(value);
      layPanes();
      layMore();
      plots.lay();
    })));
    knobs.element.append(more);
    parts.push(knobs.element, proof.element, probe.element);
    until(() => { proof.stop(); probe.stop(); plots.stop(); });
    until(hear("settings", () => { say(); proof.look(); probe.at(null); }));
    until(listenKeys({ knobs, decision, neighbours, proof }));
    begin = () => { layMore(); layPanes(); proof.element.focus({ preventScroll: true }); later(plots.lay, 150); };
  } else {
    parts.push(el("section", { class: "sheet cannot", role: "status" }, el("h2", {}, "It cannot be shown"), el("p", {}, image.cannot_show),
      el("p", {}, image.way_forward), el("p", { class: "soft" }, "What its name and its uses say of it stands below; it can be decided without being seen."),
      el("p", { class: "row" }, button("Survey again", () => post("api/survey", {}).catch(refuse)))));
    until(listenKeys({ decision, neighbours }));
  }

  function layWords() {
    fill(words, el("h1", {}, nameOf(image.path)), standing(image.standing),
      el("span", {}, image.standing === "conflicting" || image.reading === "unknown" ? "no one reading" : `read as ${readingWords(image.reading)}`),
      el("span", { class: "soft" }, image.content ? `a picture of ${plain(image.content)}` : ""));
    const had = document.activeElement;
    fill(sheetStory, story(image, image.cannot_show ? null : plots.element));
    if (sheetStory.contains(had)) had.focus({ preventScroll: true });
  }
  const fetchImage = inOrder(() => get(`api/image/${id}`), (found) => {
    if (!current()) return;
    const other = facts(found) !== facts(image);
    image = found;
    if (other) { layWords(); decision.lay(candidates(image)); }
  });
  async function renew() {
    try { await fetchImage(); } catch (error) { refuse(error); }
  }
  until(hear("changed", renew));
  until(() => { (desk.looks ??= new Map()).set(id, look); });
  layWords();
  put(el("div", { class: "stack" }, el("section", { class: "sheet heading" }, el("div", { class: "row middle" }, words,
    el("span", { class: "push row middle" }, link("Previous", neighbours.before), link("Next", neighbours.after), el("a", { href: "#/pictures" }, "All pictures")))), parts, decisionPlace, sheetStory));
  begin();
}

/** What is said of a picture, whichever version of the scene it is of. */
const facts = (image) => JSON.stringify({ ...image, version: null });

const link = (words, row) => row ? el("a", { href: `#/picture/${row.id}` }, words) : null;
const candidates = (image) => image.candidates.map((c) => c.reading);
/** The name that the server knows a layer by; the main one needs none. */
const layerName = (one) => one.main ? "" : one.layer ? [one.view, one.layer].filter(Boolean).join(".") : one.name;
const layerWords = (one) => `${[one.name, one.layer].filter(Boolean).join(", ") || `part ${one.index}`} (${one.channels.map((c) => c.split(".").pop()).join(" ")})`;

/** The likeliest readings; where there is but one, beside it the one it is most often taken for. */
function chosenReadings(image) {
  const found = [...new Set([...(image.decided ? [image.decided.reading] : []), ...candidates(image)])].slice(0, 3);
  if (found.length === 1) found.push(found[0] === "data" ? "srgb_rec709_scene" : found[0] === "srgb_rec709_scene" ? "data" : "srgb_rec709_scene");
  return found.length ? found : ["srgb_rec709_scene", "data"];
}

function shapesOf(image) {
  const slots = [image.content, ...image.slots];
  return ["view", "plain", ...(slots.includes("normal") ? ["lit"] : []), ...(slots.includes("environment") ? ["stops"] : [])];
}

function channelsOf(image) {
  const n = image.channels.length;
  const alpha = image.channels.some((c) => /(^|\.)A$/i.test(c));
  const one = [["r", "R", "red alone"], ["g", "G", "green alone"], ["b", "B", "blue alone"]];
  return [["rgb", "all"], ...(n >= 3 ? one : []), ...(alpha ? [["a", "A", "alpha alone"]] : []), ...(n >= 3 ? [["grey", "grey", "as luminance"]] : [])];
}

/** The pictures before and after, in the order and filter of the list. */
async function neighboursOf(image) {
  const { rows } = await get("api/images", { ...asked, around: image.id, count: 3 });
  const at = rows.findIndex((row) => row.id === image.id);
  return at < 0 ? {} : { before: rows[at - 1], after: rows[at + 1] };
}

function listenKeys({ knobs, decision, neighbours, proof }) {
  const go = (row) => { if (row) location.hash = `#/picture/${row.id}`; };
  const acts = {
    "[": () => knobs?.by(-0.5), "]": () => knobs?.by(0.5), v: () => knobs?.turn(), d: () => decision.focus(),
    ".": () => go(neighbours.after), ",": () => go(neighbours.before), b: () => { location.hash = "#/pictures"; },
  };
  const hit = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !desk.settings.singleKeys) return;
    if (event.target.matches("input:not([type=range]), select, textarea") || document.querySelector("dialog[open]")) return;
    if (event.key in acts) { event.preventDefault(); acts[event.key](); }
  };
  document.addEventListener("keydown", hit);
  return () => document.removeEventListener("keydown", hit);
}
