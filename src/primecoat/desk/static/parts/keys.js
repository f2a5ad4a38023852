// The list of keys, and those that work on every sheet.

import { desk } from "./desk.js";
import { button, el } from "./dom.js";

const EVERYWHERE = [
  ["?", "this list"], ["g, then a letter", "go to a sheet: s scene, p pictures, c colours, h change, l proof, t test card, r renders, w swatch, o config"],
  ["/", "to the field for words"], ["Tab", "to the next control"], ["Esc", "close what is open"],
];

let sheetKeys = [];
let going = 0;

/** Say which keys the present sheet knows. */
export function knowKeys(pairs) { sheetKeys = pairs; }

export function openKeys() {
  if (document.querySelector("dialog[open]")) return;
  const list = (title, pairs) => pairs.length ? [el("h3", {}, title), el("table", {}, el("tbody", {},
    pairs.map(([key, does]) => el("tr", {}, el("th", { scope: "row" }, el("kbd", {}, key)), el("td", {}, does)))))] : [];
  const dialog = el("dialog", { "aria-labelledby": "keys-title", class: "keys" },
    el("h2", { id: "keys-title" }, "Keys"),
    list("On this sheet", sheetKeys), list("Everywhere", EVERYWHERE),
    desk.settings.singleKeys ? null : el("p", {}, "Keys of one letter are turned off under “How it is shown”."),
    el("p", { class: "row" }, button("Close", () => dialog.close(), { class: "main" })));
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
}

const writing = (target) => target.matches?.("input:not([type=checkbox],[type=radio],[type=range]), textarea, select");

/** Keys of every sheet; none acts while something is being written. */
export function listenKeys(places) {
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
    if (writing(event.target) || document.querySelector("dialog[open]") || !desk.settings.singleKeys) return;
    if (going && Date.now() - going < 1500 && event.key in places) {
      event.preventDefault();
      location.hash = places[event.key];
      going = 0;
    } else if (event.key === "g") going = Date.now();
    else if (event.key === "?") { event.preventDefault(); openKeys(); }
    else if (event.key === "/") {
      const words = document.querySelector("[data-words]");
      if (words) { event.preventDefault(); words.focus(); }
    }
  });
}
