// The binder: which sheet is open, the events of the server, the keys.

import { listen, post } from "./api.js";
import { desk, hear, refresh, tell } from "./parts/desk.js";
import { button, el, fill, nameOf } from "./parts/dom.js";
import { knowKeys, listenKeys, openKeys } from "./parts/keys.js";
import { failedSheet, isRefused, refuse, say } from "./parts/notice.js";
import { assumed, openShowing, paint } from "./parts/showing.js";
import { cardSheet } from "./pages/card.js";
import { changeSheet } from "./pages/change.js";
import { coloursSheet } from "./pages/colours.js";
import { configSheet } from "./pages/config.js";
import { pictureSheet } from "./pages/picture.js";
import { picturesSheet } from "./pages/pictures.js";
import { proofSheet } from "./pages/proof.js";
import { rendersSheet } from "./pages/renders.js";
import { sceneSheet } from "./pages/scene.js";
import { swatchSheet } from "./pages/swatch.js";

const SHEETS = {
  scene: { words: "Scene", lay: sceneSheet, key: "s" },
  pictures: { words: "Pictures", lay: picturesSheet, key: "p" },
  picture: { words: "Picture", lay: pictureSheet, under: "pictures" },
  colours: { words: "Colours and lights", lay: coloursSheet, key: "c" },
  change: { words: "Change", lay: changeSheet, key: "h" },
  proof: { words: "Proof", lay: proofSheet, key: "l" },
  card: { words: "Test card", lay: cardSheet, key: "t" },
  renders: { words: "Two renders", lay: rendersSheet, key: "r" },
  swatch: { words: "Swatch", lay: swatchSheet, key: "w" },
  config: { words: "Config", lay: configSheet, key: "o" },
};

const bench = document.getElementById("bench");
let putAway = () => {};
let turn = 0;

async function open() {
  const [name, ...rest] = location.hash.replace(/^#\/?/, "").split("?")[0].split("/");
  const known = Object.hasOwn(SHEETS, name) ? name : "scene";
  const sheet = SHEETS[known];
  const mine = turn += 1;
  putAway();
  putAway = () => {};
  knowKeys([]);
  for (const tab of document.querySelectorAll("#tabs a")) {
    if (tab.dataset.sheet === (sheet.under ?? known)) tab.setAttribute("aria-current", "page");
    else tab.removeAttribute("aria-current");
  }
  document.title = `${sheet.words} · Primecoat desk`;
  bench.className = `bench ${known}`;
  const stops = [];
  const until = (stop) => { if (mine === turn) stops.push(stop); else stop(); };
  const query = new URLSearchParams(location.hash.split("?")[1] ?? "");
  const put = (...children) => { if (mine === turn) fill(bench, children); };
  const current = () => mine === turn;
  /** Act after a while, unless the sheet has been left by then. */
  const later = (act, wait = 0) => setTimeout(() => { if (current()) act(); }, wait);
  putAway = () => { for (const stop of stops) stop(); };
  try {
    if (!desk.scene) await refresh();
    if (mine !== turn) return;
    const { version } = desk;
    await sheet.lay({ put, query, rest: rest.join("/"), until, current, later });
    if (mine !== turn) return;
    if (desk.version !== version) tell("changed", desk.scene); // while the sheet was not listening yet
    if (document.activeElement === document.body) bench.focus({ preventScroll: true });
  } catch (error) {
    if (error.name === "AbortError") return;
    if (error.code === undefined) console.error(error);
    put(failedSheet(error, open));
  }
}

function layBinder() {
  document.getElementById("tabs").replaceChildren(...Object.entries(SHEETS).filter(([, s]) => s.key)
    .map(([name, s]) => el("a", { href: `#/${name}`, "data-sheet": name }, s.words)));
  const showing = button("", openShowing, { title: "Display, view, surround and keys" });
  const say = () => { showing.textContent = `Shown for ${assumed()}`; };
  document.getElementById("tools").replaceChildren(showing, button("Keys", openKeys));
  hear("scene", (scene) => {
    say();
    const title = document.getElementById("title");
    fill(title, nameOf(scene.target.split("/").pop() || scene.target));
    title.title = scene.target;
  });
  hear("settings", say);
  say();
  document.getElementById("skip").addEventListener("click", (event) => { event.preventDefault(); bench.focus(); });
}

async function surveyAgain() {
  try {
    await post("api/survey", {});
  } catch (error) {
    refuse(error);
    tell("stale", desk.stale); // it is still to be done
  }
}

function layEvents() {
  let away = null;
  let gone = null;
  const look = () => refresh().catch(refuse);
  const layStale = (words) => {
    away?.();
    away = words ? say(words, {
      remedy: "What you see is the state before.", stay: true, id: "changed",
      action: { words: "Survey again", act: surveyAgain },
    }) : null;
  };
  hear("stale", layStale);
  layStale(desk.stale);
  const over = (kind) => (event) => { tell("job", { kind, ...event }); look(); };
  // an event says that there is something to fetch; what is so now only the answer says
  const stop = listen({
    changed: look,
    began: (event) => tell("job", { kind: "began", ...event }),
    progress: (event) => tell("job", { kind: "progress", ...event }),
    done: over("done"),
    failed(event) {
      over("failed")(event);
      const { code = 0, what = "The work failed.", remedy = "" } = event.error ?? {};
      if (!isRefused(what)) refuse({ code, message: what, remedy });
    },
  }, (lost) => {
    if (lost && !gone) {
      gone = say("The desk does not answer.", {
        remedy: "Decisions made are kept. If it was stopped, start it again with 'primecoat desk' and open the address that it gives; if it answers again, this page goes on.", stay: true, kind: "error", id: "lost",
      });
    } else if (!lost && gone) {
      gone();
      gone = null;
      // a desk that was started again counts its versions anew, and the end of a work may be missed
      refresh().then((scene) => {
        tell("changed", scene);
        if (!scene.job) tell("job", { kind: "missed" });
      }).catch(refuse);
    } else if (!lost) look(); // what was told before this window listened
  });
  addEventListener("pagehide", stop);
}

paint();
layBinder();
listenKeys(Object.fromEntries(Object.entries(SHEETS).filter(([, s]) => s.key).map(([name, s]) => [s.key, `#/${name}`])));
addEventListener("hashchange", open);
await open();
layEvents();
