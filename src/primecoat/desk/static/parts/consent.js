// What needs a person's yes: one box for each operation, one for all of a kind.

import { el, nameOf } from "./dom.js";
import { inPieces, KINDS, pictureLink } from "./ticket.js";
import { counted, plain, whole } from "./words.js";

/** The operations that need a yes. */
export const asking = (plan) => plan.operations.filter((one) => one.consent);

/** Those that have none yet. */
export const unasked = (plan, consent) => asking(plan).filter((one) => !consent.has(one.n));

/** Numbers of the operations of a new plan that were agreed to in an old one. */
export function carriedOver(old, consent, plan) {
  const name = (one) => JSON.stringify([one.kind, one.before, one.after, one.consent]);
  const agreed = new Set(asking(old).filter((one) => consent.has(one.n)).map(name));
  return new Set(asking(plan).filter((one) => agreed.has(name(one))).map((one) => one.n));
}

/** The boxes; `consent` collects the numbers agreed to, `changed` is told after each. */
export function consents(plan, consent, changed) {
  const kinds = new Map();
  for (const one of asking(plan)) kinds.set(one.kind, [...(kinds.get(one.kind) ?? []), one]);
  if (!kinds.size) return null;
  return el("fieldset", { class: "asking" }, el("legend", {}, "This needs your yes"),
    [...kinds].map(([kind, operations]) => group(kind, operations, consent, changed)));
}

function group(kind, operations, consent, changed) {
  const boxes = new Map();
  const all = el("input", { type: "checkbox", onchange: () => {
    for (const one of operations) { if (all.checked) consent.add(one.n); else consent.delete(one.n); }
    show();
    changed();
  } });
  const count = el("span", { class: "soft" });
  function show() {
    const given = operations.filter((one) => consent.has(one.n)).length;
    all.checked = given === operations.length;
    all.indeterminate = given > 0 && given < operations.length;
    for (const [n, box] of boxes) box.checked = consent.has(n);
    count.textContent = ` ${whole(given)} of ${counted(operations.length, "operation")} agreed to`;
  }
  const one = (operation) => {
    const box = el("input", { type: "checkbox", onchange: () => {
      if (box.checked) consent.add(operation.n); else consent.delete(operation.n);
      show();
      changed();
    } });
    box.checked = consent.has(operation.n);
    boxes.set(operation.n, box);
    return el("li", {}, el("label", { class: "field beside" }, box, el("span", { class: "label" }, operation.consent,
      el("span", { class: "why" }, "becomes ", nameOf(operation.after)))), pictureLink(operation));
  };
  const list = inPieces(operations, one, "yeses");
  const made = el("section", {}, el("label", { class: "field beside all" }, all, el("span", { class: "label" },
    el("strong", {}, `All of this kind: ${(KINDS[kind] ?? plain(kind)).toLowerCase()}`), count)), list);
  show();
  return made;
}
