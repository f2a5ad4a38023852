// How pictures are shown: display and view, theme, keys. One dialog, opened from the binder.

import { desk, keep, shownThrough } from "./desk.js";
import { button, choice, el, labelled } from "./dom.js";

const MEDIA = matchMedia("(prefers-color-scheme: dark)");

/** Light or dark grey, as chosen or else as the system has it. */
export function paint() {
  const theme = desk.settings.theme || (MEDIA.matches ? "dark" : "light");
  document.documentElement.dataset.theme = theme;
}
MEDIA.addEventListener("change", paint);

/** The display that pictures are made for, in a few words. */
export function assumed() {
  const { display } = shownThrough();
  return display ?? "no display";
}

/** Lay out the dialog's choices anew and open it. */
export function openShowing() {
  const dialog = el("dialog", { "aria-labelledby": "showing-title" });
  const views = desk.scene?.views ?? [];
  const now = shownThrough();
  const displays = [...new Set(views.map((one) => one.display))];
  const viewsOf = (d) => views.filter((one) => one.display === d).map((one) => [one.view, one.view]);
  const view = el("span", {});
  const layViews = (display, chosen) => view.replaceChildren(labelled("View", choice(viewsOf(display), chosen,
    (value) => keep({ display, view: value }))));
  layViews(now.display, now.view);
  const wide = matchMedia("(color-gamut: p3)").matches;
  const hasWide = displays.find((d) => d.includes("P3"));
  const theme = choice([["", "As the system has it"], ["light", "Light grey"], ["dark", "Dark grey"]],
    desk.settings.theme, (value) => { keep({ theme: value }); paint(); });
  const keys = el("input", { type: "checkbox", onchange: () => keep({ singleKeys: keys.checked }) });
  keys.checked = desk.settings.singleKeys;
  dialog.append(
    el("h2", { id: "showing-title" }, "How it is shown"),
    el("p", {}, "Pictures are made for the display named here and carry its profile. Numbers under the pointer are computed from the file, never read off the screen."),
    el("div", { class: "row" },
      labelled("Display assumed", choice(displays.map((d) => [d, d]), now.display, (d) => {
        const first = viewsOf(d).find(([v]) => v === shownThrough().view) ?? viewsOf(d)[0];
        keep({ display: d, view: first[0] });
        layViews(d, first[0]);
      })), view),
    el("p", { class: "soft" }, wide
      ? `This browser says that its screen reaches P3.${hasWide ? " If that is so, choose the P3 display." : ""}`
      : "This browser says that its screen reaches sRGB, not P3."),
    el("div", { class: "row middle" }, labelled("Surround", theme),
      labelled("Keys of one letter", keys, { class: "field beside" })),
    el("p", { class: "row" }, button("Close", () => dialog.close(), { class: "main" })));
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
}
