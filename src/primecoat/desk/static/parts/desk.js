// What all sheets share: the scene's facts and version, how pictures are shown, who listens.

import { get } from "../api.js";

const KEPT = "primecoat.desk";

function kept() {
  try { return JSON.parse(localStorage.getItem(KEPT) ?? "{}"); } catch { return {}; }
}

const listeners = new Map();

export const desk = {
  scene: null,
  version: null,
  job: null,
  stale: false,
  settings: { theme: "", singleKeys: true, sheet: "list", ...kept() },
};

/** Change how things are shown, here and the next time. */
export function keep(changes) {
  Object.assign(desk.settings, changes);
  try { localStorage.setItem(KEPT, JSON.stringify(desk.settings)); } catch { /* kept for this page only */ }
  tell("settings", changes);
}

/** Hear of something until the sheet is put away: "scene", "settings", "job", "changed". */
export function hear(what, handler) {
  if (!listeners.has(what)) listeners.set(what, new Set());
  listeners.get(what).add(handler);
  return () => listeners.get(what).delete(handler);
}

export function tell(what, data) {
  for (const handler of listeners.get(what) ?? []) handler(data);
}

/** Fetch the scene's facts; every sheet's numbers belong to their version. Only other facts are told. */
export async function refresh() {
  const found = await get("api/scene");
  const other = JSON.stringify(found) !== JSON.stringify(desk.scene);
  desk.scene = found;
  desk.version = found.version;
  desk.stale = Boolean(found.stale);
  if (other) tell("scene", found);
  return found;
}

/** The display and view that pictures are shown through. */
export function shownThrough() {
  const { display, view } = desk.settings;
  const views = desk.scene?.views ?? [];
  const chosen = views.find((one) => one.display === display && one.view === view);
  return chosen ?? { display: desk.scene?.display, view: desk.scene?.view };
}

/** Whether motion and flicker are unwanted. */
export const stillness = () => matchMedia("(prefers-reduced-motion: reduce)").matches;
