// One proof: a picture under one reading, the part of it that the shared look asks for.

import { picture } from "../api.js";
import { add, el } from "./dom.js";
import { latest } from "./latest.js";

/**
 * @param {object} spec id, reading, title (nodes), size [w, h], params() -> query of the picture
 */
export function pane(spec) {
  const image = el("img", { alt: "", class: "proof-image", draggable: "false" });
  const cross = el("span", { class: "cross", hidden: true });
  const still = el("p", { class: "proof-wait" }, "Printing …");
  const field = el("div", { class: "proof-field" }, image, cross, still);
  const exact = el("span", { class: "soft exact" });
  const element = add(el("figure", { class: "proof" }), field,
    el("figcaption", {}, spec.title, el("span", { class: "proof-how" }), exact));
  const how = element.querySelector(".proof-how");
  let shown = null, url = "", wished = null;

  /** Where a rectangle of the picture lies in the field. */
  function place(view) {
    if (!shown) return;
    const [x, y, w, h] = shown;
    Object.assign(image.style, {
      left: `${(x - view.x) * view.scale}px`, top: `${(y - view.y) * view.scale}px`,
      width: `${w * view.scale}px`, height: `${h * view.scale}px`,
      imageRendering: view.scale > 1.5 ? "pixelated" : "auto",
    });
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
    return { box, size: [Math.max(1, Math.round(box[2] * ink)), Math.max(1, Math.round(box[3] * ink))] };
  }

  const print = latest(async ({ wish, view }, signal) => {
    try {
      const made = await picture(`picture/${spec.id}`, wish.query, signal);
      const fresh = URL.createObjectURL(made.blob);
      const decoded = new Image();
      decoded.src = fresh;
      await decoded.decode();
      image.src = fresh;
      URL.revokeObjectURL(url);
      url = fresh;
      shown = wish.box;
      place(spec.view() ?? view);
      still.hidden = true;
      image.hidden = false;
      exact.textContent = made.exact ? "" : "reduced";
      element.dataset.exact = made.exact ? "1" : "0";
    } catch (error) {
      if (error.name === "AbortError") throw error;
      still.hidden = false;
      image.hidden = true;
      still.textContent = `${error.message} ${error.remedy ?? ""}`;
      wished = null;
    }
  });

  return {
    element, field, reading: spec.reading,
    how(words) { how.textContent = words; },
    /** Follow the shared look: at once with what is printed, then with a new print. */
    look(view, quick) {
      place(view);
      const seen = part(view);
      if (!seen) return;
      const query = {
        reading: spec.reading, ...spec.params(), box: seen.box.join(","), size: seen.size.join(","),
        quick: quick ? 1 : null,
      };
      const wish = JSON.stringify(query);
      if (wish === wished) return;
      wished = wish;
      print({ wish: { query, box: seen.box }, view });
    },
    /** Put the cross on a pixel, or take it away. */
    mark(at, view) {
      cross.hidden = !at;
      if (!at) return;
      cross.style.left = `${(at[0] + 0.5 - view.x) * view.scale}px`;
      cross.style.top = `${(at[1] + 0.5 - view.y) * view.scale}px`;
    },
    stop() { print.stop(); URL.revokeObjectURL(url); },
  };
}
