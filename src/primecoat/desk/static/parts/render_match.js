// The match: a fit, its numbers by hand with the new render following, what is left, and its files.

import { get, post } from "../api.js";
import { hear } from "./desk.js";
import { button, el, fill, nameOf } from "./dom.js";
import { latest } from "./latest.js";
import { refuse, say } from "./notice.js";
import { figure } from "./words.js";

// Close, as the verb match has it: a mean up to 1 and 2.5 at 95 % look alike side by side.
const TARGET = { mean: 1, p95: 2.5 };
const MAIN = [["Exposure, stops", -6, 6, 0.01, 2], ["Contrast", 0.3, 3, 0.005, 3], ["Saturation", 0, 3, 0.005, 3]];
const CHANNELS = [["slope", 0.5, 2, 0.005, 3], ["offset", -0.3, 0.3, 0.001, 3], ["power", 0.5, 2, 0.005, 3]];
const NOTHING = [0, 1, 1, 1, 1, 1, 0, 0, 0, 1, 1, 1];

/** @param {object} spec state, adjusted(text, quick), again(state), until */
export function matchSheet(spec) {
  const { state } = spec;
  const body = el("div", {});
  const element = el("section", { class: "sheet match", "aria-label": "Match" }, el("h2", {}, "Match"), body);
  let fit = state.match, values = [...NOTHING], on = false, channels = false, saved = [...state.saved], knobs = [], busy = null;
  let pressed = null, leftPlace = null, savedPlace = null;
  const text = () => (on ? values.map((v) => Number(v.toFixed(6))).join(",") : "");
  const told = () => values.map((v) => Number(v.toFixed(6)));

  const measure = latest(async (numbers, signal) => {
    try { layLeft(await get("api/renders/left", { key: state.key, adjust: numbers.join(",") }, signal)); } catch (error) {
      if (error.name === "AbortError") throw error;
      if (leftPlace) fill(leftPlace, el("p", {}, error.message));
    }
  });
  function take(next, quick) {
    values = next;
    on = true;
    knobs.forEach((knob) => knob.show());
    pressed?.setAttribute("aria-pressed", "true");
    spec.adjusted(text(), quick);
    measure(told());
  }
  const chosen = () => fit.steps.find((step) => step.step === fit.step) ?? fit.steps.at(-1);

  async function begin() {
    busy = { words: el("p", { role: "status" }, "Both renders are being read …"), bar: el("progress", { "aria-label": "How far the fit is" }),
      halt: button("Stop", () => post("api/cancel", { job: "match" }).catch(refuse), { disabled: true }) }; // nothing can be stopped before it began
    lay();
    try {
      const found = await post("api/renders/fit", { key: state.key, channels });
      if (gone) return;
      fit = found;
      busy = null;
      lay();
      take([...chosen().adjust], false);
    } catch (error) {
      busy = null;
      if (gone) return;
      lay(error);
      if (fit) measure(told());
    }
  }

  function layLeft(found) {
    if (!leftPlace) return;
    const before = fit.steps[0].residual, after = found.residual;
    const row = (name, key, target) => el("tr", {}, el("th", { scope: "row" }, name), el("td", { class: "num" }, figure(before[key], 3)),
      el("td", { class: "num", "data-left": key }, figure(after[key], 3)), el("td", { class: "num" }, target ? `≤ ${target}` : ""));
    const near = after.mean <= TARGET.mean && after.p95 <= TARGET.p95;
    fill(leftPlace, el("table", {}, el("thead", {}, el("tr", {}, ["CIEDE2000 left", "before", "now", "target"].map((h) => el("th", { scope: "col", class: h.startsWith("C") ? null : "num" }, h)))),
      el("tbody", {}, row("mean", "mean", TARGET.mean), row("95 %", "p95", TARGET.p95), row("pixels, mean", "pixels_mean"), row("pixels, 95 %", "pixels_p95"))),
    el("p", { class: "soft" }, near ? "Side by side, most eyes see one picture." : "It is not close: side by side the two can be told apart.", fit.block > 1 ? ` Mean and 95 % are over blocks of ${fit.block} × ${fit.block} pixels, in which noise averages out.` : ""));
  }

  function slider(name, at, least, most, step, digits) {
    const id = `match-${at}`;
    const out = el("output", { class: "num", for: id });
    const input = el("input", { type: "range", id, min: least, max: most, step });
    const move = (quick) => { const next = [...values]; next[at] = Number(input.value); take(next, quick); };
    input.addEventListener("input", () => move(true));
    input.addEventListener("change", () => move(false));
    const show = () => { input.value = values[at]; out.textContent = values[at].toFixed(digits).replace("-", "−"); };
    knobs.push({ show });
    return el("div", { class: "knob" }, el("label", { for: id }, name), input, out);
  }

  async function save() {
    try {
      const made = await post("api/renders/save", { key: state.key, adjust: told() });
      saved.push({ name: made.name, folder: made.folder, names: made.names });
      laySaved();
      say(`The look is written to ${made.folder}.`, { kind: "done" });
    } catch (error) { refuse(error); }
  }
  async function takeAway(look) {
    try {
      const gone = await post("api/renders/take-away", { name: look.name });
      saved = saved.filter((one) => one !== look);
      laySaved();
      say(`${gone.removed.length} files of ${look.name} removed.`, { kind: "done" });
    } catch (error) { refuse(error); }
  }
  function laySaved() {
    if (!savedPlace) return;
    fill(savedPlace, saved.map((look) => el("li", {}, el("strong", {}, look.name), " ", nameOf(look.folder), " ",
      button(`Take ${look.name} away`, () => takeAway(look), { class: "plain" }), look.names ? el("p", { class: "soft" }, look.names.join(", ")) : null)));
  }

  function layFit() {
    const pick = button("Fit again", begin);
    const more = el("input", { type: "checkbox", onchange: () => { channels = more.checked; } });
    more.checked = channels;
    return el("div", { class: "row middle" }, fit ? pick : button("Fit", begin, { class: "main" }), el("label", { class: "field beside" }, el("span", { class: "label" }, "each channel too"), more));
  }

  function lay(error = null) {
    knobs = [];
    pressed = leftPlace = savedPlace = null;
    if (!state.scene_referred.new) {
      fill(body, el("p", {}, "The new render has been through its view, and a look goes before it."), el("p", {}, "Open the desk with the scene-referred render as the new one."));
      return;
    }
    if (busy) {
      fill(body, busy.words, busy.bar, el("p", { class: "row" }, busy.halt));
      return;
    }
    const trouble = error ? el("div", { role: "alert", class: "trouble" }, el("p", {}, el("strong", {}, "Not fitted: "), error.message), el("p", {}, error.remedy ?? "", error.remedy?.includes("--view-a") ? " On this sheet: open “How they are read” and choose the view that the old render was seen through." : "")) : null;
    if (!fit) {
      fill(body, el("p", {}, "Exposure, contrast and saturation that make the new render look as the old one was seen; no asset is changed."), layFit(), trouble);
      return;
    }
    leftPlace = el("div", { class: "left", "aria-live": "polite" });
    savedPlace = el("ul", { class: "looks" });
    pressed = button("New matched", () => turn(), { "aria-pressed": String(on), title: "Shown with these numbers, or as it is" });
    const steps = el("table", { class: "steps" }, el("thead", {}, el("tr", {}, ["step", "mean", "95 %", ""].map((h) => el("th", { scope: "col", class: h === "step" ? null : "num" }, h)))),
      el("tbody", {}, fit.steps.map((step) => el("tr", {}, el("th", { scope: "row" }, step.step, step.step === fit.recommended ? " *" : ""),
        el("td", { class: "num" }, figure(step.residual.mean, 3)), el("td", { class: "num" }, figure(step.residual.p95, 3)),
        el("td", {}, button("Take", () => take([...step.adjust], false), { class: "plain", "aria-label": `Take the numbers of ${step.step}` }))))));
    const own = el("details", {}, el("summary", {}, "Each channel"), el("div", { class: "knobs" }, CHANNELS.flatMap(([name, least, most, step, digits], kind) =>
      ["R", "G", "B"].map((letter, i) => slider(`${letter} ${name}`, 3 + 3 * kind + i, least, most, step, digits)))));
    own.open = fit.steps.some((step) => step.step === "channels");
    fill(body, trouble, steps, el("div", { class: "knobs" }, MAIN.map(([name, least, most, step, digits], at) => slider(name, at, least, most, step, digits))), own,
      el("div", { class: "row middle" }, pressed, button("Back to the fit", () => take([...chosen().adjust], false)), layFit()),
      leftPlace,
      el("p", { class: "soft" }, "* the simplest step that none after it betters by much on the mean without a worse 95 %."),
      fit.untold.length ? el("p", { class: "soft" }, `The pictures cannot tell ${fit.untold.join(" and ")}; it is left alone.`) : null,
      el("div", { class: "row middle" }, button("Save CDL and look", save, { class: "main" }), el("span", { class: "soft" }, "into a new folder beside the scene; nothing is written over")), savedPlace,
      el("p", { class: "soft" }, `The numbers act on ${fit.acts_on} before the view, without clamping. Taking a look away removes its files, as long as they are as they were written.`));
    knobs.forEach((knob) => knob.show());
    laySaved();
  }
  function turn() {
    if (!fit) return;
    on = !on;
    pressed?.setAttribute("aria-pressed", String(on));
    spec.adjusted(text(), false);
  }

  spec.until(hear("job", (event) => {
    if (event.job !== "match") return;
    if (event.kind === "done" && !busy && !fit) { get("api/renders").then(spec.again).catch(refuse); return; } // begun before this sheet was laid
    if (!busy) return;
    busy.halt.disabled = false;
    if (event.kind !== "progress") return;
    fill(busy.words, `${event.done} of ${event.of} stretches of the fit are done.`);
    busy.bar.max = event.of || 1;
    busy.bar.value = event.done;
  }));
  let gone = false;
  spec.until(() => { gone = true; measure.stop(); });
  lay();
  if (fit) { values = [...chosen().adjust]; knobs.forEach((knob) => knob.show()); measure(told()); }
  return { element, turn };
}
