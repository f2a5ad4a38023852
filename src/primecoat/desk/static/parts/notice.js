// What went wrong or was done, with a way forward.

import { add, button, el, printable } from "./dom.js";

const place = () => document.getElementById("notices");

/** Say something; what stays until it is put away makes room for itself, the rest passes by. */
export function say(words, { remedy = "", stay = false, kind = "note", action = null, id = null } = {}) {
  if (id) document.getElementById(id)?.remove();
  const slip = el("div", { class: `notice ${kind}`, role: kind === "error" ? "alert" : "status", id });
  const away = () => slip.remove();
  add(slip, el("p", {}, kind === "error" && id !== "lost" ? el("strong", {}, "Not done: ") : null, words, remedy ? ` ${remedy}` : ""));
  if (action) slip.append(button(action.words, () => { away(); action.act(); }, { class: "plain" }));
  if (stay) slip.append(button("Put away", away, { class: "plain" }));
  else { slip.classList.add("passing"); setTimeout(away, 6000); }
  place().append(slip);
  return away;
}

const WAITING = "Other work is under way", STOPPED = "The work was stopped";

/** Show a refusal; if the state was another, offer to fetch the present one. */
export function refuseStale(error, fetchState) {
  const stale = error.code === 409 && ![WAITING, STOPPED].some((words) => error.message.startsWith(words));
  refuse(error, stale ? { words: "Fetch the present state", act: fetchState } : null);
}

/** Take the last refusal away, for the same is tried anew. */
export function forget() {
  document.getElementById("refused")?.remove();
}

/** Whether a refusal stands there already in these words: both an answer and an event can bring it. */
export const isRefused = (words) => document.getElementById("refused")?.textContent.includes(printable(words)) ?? false;

/** Show an error of the server. */
export function refuse(error, action = null) {
  if (error.name === "AbortError") return;
  if (error.code === undefined) console.error(error);
  const kind = error.message.startsWith(STOPPED) ? "note" : "error";
  say(error.message, { remedy: error.remedy, stay: true, kind, action, id: "refused" });
}

/** A sheet for a page that cannot be shown. */
export function failedSheet(error, again) {
  return el("section", { class: "sheet narrow" },
    el("h1", {}, "This sheet cannot be laid out"),
    el("p", {}, error.message), el("p", {}, error.remedy ?? ""),
    el("p", { class: "row" }, button("Try again", again, { class: "main" }),
      el("a", { href: "#/scene" }, "Back to the scene")));
}

/** A sheet that says why there is nothing, and what to do. */
export function emptySlip(title, ...way) {
  return el("div", { class: "empty" }, el("h2", {}, title), el("p", {}, way));
}
