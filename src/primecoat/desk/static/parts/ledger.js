// The ledger: what was done, by runs, newest first; how to get back.

import { button, el, nameOf } from "./dom.js";
import { counted } from "./words.js";

/** @param {object} acts undo(), recover(back) */
export function ledger(journal, acts) {
  const runs = [...(journal.runs ?? [])].sort((a, b) => String(b.when ?? b.began ?? "").localeCompare(String(a.when ?? a.began ?? "")));
  const cut = journal.cut_short ?? runs.some((run) => run.open);
  return [el("h2", { id: "ledger" }, "Ledger"),
    cut ? el("div", { class: "cut" }, el("p", {}, el("strong", {}, "A run was cut short. "), "Finish it, or take it back; nothing was lost."),
      el("p", { class: "row" }, button("Finish it", () => acts.recover(false), { class: "main" }), button("Take it back", () => acts.recover(true)))) : null,
    runs.length ? el("ol", { class: "runs" }, runs.map((run, i) => {
      const steps = run.operations ?? run.steps ?? [];
      const stands = run.stands ?? run.state === "applied";
      const newest = stands && !cut && runs.findIndex((r) => r.stands ?? r.state === "applied") === i;
      return el("li", {}, el("div", { class: "row middle" },
        el("strong", {}, run.words ?? (stands ? "applied" : run.state ?? "undone")), el("span", { class: "soft" }, run.when ?? run.began ?? "", run.who ? `, ${run.who}` : ""),
        el("span", {}, counted(steps.length, "operation")),
        newest ? button("Undo this run", acts.undo, { class: "push undo" }) : null),
      el("details", {}, el("summary", {}, "Line by line"), el("ul", { class: "lines" }, steps.map((step) => el("li", {},
        el("span", { class: "soft" }, step.kind ?? "", " "), nameOf(step.words ?? ([step.before ?? step.from, step.after ?? step.to].filter(Boolean).join(" → ") || (step.where ?? ""))))))));
    })) : el("p", {}, "Nothing was changed yet.")];
}
