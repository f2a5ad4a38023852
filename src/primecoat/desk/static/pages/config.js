// What does a config make of my names? Is it sound? Write one for this switch.

import { get, post } from "../api.js";
import { desk } from "../parts/desk.js";
import { button, el, fill, nameOf } from "../parts/dom.js";
import { emptySlip, refuse, say } from "../parts/notice.js";
import { counted, plain, readingWords, whole } from "../parts/words.js";
import { tree } from "./swatch.js";

const UNTOLD = ["document", "primecoat", "libraries", "version"];

export function configSheet({ put }) {
  const [checked, named, written] = [el("div", {}), el("div", {}), el("div", {})];
  const asking = (place, act, show) => async (event) => {
    event.target.disabled = true;
    try { fill(place, show(await act())); } catch (error) {
      if (error.name !== "AbortError") fill(place, el("div", { role: "alert" }, emptySlip(error.message, error.remedy)));
    } finally { event.target.disabled = false; }
  };
  put(el("div", { class: "columns even" },
    el("div", { class: "stack" },
      el("section", { class: "sheet" }, el("h1", {}, "Config"), el("p", { class: "question" }, "What does the config make of my names, and is it sound?"),
        el("dl", { class: "facts" }, el("dt", {}, "in use"), el("dd", {}, nameOf(desk.scene.config)), el("dt", {}, "displays and views"), el("dd", { class: "num" }, String(desk.scene.views.length)))),
      el("section", { class: "sheet" }, el("h2", {}, "Check it"), el("p", {}, "Every space, view and look is built; every file it names is looked for."),
        button("Check the config", asking(checked, () => get("api/config/check"), shownCheck), { class: "main" }), checked),
      el("section", { class: "sheet" }, el("h2", {}, "Write one"), el("p", {}, "A config for this scene's working space is written beside the scene; it replaces nothing."),
        button("Write a config", async (event) => {
          event.target.disabled = true;
          try {
            const found = await post("api/config/write", {});
            fill(written, shownFacts(found));
            say("The config was written.", { kind: "done" });
          } catch (error) { refuse(error); } finally { event.target.disabled = false; }
        }), written)),
    el("div", { class: "stack" }, el("section", { class: "sheet" }, el("h2", {}, "Try it on the names here"),
      el("p", {}, "For each picture: what the config's file rules make of its name, and what it must be read as."),
      button("Try the names", asking(named, () => get("api/config/names"), shownNames), { class: "main" }), named))));
}

const shownFacts = (found) => tree(Object.fromEntries(Object.entries(found).filter(([key, v]) => !UNTOLD.includes(key) && v !== null && v !== "")));

function shownCheck(found) {
  const findings = found.findings ?? [];
  return [el("p", { role: "status" }, findings.length ? `${counted(findings.length, "finding")}.` : "It is sound: nothing was found.", found.checked ? ` Checked: ${Object.entries(found.checked).map(([what, n]) => `${plain(what)} ${whole(n)}`).join(", ")}.` : ""),
    findings.map((one) => el("div", { class: "finding" }, el("p", {}, el("span", { class: `severity ${one.severity}` }, one.severity), " ", nameOf(one.where ?? ""), ": ", one.message), el("p", { class: "soft" }, one.remedy)))];
}

function shownNames(found) {
  const rows = found.files;
  return [el("p", { role: "status" }, Object.entries(found.counts).map(([what, n]) => `${whole(n)} ${what}`).join(", "), "."),
    el("table", {}, el("thead", {}, el("tr", {}, ["name", "verdict", "the config reads it as", "it must be read as"].map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, rows.map((one) => el("tr", {}, el("td", {}, nameOf(one.file)), el("td", {}, one.verdict, one.kind ? el("span", { class: "why" }, one.kind) : null),
        el("td", {}, nameOf(one.reads_as?.local_name ?? "nothing"), el("span", { class: "why" }, one.rule?.why ?? "")),
        el("td", {}, [...new Set(one.wanted.map((w) => readingWords(w.reading)))].join(", ") || readingWords(one.reading))))))];
}
