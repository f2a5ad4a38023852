// The proof strip: panes side by side that share one look (place, scale) and one probe.

import { el, fill } from "./dom.js";

const WIDEST = 64;

/**
 * @param {object} spec size [w, h], label, probe(at or null, step of the panel), moved(view)
 */
export function strip(spec) {
  const [W, H] = spec.size;
  const element = el("div", {
    class: "strip", tabindex: "0", role: "group", "aria-label": spec.label,
  });
  let panes = [], view = null, fitted = true, at = null, calm = 0, dragged = null, lastStep = 0;

  const field = () => panes[0]?.field;
  function fit() {
    const box = field();
    if (!box?.clientWidth || !box.clientHeight) return; // not laid out: no scale fits nothing
    const scale = Math.min(box.clientWidth / W, box.clientHeight / H, WIDEST);
    view = { scale, x: (W - box.clientWidth / scale) / 2, y: (H - box.clientHeight / scale) / 2 };
    fitted = true;
  }
  function bound() {
    const box = field();
    for (const [axis, whole, room] of [["x", W, box.clientWidth], ["y", H, box.clientHeight]]) {
      const span = room / view.scale;
      view[axis] = span >= whole ? (whole - span) / 2 : Math.max(0, Math.min(whole - span, view[axis]));
    }
  }
  function look(quick = false) {
    if (!view) fit();
    if (!view) return;
    for (const one of panes) { one.look(view, quick); one.mark(at, view); }
    spec.moved?.(view, fitted);
    clearTimeout(calm);
    if (quick) calm = setTimeout(() => look(false), 160);
  }
  function scaleTo(scale, px, py) {
    const box = field();
    if (!box) return;
    const x = px ?? box.clientWidth / 2, y = py ?? box.clientHeight / 2;
    const least = Math.min(box.clientWidth / W, box.clientHeight / H, 1);
    const next = Math.max(least, Math.min(WIDEST, scale));
    view = { scale: next, x: view.x + x / view.scale - x / next, y: view.y + y / view.scale - y / next };
    fitted = next === least;
    bound();
    look(true);
  }
  function shift(dx, dy) {
    view = { ...view, x: view.x + dx / view.scale, y: view.y + dy / view.scale };
    bound();
    look(true);
  }
  function probe(next, step = 0) {
    at = next && [Math.max(0, Math.min(W - 1, next[0])), Math.max(0, Math.min(H - 1, next[1]))];
    for (const one of panes) one.mark(at, view);
    spec.probe?.(at, step);
  }
  const under = (event, box) => {
    const r = box.getBoundingClientRect();
    return [event.clientX - r.left, event.clientY - r.top];
  };

  element.addEventListener("wheel", (event) => {
    const box = event.target.closest(".proof-field");
    if (!box || !view || !(event.ctrlKey || element.contains(document.activeElement))) return;
    event.preventDefault();
    scaleTo(view.scale * Math.exp(-event.deltaY / 300), ...under(event, box));
  }, { passive: false });
  element.addEventListener("pointerdown", (event) => {
    const box = event.target.closest(".proof-field");
    if (!box || event.button !== 0) return;
    box.setPointerCapture(event.pointerId);
    element.focus({ preventScroll: true });
    dragged = [event.clientX, event.clientY];
  });
  element.addEventListener("pointermove", (event) => {
    const box = event.target.closest(".proof-field");
    if (!box || !view) return;
    if (dragged) {
      shift(dragged[0] - event.clientX, dragged[1] - event.clientY);
      dragged = [event.clientX, event.clientY];
    }
    const [x, y] = under(event, box);
    const here = [Math.floor(view.x + x / view.scale), Math.floor(view.y + y / view.scale)];
    const inside = here[0] >= 0 && here[1] >= 0 && here[0] < W && here[1] < H;
    const step = Number(box.dataset.step ?? 0);
    if (inside && (String(here) !== String(at) || step !== lastStep)) probe(here, step);
    lastStep = step;
  });
  element.addEventListener("pointerup", () => { if (dragged) { dragged = null; look(false); } });
  element.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || !view || event.target !== element) return;
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (event.key in arrows) {
      const [dx, dy] = arrows[event.key];
      const step = Math.max(1, Math.round(8 / view.scale));
      if (event.shiftKey) {
        const box = field();
        const from = at ?? [Math.floor(view.x + box.clientWidth / view.scale / 2), Math.floor(view.y + box.clientHeight / view.scale / 2)];
        probe([from[0] + dx * step, from[1] + dy * step]);
      } else shift(dx * 60, dy * 60);
    } else if (event.key === "+" || event.key === "=") scaleTo(view.scale * 1.5);
    else if (event.key === "-") scaleTo(view.scale / 1.5);
    else if (event.key === "0") { fit(); look(); }
    else if (event.key === "1") scaleTo(1);
    else return;
    event.preventDefault();
  });
  const watch = new ResizeObserver(() => {
    if (fitted) fit();
    else if (view && field()) bound();
    look();
  });

  return {
    element,
    view: () => view,
    /** Lay other panes. */
    lay(next) {
      for (const one of panes) one.stop();
      panes = next;
      watch.disconnect();
      fill(element, panes.map((one) => one.element));
      element.style.setProperty("--across", panes.length);
      if (panes.length) watch.observe(panes[0].field);
      if (fitted) view = null;
    },
    look,
    fit() { fit(); look(); },
    scaleTo: (s) => scaleTo(s),
    larger: () => scaleTo(view.scale * 1.5),
    smaller: () => scaleTo(view.scale / 1.5),
    stop() { watch.disconnect(); clearTimeout(calm); for (const one of panes) one.stop(); },
  };
}
