// How the renders are read: what the files state, what a person says; asked for, never assumed.

import { post } from "../api.js";
import { desk } from "./desk.js";
import { choice, el, fill, labelled, nameOf } from "./dom.js";
import { READINGS } from "./readings.js";

const SPACES = READINGS.filter((reading) => reading !== "data" && reading !== "unknown");

/** @param {object} state of the renders  @param again told the state after it  @param open at once */
export function sayForm(state, again, open = false) {
  const views = desk.scene?.views ?? [];
  const displays = [...new Set(views.map((one) => one.display))];
  const wish = { ...state.said };
  const trouble = el("div", { role: "alert", class: "trouble" });
  const side = (name, spaceKey, viewKey) => {
    const known = state.sides[name];
    const fromFile = known.space && known.said_by !== "person" ? `${known.space}, as the file states (${known.said_by})`
      : known.asked || !known.space ? "nobody says it: choose" : "as the file states, if it does";
    const view = el("span", {});
    const layView = () => {
      const display = wish.display || desk.scene?.display;
      const of = views.filter((one) => one.display === display).map((one) => [one.view, one.view]);
      fill(view, labelled(name === "old" ? "View it was seen through" : "View it is seen through",
        choice([["", "not said"], ...of], wish[viewKey] ?? "", (value) => { wish[viewKey] = value || null; })));
    };
    layView();
    return { layView, element: el("fieldset", { class: "said" }, el("legend", {}, el("strong", {}, name), " ", nameOf(state[name].split("/").pop())),
      labelled("Space of its numbers", choice([["", fromFile], ...SPACES.map((s) => [s, s])], wish[spaceKey] ?? "", (value) => { wish[spaceKey] = value || null; })), view,
      known.why && !known.space && known.why !== state.refused?.what ? el("p", { class: "soft" }, known.why) : null) };
  };
  const old = side("old", "in_old", "view_old"), fresh = side("new", "in_new", "view_new");
  const display = labelled("Display of the views", choice([["", `not said: ${desk.scene?.display}`], ...displays.map((d) => [d, d])], wish.display ?? "", (value) => {
    wish.display = value || null;
    wish.view_old = wish.view_new = null;
    old.layView();
    fresh.layView();
  }));
  const form = el("form", { onsubmit: async (event) => {
    event.preventDefault();
    fill(trouble);
    try { again(await post("api/renders/say", wish)); } catch (error) {
      fill(trouble, el("p", {}, el("strong", {}, "They cannot be read so: "), error.message, " ", error.remedy ?? ""));
    }
  } }, el("div", { class: "said-both" }, old.element, fresh.element), el("div", { class: "row" }, display, el("button", { type: "submit", class: "main" }, "Read them so")), trouble,
  el("p", { class: "soft" }, "Said here it holds for all windows of this desk until it is closed. The same is said on the command line with --in-a, --in-b, --view-a, --view-b, --display.",
    state.corrections ? [" The old render goes through ", nameOf(state.corrections.split("/").pop()), " first."] : ""));
  const summary = state.refused ? "How they are read" : [el("strong", {}, "How they are read: "), el("span", { class: "now" }, `old ${state.how.old} New ${state.how.new}`)];
  return el("details", { class: "saying", open }, el("summary", {}, summary), form);
}
