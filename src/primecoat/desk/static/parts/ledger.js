// The ledger: what was done, by runs, newest first; how to get back.

import { button, el, nameOf } from "./dom.js";
import { counted } from "./words.js";

const STATES = { stands: "Applied", "taken back": "Taken back", "cut short": "Cut short", "under way": "Under way" };

/** @param {object} acts undo(run), recover(back) */
export function ledger(journal, acts) {
  const { runs, cut_short: cut } = journal;
  return [el("h2", { id: "ledger" }, "Ledger"),
    cut ? el("div", { class: "cut" }, el("p", {}, el("strong", {}, "A run was cut short. "), "Finish it, or take it back; nothing was lost."),
      el("p", { class: "row" }, button("Finish it", () => acts.recover(false), { class: "main" }), button("Take it back", () => acts.recover(true)))) : null,
    runs.length ? el("ol", { class: "runs" }, runs.map((run, i) => {
      const newest = !cut && runs.findIndex((r) => r.state === "stands") === i;
      return el("li", {}, el("div", { class: "row middle" },
        el("strong", {}, STATES[run.state] ?? run.state), el("span", {}, counted(run.count, "operation")),
        el("span", { class: "soft" }, nameOf(run.target.split("/").pop()), `, plan ${run.plan.slice(0, 8)}`),
        newest ? button("Undo this run", () => acts.undo(run.id), { class: "push undo" }) : null),
      el("details", {}, el("summary", {}, "Line by line"), el("ul", { class: "lines" }, run.operations.map((step) => el("li", {},
        nameOf(step.words), el("span", { class: "soft" }, ` ${[step.state, step.method].filter(Boolean).join(", ")}`))))));
    })) : el("p", {}, "Nothing was changed yet.")];
}
