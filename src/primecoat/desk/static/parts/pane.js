// One proof: a picture under one reading, the part of it that the shared look asks for.

import { picture } from "../api.js";
import { add, el } from "./dom.js";
import { latest } from "./latest.js";

/**
 * @param {object} spec id, reading, title (nodes), size [w, h], params() -> query of the picture,
 *   cannot() -> why what is asked for cannot be shown, if it is known beforehand,
 *   panels: [{words, step}] that one answer holds side by side, each of them a field of its own
 */
export function pane(spec) {
  const panels = (spec.panels ?? [{ words: "", step: 0 }]).map(panel);
  const many = panels.length > 1;
  const { field } = panels[0];
  const how = el("span", { class: "proof-how" });
  const exact = el("span", { class: "soft exact" });
  const words = el("span", { class: "soft proof-words" });
  const element = add(el("figure", { class: many ? "proof panels" : "proof" }),
    el("div", { class: "proof-row" }, panels.map((one) => one.element)),
    el("figcaption", {}, spec.title, how, exact, words));
  let printed = "", shown = null, url = "", wished = null;

  /** Where the rectangle of the picture lies in each field; a panel shows its part of the answer. */
  function place(view) {
    if (!shown) return;
    const [x, y, w, h] = shown;
    for (const [i, { crop, image }] of panels.entries()) {
      Object.assign(crop.style, {
        left: `${(x - view.x) * view.scale}px`, top: `${(y - view.y) * view.scale}px`,
        width: `${w * view.scale}px`, height: `${h * view.scale}px`,
      });
      Object.assign(image.style, {
        width: `${100 * panels.length}%`, left: `${-100 * i}%`,
        imageRendering: view.scale > 1.5 ? "pixelated" : "auto",
      });
    }
  }

  /** The part in sight in whole pixels of the picture, and how many pixels to print it with. */
  function part(view) {
    const [W, H] = spec.size;
    const x = Math.max(0, Math.floor(view.x)), y = Math.max(0, Math.floor(view.y));
    const right = Math.min(W, Math.ceil(view.x + field.clientWidth / view.scale));
    const low = Math.min(H, Math.ceil(view.y + field.clientHeight / view.scale));
    if (right <= x || low <= y) return null;
    const ink = Math.min(1, view.scale * devicePixelRatio);
    const box = [x, y, right - x, low - y];
    return { box, size: [panels.length * Math.max(1, Math.round(box[2] * ink)), Math.max(1, Math.round(box[3] * ink))] };
  }

  /** What was done stands once, though both the page and the answer say it. */
  function sayOnce() {
    words.textContent = printed.replace(/\.$/, "") === how.textContent ? "" : printed;
  }

  function refused(said) {
    for (const { still, image } of panels) {
      still.hidden = false;
      still.textContent = said;
      image.hidden = true;
    }
    printed = "";
    sayOnce();
    shown = null;
    element.dataset.exact = "none";
  }

  const print = latest(async ({ wish, view }, signal) => {
    try {
      const made = await picture(`picture/${spec.id}`, wish.query, signal);
      const fresh = URL.createObjectURL(made.blob);
      const decoded = new Image();
      decoded.src = fresh;
      await decoded.decode();
      if (signal.aborted) { URL.revokeObjectURL(fresh); return; }
      for (const { image } of panels) image.src = fresh;
      URL.revokeObjectURL(url);
      url = fresh;
      shown = wish.box;
      place(spec.view() ?? view);
      for (const { still, image } of panels) { still.hidden = true; image.hidden = false; }
      exact.textContent = made.exact ? "" : "reduced";
      printed = made.words;
      sayOnce();
      element.dataset.exact = wish.text !== wished ? "coming" : made.exact ? "1" : "0";
      element.dataset.label = made.label;
    } catch (error) {
      if (error.name === "AbortError") throw error;
      if (wish.text !== wished) return; // another is on its way
      refused(`Cannot be shown: ${error.message} ${error.remedy ?? ""}`);
      wished = null;
    }
  });

  return {
    element, field, reading: spec.reading,
    how(said) { how.textContent = said; sayOnce(); },
    /** Follow the shared look: at once with what is printed, then with a new print. */
    look(view, quick) {
      place(view);
      const seen = part(view);
      if (!seen) return;
      const query = {
        reading: spec.reading, ...spec.params(), box: seen.box.join(","), size: seen.size.join(","),
        quick: quick ? 1 : null,
      };
      const text = JSON.stringify(query);
      if (text === wished) return;
      wished = text;
      const why = spec.cannot?.();
      if (why) { print.stop(); refused(`Cannot be shown: ${why}`); return; }
      element.dataset.exact = "coming";
      print({ wish: { text, query, box: seen.box }, view });
    },
    /** Put the cross on a pixel, or take it away. */
    mark(at, view) {
      for (const { cross } of panels) {
        cross.hidden = !at;
        if (!at) continue;
        cross.style.left = `${(at[0] + 0.5 - view.x) * view.scale}px`;
        cross.style.top = `${(at[1] + 0.5 - view.y) * view.scale}px`;
      }
    },
    stop() { print.stop(); URL.revokeObjectURL(url); },
  };
}

function panel({ words, step }) {
  const image = el("img", { alt: "", class: "proof-image", draggable: "false", hidden: true });
  const crop = el("div", { class: "proof-crop" }, image);
  const cross = el("span", { class: "cross", hidden: true });
  const still = el("p", { class: "proof-wait" }, "Printing …");
  const field = el("div", { class: "proof-field", "data-step": step }, crop, cross, still);
  return { image, crop, cross, still, field, element: el("div", { class: "panel" }, field, words ? el("p", { class: "panel-words num" }, words) : null) };
}
