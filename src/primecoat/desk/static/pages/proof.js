// It looks different: is that right, or is a picture read wrongly?

import { address, get, post } from "../api.js";
import { desk, hear, refresh, shownThrough } from "../parts/desk.js";
import { button, choice, el, fill, labelled, nameOf } from "../parts/dom.js";
import { inOrder } from "../parts/in_order.js";
import { emptySlip, forget, refuse, refuseStale } from "../parts/notice.js";
import { counted, figure, plain } from "../parts/words.js";

const SIZES = [["160x90", "160 × 90"], ["480x270", "480 × 270"], ["512x512", "512 × 512"], ["960x540", "960 × 540"]];
const PATHS = [["8", "8"], ["16", "16"], ["32", "32"], ["64", "64"], ["128", "128"]];
const WAYS = [["beside", "side by side"], ["old", "today"], ["new", "mended"], ["spectral", "by the spectrum"], ["change", "where it changes"]];
const MEANS = {
  old: ["As it is read today", "in Rec.709"],
  new: ["All read as it must be", "in AP1"],
  spectral: ["All read as it must be", "in 36 spectral bands"],
  change: ["Where today's picture changes", "black: not at all;"],
};
const SPACES = { rec709: "Rec.709", ap1: "AP1" };

export async function proofSheet({ put, until, current }) {
  let state = await get("api/proof");
  if (!current()) return;
  let size = "480x270", paths = "16", way = "beside", asking = false, busy = state.job === "proof", coming = state.coming, seen = state.turn, stopping = false;
  if (state.proof) {
    const { width, height, samples } = state.proof;
    size = SIZES.find(([value]) => value === `${width}x${height}`)?.[0] ?? size;
    paths = PATHS.find(([value]) => value === String(samples))?.[0] ?? paths;
  }
  const table = el("div", { class: "stack" });
  const says = el("p", { class: "says", role: "status" });
  const bar = el("progress", { "aria-label": "Progress", max: 1, value: 0 });
  const halt = button("Stop it", stop, { disabled: !busy }); // nothing can be stopped before it began
  const progress = el("div", { class: "row middle proof-going", hidden: !busy }, bar, says, halt);
  const trace = button("Trace it", () => ask(false), { class: "main" });
  const anew = button("Trace it anew", () => ask(true), { title: "Even if the same proof is kept already" });
  const ways = WAYS.map(([value, words]) => button(words, () => { way = value; lay(); }, { "aria-pressed": "false" }));
  const shows = el("fieldset", { class: "group" }, el("legend", {}, "Shown"), ways);
  const form = el("section", { class: "sheet" }, el("h1", {}, "Proof"),
    el("p", { class: "question" }, "It looks different: is that right, or is a picture read wrongly?"),
    el("div", { class: "row" }, labelled("Size in pixels", choice(SIZES, size, (value) => { size = value; })),
      labelled("Paths a pixel", choice(PATHS, paths, (value) => { paths = value; })), trace, anew, el("span", { class: "push" }, shows)), progress);
  const strip = el("div", { class: "trio" });

  function stop() {
    stopping = true;
    says.textContent = "It stops as soon as the pass under way ends …";
    post("api/cancel", { job: "proof" }).catch(refuse);
  }
  async function ask(again) {
    if (busy) return;
    asking = busy = true;
    halt.disabled = true;
    forget();
    lay();
    try {
      const [width, height] = size.split("x").map(Number);
      await post("api/proof", { version: desk.version, width, height, samples: Number(paths), causes: 8, ...shownThrough(), anew: again });
    } catch (error) {
      refuseStale(error, () => refresh().catch(refuse));
    } finally { asking = false; await fetchState(); }
  }
  async function fetchState() {
    try {
      if (current()) await fetchProof();
    } catch (error) { busy = false; lay(); refuse(error); }
  }
  const fetchProof = inOrder(() => get("api/proof"), (found) => {
    if (!current()) return;
    state = found;
    seen = state.turn;
    busy = asking || state.job === "proof";
    if (state.job === "proof") halt.disabled = false;
    coming = state.coming;
    lay();
  });
  /** While it is traced: better pictures as soon as there are any. */
  async function refine() {
    const { turn, coming: more } = await get("api/proof", { brief: true });
    if (!current() || !more || turn === seen) return;
    coming = true;
    seen = turn;
    layStrip();
  }

  function layStrip() {
    const any = coming || state.proof;
    strip.hidden = !any;
    shows.hidden = !any;
    ways.forEach((one, i) => one.setAttribute("aria-pressed", String(WAYS[i][0] === way)));
    if (!any) return;
    const names = way === "beside" ? ["old", "new", "spectral"] : [way];
    strip.classList.toggle("one", names.length === 1);
    if (names.join() !== [...strip.children].map((one) => one.dataset.name).join()) fill(strip, names.map(frame));
    for (const one of strip.children) {
      const image = one.querySelector("img");
      const [width, height] = coming || !state.proof ? size.split("x") : [state.proof.width, state.proof.height];
      image.setAttribute("width", width);
      image.setAttribute("height", height);
      image.src = address(`proof/${one.dataset.name}`, { turn: seen });
      fill(one.querySelector(".state"), coming ? "still being traced" : one.dataset.name === "change" ? `brightest: CIEDE2000 ${figure(state.proof.change_end, 3)} and more` : "");
    }
  }
  function lay() {
    trace.disabled = anew.disabled = busy;
    anew.hidden = !state.proof;
    progress.hidden = !busy;
    if (!busy) { says.textContent = ""; bar.value = 0; stopping = false; }
    else if (!says.textContent) says.textContent = "The scene is being read …";
    layStrip();
    fill(table, state.proof ? [stale(), verdict(state.proof), causes(state.proof), state.proof.causes ? more(state.proof) : null]
      : busy ? null : el("section", { class: "sheet" }, emptySlip("No proof of this state yet.", "Trace one: a small picture of the scene is computed in the old working space, in the new one and in bands of the spectrum, and the change is split into its causes. It needs the ray library: ", el("code", {}, "pip install '.[proof]'"), " in the folder that Primecoat was installed from.")));
  }
  const stale = () => state.current ? null : el("section", { class: "sheet", role: "status" }, el("p", {}, el("strong", {}, "The scene's state changed since. "), "What is below is of the state before; trace it again."));

  until(hear("job", (job) => {
    if (job.kind === "missed") { fetchState(); return; }
    if (job.job !== "proof") return;
    if (job.kind === "done" || job.kind === "failed") { fetchState(); return; }
    halt.disabled = false;
    if (!busy) { busy = true; lay(); }
    if (job.kind === "began") return;
    bar.max = job.of || 1;
    bar.value = job.done;
    if (!stopping) fill(says, `${job.words}: ${job.done} of ${job.of}`, job.left ? `, about ${lasting(job.left)} left` : "");
    if (job.words === "tracing") refine().catch(refuse);
  }));
  until(hear("changed", () => { if (!busy) fetchState(); }));
  put(el("div", { class: "stack" }, form, strip, table));
  lay();
}

function frame(name) {
  const [words, how] = MEANS[name];
  return el("figure", { "data-name": name }, el("img", { alt: `${words}, ${how}` }),
    el("figcaption", {}, el("strong", {}, words), " ", el("span", { class: "soft" }, how), " ", el("span", { class: "soft state" })));
}

/** A mean CIEDE2000 with its certainty; below a thousandth nothing is told. */
const sure = (one) => `${one.value.toFixed(3)}\u00a0±\u00a0${one.within.toFixed(3)}`;
/** Seconds as a person says them. */
const lasting = (s) => (s < 90 ? `${Math.round(s)} s` : `${Math.round(s / 60)} min`);
const none = (one) => Math.abs(one.value) <= Math.max(one.within, 0.05);

function verdict(proof) {
  const { change, nearer } = proof;
  const by = proof.rec709_farther_by;
  return el("section", { class: "sheet" }, el("h2", {}, "What the switch does"),
    el("p", { class: "lead" }, none(change) ? el("strong", {}, `${change.within > 0.05 ? `None is told from chance (${sure(change)}); more paths would tell a smaller one` : "No difference here"}.`)
      : [el("strong", {}, `The picture changes by ${sure(change)}`), " (mean CIEDE2000 through the view, with 95 % certainty)."]),
    el("p", {}, nearer === "no difference here" ? `Nearer to the spectral picture: ${by.within > 0.05 ? `none is told from chance (${sure(by)}); more paths would tell a smaller one` : "no difference here"}.`
      : `Nearer to the spectral picture: ${SPACES[nearer]}, by ${sure({ value: Math.abs(by.value), within: by.within })}.`),
    el("dl", { class: "facts" },
      [["Traced", `${proof.traced}; ${proof.width} × ${proof.height}, ${proof.samples} paths a pixel, ${lasting(proof.seconds)}${proof.kept ? ", kept from before" : ""}`],
        ["Noise left in one picture", `${figure(proof.noise, 3)}; the old and the new one share most of it`],
        ["From the spectral picture", `Rec.709 ${sure(proof.from_spectral.rec709)}, AP1 ${sure(proof.from_spectral.ap1)}`],
        ["Through", proof.view === proof.old_view ? `${proof.view}, ${proof.display}` : `${proof.old_view}, then ${proof.view}, ${proof.display}`]]
        .flatMap(([name, words]) => [el("dt", {}, name), el("dd", {}, words)])));
}

function causes(proof) {
  if (!proof.causes) return null;
  const shown = proof.causes.causes.filter((one) => one.shown);
  const rows = shown.map((one, i) => el("tr", {}, el("th", { scope: "row" }, nameOf(one.name), why(one, proof)),
    [one.alone, one.last].map((value) => el("td", { class: "num" }, sure(value))),
    el("td", { class: "num" }, `${one.interaction > 0 ? "+" : ""}${one.interaction.toFixed(3)}`.replace("-", "−")),
    ["alone", "last"].map((which) => el("td", { class: "map" }, el("img", { src: address(`proof/cause-${i + 1}-${which}`, { of: `${proof.seconds} ${proof.noise}` }), width: proof.causes.width, height: proof.causes.height, alt: `Where ${one.name} changes the picture when mended ${which}` }), which === "alone" ? el("span", { class: "why" }, `brightest: ${figure(one.end, 3)} and more`) : null))));
  const head = ["cause", "mended alone", "mended last", "interaction", "where, alone", "where, last"];
  return el("section", { class: "sheet causes" }, el("h2", {}, "Why it changes"),
    el("p", { class: "question" }, `Alone: today's picture with only this mended. Last: with everything mended but this. Where the two differ, causes act on one another. The whole change of this smaller picture is ${sure(proof.causes.whole)}.`),
    shown.length ? el("table", {}, el("thead", {}, el("tr", {}, head.map((words, i) => el("th", { scope: "col", class: i && i < 4 ? "num" : null }, words)))), el("tbody", {}, rows))
      : el("p", {}, "No cause shows an effect here."),
    shown.length ? el("p", { class: "soft" }, "Maps: black is no difference; both of a cause end at the CIEDE2000 that stands below them.") : null);
}

/** What is wrong with the image that a cause is about. */
function why(cause, proof) {
  const uses = proof.misread.filter((one) => cause.images.includes(one.path)).flatMap((one) => one.uses);
  return uses.slice(0, 3).map((use) => el("span", { class: "why" }, `${plain(use.slot)} of `, nameOf(use.owner), `: read as ${use.today}, is ${use.reading}${cause.firm ? "" : ", likely"}`));
}

function more(proof) {
  const silent = proof.causes.causes.filter((one) => !one.shown);
  const listed = (title, items) => items.length ? el("details", {}, el("summary", {}, title), el("ul", {}, items.slice(0, 200).map((one) => el("li", {}, one)))) : null;
  const parts = [
    listed(`${counted(silent.length, "possible cause")} without an effect that is told from chance`, silent.map((one) => nameOf(one.name))),
    listed(`${counted(proof.unseen.length, "picture")} of which this proof says nothing`, proof.unseen.map((one) => [nameOf(one.path), `: ${one.why}${one.misread ? ", but it is misread today" : ""}`])),
    listed(`${counted(proof.undecided.length, "picture")} whose reading nobody knows, read as today`, proof.undecided.map((path) => nameOf(path))),
    listed(`${counted(proof.notes.length, "note")} on what is not traced or stands for something`, proof.notes),
  ].filter(Boolean);
  return parts.length ? el("section", { class: "sheet" }, el("h2", {}, "What it does not show"), parts) : null;
}
