// The decision slip: say how pictures are to be read, and why; take the last word back.

import { post } from "../api.js";
import { desk, refresh } from "./desk.js";
import { button, choice, el, fill, labelled, nameOf } from "./dom.js";
import { forget, refuse, refuseStale, say } from "./notice.js";
import { READINGS } from "./readings.js";
import { counted, readingWords } from "./words.js";

/**
 * @param {object} spec ids() -> chosen ids, version() of the facts that are shown of them,
 *   readings -> [likely first], done(ids) once they are decided, count() words
 */
export function slip(spec) {
  let deciding = false, chosen = "", laid = "";
  const asked = el("select", { class: "reading", required: true, onchange: () => { chosen = asked.value; } });
  const because = el("input", { type: "text", maxlength: 4000, autocomplete: "off", placeholder: "for whoever reads it later" });
  const sign = el("button", { type: "submit", class: "main" }, "Decide");
  const back = button("Take the last word back", takeBack);
  const says = el("p", { class: "says" });
  const element = el("form", { class: "slip", "aria-label": "Decide", onsubmit: decide },
    says, labelled("Read as", asked), labelled("Because", because, { class: "field wide" }), sign, back);

  function lay(likely = spec.readings ?? []) {
    const first = [...new Set(likely)].filter((r) => r && r !== "unknown");
    if (laid === JSON.stringify(first)) return; // an open list is not closed for nothing
    laid = JSON.stringify(first);
    const others = READINGS.filter((r) => !first.includes(r));
    const option = (r) => el("option", { value: r }, readingWords(r));
    // without evidence nothing is chosen beforehand: no default is a decision
    fill(asked, first.length ? el("optgroup", { label: "From the evidence" }, first.map(option)) : el("option", { value: "" }, "choose a reading"),
      el("optgroup", { label: first.length ? "Any other" : "Readings" }, others.map(option)));
    // what a person chose stays; what stood there by the evidence goes with it
    if ([...asked.options].some((o) => o.value === chosen)) asked.value = chosen;
  }

  async function decide(event) {
    event.preventDefault();
    const ids = spec.ids(), reading = asked.value, typed = because.value;
    if (!ids.length) return;
    deciding = true;
    update();
    forget();
    try {
      const said = await post("api/decide", { version: spec.version(), ids, reading, because: typed.trim() });
      const refused = said.refused ?? [];
      const n = (said.decided ?? ids).length;
      if (refused.length) {
        say(`${counted(refused.length, "picture")} could not be decided: ${refused[0].what}`, { stay: true, kind: "error" });
      }
      if (n) say(`${counted(n, "picture")} read as ${readingWords(reading)}; kept in the decisions file.`, { kind: "done" });
      if (because.value === typed) because.value = ""; // else it is the reason of the next word
      await refresh();
      await spec.done(ids);
    } catch (error) {
      refuseStale(error, renewed);
    } finally {
      deciding = false;
      update();
    }
  }

  async function takeBack() {
    back.disabled = true;
    forget();
    try {
      await post("api/undecide", { version: desk.version, steps: 1 });
      say("The last word was taken back.", { kind: "done" });
      await refresh();
      await spec.done([]);
    } catch (error) {
      refuseStale(error, renewed);
    } finally {
      back.disabled = false;
    }
  }

  async function renewed() {
    try { await refresh(); await spec.done([]); } catch (error) { refuse(error); }
  }

  function update() {
    const n = spec.count();
    fill(says, n === 0 ? "No picture marked." : n === 1 && spec.path ? nameOf(spec.path()) : counted(n, "picture"),
      n && !spec.path ? " marked" : "");
    sign.disabled = deciding || n === 0;
  }

  lay();
  update();
  /** Whether the focus may be moved: nobody writes, here or elsewhere. */
  function idle() {
    const at = document.activeElement;
    return [document.body, sign, back].includes(at) || (at === because && !because.value);
  }

  return { element, update, lay, takeBack, idle, focus: () => asked.focus() };
}
