// Looks for a config: a CDL or LUT beside the scene, and what no such file says itself.

import { choice, el, fill, labelled } from "./dom.js";
import { READINGS } from "./readings.js";

/** Beside the readings, the spaces of the trade that only grading works in; configs know their names. */
const SPACES = ["ACEScct", "ACEScc", ...READINGS.filter((one) => one !== "data")].map((one) => [one, one]);
const TOLD = { look: "A look to offer before the views", old_look: "What the old view went through" };

/** @param {object[]} looks files: id, name, kind */
export function lookForm(looks) {
  if (!looks.length) {
    return { element: el("p", { class: "soft" }, "To build in a look, lay its CDL or LUT beside the scene and load this sheet anew."), said: () => ({}) };
  }
  const parts = Object.entries(TOLD).map(([name, words]) => [name, one(words, looks)]);
  return {
    element: el("div", { class: "stack looks" }, parts.map(([, part]) => part.element)),
    said: () => Object.fromEntries(parts.map(([name, part]) => [name, part.said()]).filter(([, said]) => said)),
  };
}

function one(words, looks) {
  let said = null;
  const more = el("div", { class: "row" });
  function lay(id) {
    const file = looks.find((look) => look.id === id);
    const { works_in = "", gives = "", clamp = null } = file ?? {};
    said = file ? { file: file.id, works_in, gives: file.kind === "LUT" ? gives : "", clamp: file.kind === "LUT" ? null : clamp, correction: "" } : null;
    if (!file) { fill(more); return; }
    const space = (label, key) => labelled(label, choice([["", "not said"], ...SPACES], said[key], (value) => { said[key] = value; }));
    const id_ = el("input", { type: "text", autocomplete: "off", oninput: () => { said.correction = id_.value.trim(); } });
    fill(more, space("It works in", "works_in"), file.kind === "LUT" ? space("It gives", "gives") : [
      labelled("It clamps to 0 to 1", choice([["", "not said"], ["yes", "yes, as ASC CDL v1.2"], ["no", "no"]], clamp === false ? "no" : "", (value) => { said.clamp = value ? value === "yes" : null; })),
      labelled("Which correction, of several", id_)]);
  }
  return {
    element: el("div", {}, labelled(words, choice([["", "none"], ...looks.map((look) => [look.id, `${look.name} (${look.kind})`])], "", lay)), more),
    said: () => said,
  };
}
