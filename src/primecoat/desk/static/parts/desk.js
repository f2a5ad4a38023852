// What all sheets share: the scene's facts and version, how pictures are shown, who listens.

import { get } from "../api.js";
import { inOrder } from "./in_order.js";

const KEPT = "primecoat.desk";

function kept() {
  try { return JSON.parse(localStorage.getItem(KEPT) ?? "{}"); } catch { return {}; }
}

const listeners = new Map();

export const desk = {
  scene: null,
  version: null,
  stale: "",
  settings: { theme: "", singleKeys: true, sheet: "list", ...kept() },
};

/** Change how things are shown, here and the next time. */
export function keep(changes) {
  Object.assign(desk.settings, changes);
  try { localStorage.setItem(KEPT, JSON.stringify(desk.settings)); } catch { /* kept for this page only */ }
  tell("settings", changes);
}

/** Hear of something until the sheet is put away: "scene", "settings", "job", "changed", "stale". */
export function hear(what, handler) {
  if (!listeners.has(what)) listeners.set(what, new Set());
  listeners.get(what).add(handler);
  return () => listeners.get(what).delete(handler);
}

export function tell(what, data) {
  for (const handler of listeners.get(what) ?? []) handler(data);
}

/**
 * Fetch the scene's facts, and tell what is other than before: "scene" its facts, "stale" what changed
 * on disk, "changed" its version, to which every sheet's numbers belong.
 */
export async function refresh() {
  await fetchScene();
  return desk.scene;
}

const fetchScene = inOrder(() => get("api/scene"), (found) => {
  const { scene, version, stale } = desk;
  desk.scene = found;
  desk.version = found.version;
  desk.stale = found.stale;
  if (!scene || facts(found) !== facts(scene)) tell("scene", found);
  if (found.stale !== stale) tell("stale", found.stale);
  if (scene && found.version !== version) tell("changed", found);
});

/** What stands on the sheets; what is under way, and what is to be surveyed again, is told apart. */
const facts = (scene) => JSON.stringify({ ...scene, job: null, stale: null });

/** The display and view that pictures are shown through. */
export function shownThrough() {
  const { display, view } = desk.settings;
  const views = desk.scene?.views ?? [];
  const chosen = views.find((one) => one.display === display && one.view === view);
  return chosen ?? { display: desk.scene?.display, view: desk.scene?.view };
}

/** Whether motion and flicker are unwanted. */
export const stillness = () => matchMedia("(prefers-reduced-motion: reduce)").matches;
