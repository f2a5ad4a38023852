// The decision slip: say how pictures are to be read, and why; take the last word back.

import { post } from "../api.js";
import { desk, refresh } from "./desk.js";
import { button, choice, el, fill, labelled, nameOf } from "./dom.js";
import { forget, refuse, refuseStale, say } from "./notice.js";
import { READINGS } from "./readings.js";
import { counted, readingWords } from "./words.js";

/**
 * @param {object} spec ids() -> chosen ids, readings -> [likely first], done(ids), count() words
 */
export function slip(spec) {
  const asked = el("select", { class: "reading", required: true });
  const because = el("input", { type: "text", maxlength: 4000, autocomplete: "off", placeholder: "for whoever reads it later" });
  const sign = el("button", { type: "submit", class: "main" }, "Decide");
  const back = button("Take the last word back", takeBack);
  const says = el("p", { class: "says" });
  const element = el("form", { class: "slip", "aria-label": "Decide", onsubmit: decide },
    says, labelled("Read as", asked), labelled("Because", because, { class: "field wide" }), sign, back);

  function lay(likely = spec.readings ?? []) {
    const first = [...new Set(likely)].filter((r) => r && r !== "unknown");
    const others = READINGS.filter((r) => !first.includes(r));
    const option = (r) => el("option", { value: r }, readingWords(r));
    const now = asked.value;
    // without evidence nothing is chosen beforehand: no default is a decision
    fill(asked, first.length ? el("optgroup", { label: "From the evidence" }, first.map(option)) : el("option", { value: "" }, "choose a reading"),
      el("optgroup", { label: first.length ? "Any other" : "Readings" }, others.map(option)));
    if ([...asked.options].some((o) => o.value === now)) asked.value = now;
  }

  async function decide(event) {
    event.preventDefault();
    const ids = await spec.ids();
    if (!ids.length) return;
    sign.disabled = true;
    forget();
    try {
      const said = await post("api/decide", {
        version: desk.version, ids, reading: asked.value, because: because.value.trim(),
      });
      desk.version = said.version;
      const refused = said.refused ?? [];
      const n = (said.decided ?? ids).length;
      if (refused.length) {
        say(`${counted(refused.length, "picture")} could not be decided: ${refused[0].what}`, { stay: true, kind: "error" });
      }
      if (n) say(`${counted(n, "picture")} read as ${readingWords(asked.value)}; kept in the decisions file.`, { kind: "done" });
      because.value = "";
      await refresh();
      await spec.done(ids);
    } catch (error) {
      refuseStale(error, renewed);
    } finally {
      update();
    }
  }

  async function takeBack() {
    back.disabled = true;
    forget();
    try {
      const said = await post("api/undecide", { version: desk.version, steps: 1 });
      desk.version = said.version;
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
    sign.disabled = n === 0;
  }

  lay();
  update();
  return { element, update, lay, takeBack, focus: () => asked.focus() };
}
