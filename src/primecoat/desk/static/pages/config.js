// What does a config make of my names? Is it sound? Write one for this switch.

import { get, post } from "../api.js";
import { desk, shownThrough } from "../parts/desk.js";
import { button, choice, el, fill, labelled, nameOf } from "../parts/dom.js";
import { lookForm } from "../parts/looks.js";
import { emptySlip, refuse, say } from "../parts/notice.js";
import { counted, figure, plain, readingWords, whole } from "../parts/words.js";

const ROWS = 500;

export async function configSheet({ put, current }) {
  const [checked, named, written, which, looks] = ["div", "div", "div", "span", "div"].map((kind) => el(kind, {}));
  let files = await get("api/config/files"), chosen = "used", form = null, laid = "";
  if (!current()) return;
  const asking = (place, act, show) => async (event) => {
    const pressed = event.target, asked = chosen;
    const answer = (...found) => { if (asked === chosen) fill(place, ...found); };
    pressed.disabled = true;
    fill(place, el("p", { class: "soft", role: "status" }, "At work …"));
    try { answer(show(await act())); } catch (error) {
      if (error.name !== "AbortError") answer(el("div", { role: "alert" }, emptySlip(error.message, error.remedy)));
    } finally { pressed.disabled = false; }
  };
  function choose(value) {
    if (value === chosen) return;
    chosen = value;
    for (const place of [checked, named]) fill(place);
  }
  function lay() {
    fill(which, labelled("Config", choice([["used", `${files.used} (in use)`], ...files.written.map((name) => [name, `${name} (written here)`])], chosen, choose)));
    if (laid === JSON.stringify(files.looks)) return; // what was said of the looks stays
    laid = JSON.stringify(files.looks);
    form = lookForm(files.looks);
    fill(looks, form.element);
  }
  async function write(another) {
    try {
      const found = await post("api/config/write", { ...form.said(), another });
      files = await get("api/config/files");
      choose(found.config.split("/").pop());
      lay();
      fill(written, shownWritten(found));
      say(`${chosen} was written beside the scene.`, { kind: "done" });
    } catch (error) {
      refuse(error, error.code === 409 && !another ? { words: "Write another beside it", act: () => write(true) } : null);
    }
  }
  lay();
  put(el("div", { class: "columns wide-right" },
    el("div", { class: "stack" },
      el("section", { class: "sheet" }, el("h1", {}, "Config"), el("p", { class: "question" }, "What does a config make of my names, and is it sound?"),
        el("div", { class: "row" }, which)),
      el("section", { class: "sheet" }, el("h2", {}, "Is it sound?"), el("p", {}, "Every space, view and look is built and run; every file it names is looked for."),
        button("Check the config", asking(checked, () => get("api/config/check", { which: chosen }), shownCheck), { class: "main" }), checked),
      el("section", { class: "sheet" }, el("h2", {}, "Write one"),
        el("p", {}, `It reads every file as its name says, and works in ${desk.scene.to}. It is written beside the scene; only one that was written here before and not touched since is replaced.`),
        looks, button("Write a config", async (event) => { const pressed = event.target; pressed.disabled = true; await write(false); pressed.disabled = false; }), written)),
    el("div", { class: "stack" }, el("section", { class: "sheet" }, el("h2", {}, "What does it read my files as?"),
      el("p", {}, `For each file: what the config's file rules make of its name, how it must be read, and what a misreading costs through ${shownThrough().view}.`),
      button("Try the names", asking(named, () => get("api/config/names", { which: chosen, ...(chosen === "used" ? shownThrough() : {}) }), shownNames), { class: "main" }), named))));
}

function shownCheck(found) {
  const { findings } = found;
  return [el("p", { role: "status" }, el("strong", {}, found.sound ? "It is sound. " : "It is not sound. "),
    findings.length ? `${counted(findings.length, "finding")}. ` : "Nothing was found. ",
    el("span", { class: "soft" }, `Version ${found.version ?? "unknown"}; ${Object.entries(found.checked).map(([what, n]) => `${whole(n)} ${plain(what)}`).join(", ")}.`)),
  findings.map((one) => el("div", { class: "finding" }, el("p", {}, el("span", { class: `severity ${one.severity}` }, one.severity), " ", el("span", { class: "code soft" }, one.code), " ", nameOf(one.where), ": ", one.message), el("p", { class: "soft" }, one.remedy)))];
}

function shownWritten(found) {
  const facts = [["file", nameOf(found.config)], ["made from", found.base], ["version", found.version], ["made in", found.from ?? "not said"], ["works in", found.to],
    ["old view", found.old_view], ["look", found.look], ["beside it", found.beside.join(", ")], ["any other name is", found.default], ["built and run", counted(found.processors, "processor")]];
  return [el("dl", { class: "facts" }, facts.filter(([, v]) => v).flatMap(([what, is]) => [el("dt", {}, what), el("dd", {}, is)])),
    el("details", {}, el("summary", {}, counted(found.file_rules.length, "file rule")), el("table", {},
      el("thead", {}, el("tr", {}, ["rule", "names that it fits", "read as"].map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, found.file_rules.map((rule) => el("tr", {}, el("td", {}, nameOf(rule.name)), el("td", { class: "code" }, nameOf(rule.regex)), el("td", {}, readingWords(rule.reading)))))))];
}

function shownNames(found) {
  const rows = [...found.files].sort((a, b) => worth(b) - worth(a));
  return [el("p", { role: "status" }, Object.entries(found.counts).filter(([, n]) => n).map(([what, n]) => `${whole(n)} ${what}`).join(", ") || "There are no files", "."),
    el("table", { class: "names" }, el("thead", {}, el("tr", {}, ["file", "the config reads it as", "it must be read as", "what that costs"].map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, rows.slice(0, ROWS).map((one) => el("tr", {},
        el("td", {}, nameOf(one.file), el("span", { class: "why" }, one.verdict, one.kind ? `: ${one.kind}` : "")),
        el("td", {}, nameOf(one.reads_as.local_name || one.reads_as.space || "nothing"), el("span", { class: "why" }, one.rule.why)),
        el("td", {}, [...new Set(one.wanted.map((w) => readingWords(w.reading)))].join(", ") || readingWords(one.reading), one.standing ? el("span", { class: "why" }, one.standing) : null),
        el("td", {}, cost(one.cost), one.words.map((words) => el("span", { class: "why" }, words))))))),
    rows.length > ROWS ? el("p", { class: "soft" }, `The ${whole(ROWS)} worst of ${whole(rows.length)}; the rest by `, el("code", {}, "primecoat config read"), ".") : null,
    found.silent.length ? [el("h3", {}, "Of these nothing can be said"), el("ul", { class: "tree" }, found.silent.map((one) => el("li", {}, nameOf(one.image), el("span", { class: "why" }, one.why))))] : null];
}

const GRAVITY = { misread: 3, "left open": 2, "cannot say": 1, agrees: 0 };
const worth = (one) => GRAVITY[one.verdict] * 1000 + (one.cost?.ciede2000?.p95 ?? (one.cost?.most_off ?? 0) * 100);

function cost(found) {
  if (!found) return "";
  if (found.nothing_changes) return "nothing changes";
  if (found.code_128 !== undefined) {
    return [`0.502 becomes ${figure(found.code_128, 3)}`, el("span", { class: "why" }, [
      `a number up to ${figure(found.most_off, 2)} off`,
      found.flat_turned !== null ? `a flat normal is turned by ${figure(found.flat_turned, 3)}°` : ""].filter(Boolean).join("; "))];
  }
  return [found.stops === null ? "mid-grey gets no light" : `mid-grey ${found.stops > 0 ? "+" : ""}${figure(found.stops, 2)} stops`,
    el("span", { class: "why" }, found.ciede2000 ? `CIEDE2000 ${figure(found.ciede2000.mean, 2)} in the mean, ${figure(found.ciede2000.p95, 2)} at 95 %` : "")];
}
