// What did the program that renders make of my files? Write a card, render it there, read the render.

import { get, post } from "../api.js";
import { shownThrough, desk } from "../parts/desk.js";
import { cardFound } from "../parts/card_found.js";
import { button, choice, el, fill, labelled, nameOf } from "../parts/dom.js";
import { emptySlip, forget, refuseStale, say } from "../parts/notice.js";
import { READINGS } from "../parts/readings.js";

const SPACES = READINGS.filter((reading) => reading !== "data" && reading !== "unknown");

export async function cardSheet({ put, current, until }) {
  let state = await get("api/card"), reading = false;
  if (!current()) return;
  const wish = { render: state.renders[0]?.id ?? "", space: "", view: "" };
  const stop = new AbortController();
  until(() => stop.abort());
  const [place, made, which, answer] = ["div", "div", "div", "div"].map((kind) => el(kind, {}));
  const write = button("Write the card", async () => {
    write.disabled = true;
    forget();
    try {
      state = await post("api/card/write", { folder: state.next.name });
      if (!current()) return;
      lay();
      fill(made, shownMade(state.made));
      say(`The card is in ${state.made.name}.`, { kind: "done" });
    } catch (error) {
      refuseStale(error, () => lookAgain().catch(refuseStale));
    } finally { write.disabled = false; }
  });
  const read = el("button", { type: "submit", class: "main" }, "Read it");
  const again = button("Look again", () => lookAgain(true).catch(refuseStale), { title: "List the renders that lie in the folders of cards now" });
  const views = [...new Set((desk.scene?.views ?? []).map((one) => one.view))];
  const form = el("form", { onsubmit: (event) => { event.preventDefault(); readIt(); } },
    which, el("div", { class: "row" },
      labelled("Space of its numbers", choice([["", "not said: all are tried"], ...SPACES.map((s) => [s, s])], "", (value) => { wish.space = value; })),
      labelled("View baked into it", choice([["", "not said: all are tried"], ["none", "none"], ...views.map((v) => [v, v])], "", (value) => { wish.view = value; }))),
    el("div", { class: "row sends" }, read, again));

  async function lookAgain(tell = false) {
    state = await get("api/card");
    if (!current()) return;
    lay();
    if (tell) say(state.renders.length ? `${state.renders.length === 1 ? "One render" : `${state.renders.length} renders`} can be read.` : "There is no render yet.");
  }
  async function readIt() {
    forget();
    reading = true;
    read.disabled = true;
    fill(answer, el("section", { class: "sheet", role: "status" }, el("p", {}, "The card is being looked for and read …")));
    try {
      const found = await get("api/card/read", { render: wish.render, in: wish.space, view: wish.view }, stop.signal);
      if (current()) { fill(answer, cardFound(found, shownThrough())); answer.querySelector("h2").focus(); }
    } catch (error) {
      if (error.name === "AbortError" || !current()) return;
      const refused = el("section", { class: "sheet", role: "alert", tabindex: -1 }, emptySlip(error.message, here(error.remedy)));
      fill(answer, refused);
      refused.focus();
    } finally { reading = false; read.disabled = !state.renders.length; }
  }
  function lay() {
    fill(place, el("p", {}, "It goes into a new folder; nothing is written over:"), el("p", { class: "new-folder" }, nameOf(state.next.folder)),
      state.written.length ? el("details", {}, el("summary", {}, "Cards that are here already"), el("ul", { class: "tree" }, state.written.map((one) => el("li", {}, nameOf(one.folder))))) : null);
    if (!state.renders.some((one) => one.id === wish.render)) wish.render = state.renders[0]?.id ?? "";
    read.disabled = reading || !state.renders.length;
    fill(which, state.renders.length
      ? labelled("Render", choice(state.renders.map((one) => [one.id, `${one.name}, in ${one.folder}`]), wish.render, (value) => { wish.render = value; }), { class: "field whole" })
      : el("p", { class: "soft" }, "There is none yet: save one in the card's folder and look again, or name it when the desk is opened, with ", el("code", {}, "--card PICTURE"), "."));
  }
  lay();
  put(el("div", { class: "columns wide-right" },
    el("div", { class: "stack" },
      el("section", { class: "sheet" }, el("h1", {}, "Test card"), el("p", { class: "question" }, "What does the program that renders make of my files? One render of this small scene tells."),
        el("h2", {}, "Write the card"), place, write, made),
      el("section", { class: "sheet" }, el("h2", {}, "Read a render of it"),
        el("p", {}, "Rendered through its own camera, the white frame wholly in the picture, no grade, no denoiser; saved in the card's folder, beside ", el("code", {}, "card.json"), "."), form)),
    answer));
  fill(answer, el("section", { class: "sheet" }, emptySlip("No render was read yet.", "Here will stand how each input was read, how sure that is, and what to set.")));
}

/** The remedy of the verb, whose options stand as fields on this sheet. */
const here = (remedy) => `${remedy ?? ""}${/--in\b/.test(remedy ?? "") ? " On this sheet: “Space of its numbers”." : ""}`;

function shownMade(card) {
  const lacks = Object.entries(card.cannot).flatMap(([name, words]) => words.map((one) => `${name} has not: ${one}.`));
  const copy = button("Copy its path", async () => {
    try { await navigator.clipboard.writeText(card.folder); say("Copied.", { kind: "done" }); } catch { say("The browser does not let this page copy.", { remedy: `The folder is ${card.folder}`, stay: true, kind: "error" }); }
  });
  return [el("p", { role: "status" }, el("strong", {}, "Written: "), nameOf(card.folder)), copy,
    el("details", {}, el("summary", {}, `${card.files.length} files`), el("ul", { class: "tree" }, card.files.map((one) => el("li", {}, nameOf(one))))),
    el("details", {}, el("summary", {}, "What a form of it does not hold"), el("ul", { class: "tree" }, lacks.map((one) => el("li", {}, one))))];
}
