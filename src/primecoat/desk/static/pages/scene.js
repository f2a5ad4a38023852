// What is this? How sure is it? What next? What will change? How do I get back?

import { get } from "../api.js";
import { desk, hear, shownThrough } from "../parts/desk.js";
import { el, fill, nameOf } from "../parts/dom.js";
import { latest } from "../parts/latest.js";
import { emptySlip } from "../parts/notice.js";
import { effects } from "../parts/switching.js";
import { counted, plain, standing, STANDINGS, STANDING_MEANS, whole } from "../parts/words.js";

export function sceneSheet({ put, until }) {
  const numbers = el("div", { class: "effects" }, el("p", { class: "soft", role: "status" }, "Being worked out …"));
  const ask = latest(async (through, signal) => fill(numbers, effects(await get("api/switch", through, signal))));
  ask.failed = (error) => fill(numbers, el("p", {}, error.message, " ", error.remedy ?? ""));
  const lay = () => {
    const had = document.activeElement?.getAttribute("href");
    put(sheet(desk.scene, numbers));
    if (had && document.activeElement === document.body) document.querySelector(`#bench a[href="${CSS.escape(had)}"]`)?.focus({ preventScroll: true });
    ask(shownThrough());
  };
  until(hear("scene", lay));
  until(hear("settings", () => ask(shownThrough())));
  until(ask.stop);
  lay();
}

function sheet(scene, numbers) {
  const counts = scene.counts;
  if (!counts.images && !counts.colours && !counts.lights) {
    return el("section", { class: "sheet narrow" }, el("h1", {}, nameOf(scene.target)),
      emptySlip("Nothing was found here.", "No picture, colour or light. Open another scene with ", el("code", {}, "primecoat desk TARGET"), "."));
  }
  return el("div", { class: "columns" },
    el("div", { class: "stack" }, glance(scene), switching(scene, numbers), findings(scene)),
    el("div", { class: "stack" }, todo(scene), back(scene), colophon(scene)));
}

function glance(scene) {
  const { counts } = scene;
  const sure = counts.settled + counts.overruled;
  return el("section", { class: "sheet" },
    el("h1", {}, nameOf(scene.target.split("/").pop())),
    el("p", { class: "question" }, "What is this, and how sure is it?"),
    el("p", { class: "lead" }, `${counted(counts.images, "picture")}, ${counted(counts.colours, "colour")} and ${counted(counts.lights, "light")}. `,
      counts.images === sure ? "The reading of every picture is firm. " : `The reading of ${whole(sure)} of the pictures is firm. `,
      `Of pictures, colours and lights, ${whole(counts.explicit)} ${counts.explicit === 1 ? "says" : "say"} how to be read for any program to see.`),
    tally(counts),
    el("table", { class: "standings" }, el("tbody", {}, STANDINGS.map((word) => el("tr", {},
      el("td", {}, standing(word)), el("td", { class: "num" }, whole(counts[word] ?? 0)),
      el("td", { class: "soft" }, STANDING_MEANS[word]),
      el("td", {}, counts[word] ? el("a", { href: `#/pictures?standing=${word}` }, `Show ${word}`) : ""))))));
}

/** One bar; parts told apart by pattern and, where they are wide enough, by their count. */
function tally(counts) {
  const parts = ["settled", "overruled", "likely", "unknown", "conflicting"].filter((w) => counts[w]);
  const bar = el("div", { class: "tally", "aria-hidden": "true" });
  for (const word of parts) {
    const part = el("span", { class: word }, el("b", {}, whole(counts[word])));
    part.style.flexGrow = counts[word];
    bar.append(part);
  }
  return bar;
}

function todo(scene) {
  return el("section", { class: "sheet" }, el("h2", {}, "To do next"),
    scene.todo.length
      ? el("ol", { class: "todo" }, scene.todo.map((one) => el("li", {},
        one.link ? el("a", { href: one.link.startsWith("#") ? one.link : `#/${one.link}` }, one.what) : el("strong", {}, one.what),
        " ", el("span", { class: `severity ${one.severity}` }, one.severity),
        one.why ? el("span", { class: "why" }, one.why) : null)))
      : el("p", {}, "Nothing needs you. ", el("a", { href: "#/change" }, "Draw up the change"), "."));
}

function switching(scene, numbers) {
  const { change } = scene;
  return el("section", { class: "sheet" }, el("h2", {}, "What the switch changes"),
    el("p", {}, `From ${scene.from} to ${scene.to}: ${change.words}`), numbers,
    el("p", { class: "next" }, el("a", { href: "#/change" }, "See the change line by line"), " before anything is done."));
}

function back(scene) {
  const { history } = scene;
  return el("section", { class: "sheet" }, el("h2", {}, "How to get back"),
    history.cut_short
      ? el("p", { class: "cut" }, el("strong", {}, "A run was cut short. "), "Nothing was lost: ", el("a", { href: "#/change?at=ledger" }, "finish it or take it back in the ledger"), ".")
      : history.undoable
      ? el("p", {}, "The newest change can be undone whole: ", el("a", { href: "#/change?at=ledger" }, "to the ledger"), ".")
      : el("p", {}, "Nothing was changed yet. Whatever is applied here is written in a ledger and can be undone; originals are kept."));
}

function findings(scene) {
  const found = scene.findings;
  return el("section", { class: "sheet" }, el("h2", {}, "Findings"),
    found.length ? el("table", {},
      el("thead", {}, el("tr", {}, ["", "what", "how many", "for instance", "code"].map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, found.map((one) => el("tr", {},
        el("td", {}, el("span", { class: `severity ${one.severity}` }, one.severity)),
        el("td", {}, one.link ? el("a", { href: one.link }, plain(one.name)) : plain(one.name)),
        el("td", { class: "num" }, whole(one.count)),
        el("td", {}, nameOf(one.first ?? "")),
        el("td", { class: "code" }, one.code)))))
      : el("p", {}, "None."));
}

function colophon(scene) {
  return el("section", { class: "sheet" }, el("h2", {}, "Made with"), el("dl", { class: "facts" },
    [["scene", nameOf(scene.target)], ["made in", scene.from], ["moves to", scene.to], ["config", scene.config],
      ["display", scene.display], ["view", scene.view],
      ["libraries", Object.entries(scene.libraries).map(([n, v]) => `${n} ${v}`).join(", ")]]
      .flatMap(([what, is]) => [el("dt", {}, what), el("dd", {}, is)])));
}
