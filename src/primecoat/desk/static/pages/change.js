// What exactly will be done to my files? What needs my yes? How do I get back?

import { get, post } from "../api.js";
import { desk, hear, refresh } from "../parts/desk.js";
import { button, el, fill, nameOf } from "../parts/dom.js";
import { inOrder } from "../parts/in_order.js";
import { ledger } from "../parts/ledger.js";
import { forget, refuse, refuseStale, say } from "../parts/notice.js";
import { carriedOver, consents, unasked } from "../parts/consent.js";
import { ticket } from "../parts/ticket.js";
import { counted, figure, whole } from "../parts/words.js";

const ROUTES = [
  ["tag", "By name", "Each picture gets its reading into its own name; a new scene beside the old one uses the new names."],
  ["declare", "By declaration", "The colour space is written into the scene, where its format has a place for it."],
  ["bake", "By new pixels", "Colour pictures are converted into the working space and written beside the originals."],
];

/** What was agreed to so far, for as long as the page is open. */
const agreed = { plan: "", consent: new Set() };

export async function changeSheet({ put, query, until, current }) {
  let plan = null, busy = false, consent = new Set(), leftOut = [], shownBook = "";
  let route = "tag";
  const inPlace = el("input", { type: "checkbox" });
  const likely = el("input", { type: "checkbox" });
  const [paper, book, progress] = [el("section", { class: "sheet ticket" }), el("section", { class: "sheet book" }), el("section", { class: "sheet", hidden: true, role: "status" })];
  const make = button("Draw up the plan", draw, { class: "main" });
  const routes = el("fieldset", { class: "routes" }, el("legend", {}, "Route"), ROUTES.map(([value, words, means]) => {
    const box = el("input", { type: "radio", name: "route", value, onchange: () => { route = value; } });
    box.checked = value === route;
    return el("label", { class: "route" }, box, el("span", {}, el("strong", {}, words), el("span", { class: "why" }, means)));
  }));
  const form = el("section", { class: "sheet" }, el("h1", {}, "Change"),
    el("p", { class: "question" }, "What exactly will be done, and how do I get back? Nothing is changed before you apply; originals are kept."),
    routes, el("div", { class: "row middle" },
      el("label", { class: "field beside" }, inPlace, el("span", { class: "label" }, "Change the scene file itself (a copy is kept) instead of writing a new one beside it")),
      el("label", { class: "field beside" }, likely, el("span", { class: "label" }, "Act on likely readings too"))),
    el("p", { class: "row" }, make));

  async function working(act) {
    if (busy) return;
    busy = true;
    forget();
    lay();
    try { await act(); } catch (error) {
      refuseStale(error, () => refresh().catch(refuse));
      await Promise.all([refresh(), layBook()]).catch(() => {});
    } finally { busy = false; progress.hidden = true; if (current()) lay(); }
  }
  function draw() { return drawWithout([]); }
  function drawWithout(pictures) {
    return working(async () => {
      const old = plan;
      plan = await post("api/plan", {
        version: desk.version, route, in_place: inPlace.checked, with_likely: likely.checked, leave_out: pictures,
      });
      consent = old ? carriedOver(old, consent, plan) : new Set();
      leftOut = pictures;
      Object.assign(agreed, { plan: plan.plan, consent });
      await refresh();
    });
  }
  const wholeConsent = () => [...consent];
  function dryRun() {
    return working(async () => {
      const said = await post("api/apply", { version: desk.version, plan: plan.plan, consent: wholeConsent(), dry_run: true });
      plan.dry = said;
    });
  }
  function apply() {
    return working(async () => {
      const said = await post("api/apply", { version: desk.version, plan: plan.plan, consent: wholeConsent(), dry_run: false });
      const n = said.operations.length;
      say(`${counted(n, "operation")} applied and written in the ledger.`, { kind: "done", stay: true, id: "applied" });
      plan = null;
      leftOut = [];
      await Promise.all([refresh(), layBook()]);
    });
  }
  function undo(run) {
    return working(async () => {
      await post("api/undo", { version: desk.version, run });
      say("The run was undone; the scene is as it was before it.", { kind: "done", stay: true, id: "applied" });
      plan = null;
      await Promise.all([refresh(), layBook()]);
    });
  }
  function recover(back) {
    return working(async () => {
      await post("api/recover", { back });
      say(back ? "The run was taken back." : "The run was finished.", { kind: "done" });
      await Promise.all([refresh(), layBook()]);
    });
  }

  function lay() {
    make.disabled = busy;
    holdBook();
    fill(paper, el("h2", {}, "Job ticket"));
    if (!plan) { paper.append(el("p", { class: "soft" }, busy ? "At work …" : "No plan is drawn up.")); return; }
    const applying = button("Apply", apply, { class: "main" });
    const trying = button("Dry run", dryRun);
    trying.disabled = busy || !plan.operations.length;
    const asks = el("p", { class: "asks", role: "status" });
    const layAsks = () => {
      const missing = unasked(plan, consent);
      applying.disabled = busy || missing.length > 0 || !plan.operations.length;
      const pictures = [...new Set(missing.map((one) => one.picture).filter(Boolean))];
      fill(asks, missing.length ? [`${counted(missing.length, "operation")} still ${missing.length === 1 ? "waits" : "wait"} for your yes. `,
        pictures.length && missing.every((one) => one.picture)
          ? button(`Leave ${pictures.length === 1 ? "that picture" : `those ${whole(pictures.length)} pictures`} out`, () => drawWithout([...leftOut, ...pictures]), { class: "plain", disabled: busy })
          : "A scene that is rewritten under its own name cannot be left out alone: draw the plan up without that."] : null);
    };
    layAsks();
    const left = (plan.held ?? []).length;
    paper.append(el("div", { class: "row middle act" }, el("strong", {}, counted(plan.operations.length, "operation")),
      el("span", { class: "soft" }, left ? `${counted(left, "place")} left as ${left === 1 ? "it is" : "they are"}` : ""),
      leftOut.length ? button(`Take ${counted(leftOut.length, "picture")} in again`, () => drawWithout([]), { class: "plain", disabled: busy }) : null,
      el("span", { class: "push row" }, trying, applying)), asks);
    if (plan.dry) paper.append(dryWords(plan.dry));
    const body = el("div", {});
    fill(body, consents(plan, consent, layAsks), ticket(plan));
    paper.append(body);
  }
  function dryWords(said) {
    return el("p", { class: "dry", role: "status" }, el("strong", {}, "Dry run: "),
      `${counted(said.operations.length, "operation")} would be carried out${said.scenes.length ? ", giving " : ""}`, said.scenes.map((s) => nameOf(s)).flatMap((n, i) => (i ? [", ", n] : [n])), ". Nothing was changed.");
  }
  const layBook = inOrder(() => get("api/journal"), (journal) => {
    const text = JSON.stringify(journal.runs) + journal.cut_short;
    // a button is not taken from under the pointer unless the runs are others
    if (!current() || text === shownBook) return;
    shownBook = text;
    fill(book, ledger(journal, { undo, recover }));
    holdBook();
  });
  /** No run is touched while work is under way, however late its button was laid. */
  function holdBook() { for (const one of book.querySelectorAll("button")) one.disabled = busy; }

  let going = "";
  until(hear("job", (job) => {
    if (job.kind !== "progress") {
      progress.hidden = true;
      if (job.kind !== "began") layBook().catch(refuse);
      return;
    }
    progress.hidden = false;
    going = job.job;
    let bar = progress.querySelector("progress");
    if (!bar) {
      fill(progress, el("h2", {}, "At work"), el("progress", { "aria-label": "Progress" }), el("p", { class: "says" }),
        button("Stop it", () => post("api/cancel", { job: going }).catch(refuse), { class: "cancel" }));
      bar = progress.querySelector("progress");
    }
    bar.max = job.of || 1;
    bar.value = job.done;
    fill(progress.querySelector(".says"), `${job.words ?? job.job}: ${job.done} of ${job.of}`,
      job.rate ? `, ${figure(job.rate, 3)} a second` : "", job.left ? `, ${figure(job.left, 2)} s left` : "");
  }));
  until(hear("changed", () => { layBook().catch(refuse); }));
  const { plan: waiting } = await layBook();
  if (waiting) {
    plan = await get("api/plan");
    if (agreed.plan === plan.plan) ({ consent } = agreed);
    ({ route, left_out: leftOut } = plan);
    inPlace.checked = plan.in_place;
    likely.checked = plan.with_likely;
    for (const box of routes.querySelectorAll("input")) box.checked = box.value === route;
  }
  lay();
  put(el("div", { class: "columns even" }, el("div", { class: "stack" }, form, book), el("div", { class: "stack" }, progress, paper)));
  if (query.get("at") === "ledger") book.scrollIntoView();
}
