// A list of any length: rows of one height, a few elements used again, ranges fetched as needed.

import { el } from "./dom.js";

const CHUNK = 100;
const KEPT = 40;
const AHEAD = 6;

/**
 * @param {object} spec
 *   label, rowHeight, fetch(from, count, signal) -> {version, total, rows}, draw(element, row, index),
 *   columns (items side by side, default 1), wait(element, index) for rows not yet here,
 *   settled(elements) once scrolling rests, activate(index), key(event, index) -> handled,
 *   toggle(index, run) for marking.
 */
export function virtualList(spec) {
  // one fetching of the rows: what is there of them, and what is on its way
  const edition = () => ({ chunks: new Map(), loading: new Map(), stop: new AbortController(), version: Infinity });
  let now = edition(), newest = now, renewing = null;
  let total = 0, active = 0, columns = spec.columns ?? 1, frame = 0, rest = 0;
  const rail = el("div", { class: "rail", role: "presentation" });
  const box = el("div", {
    class: `vlist ${spec.class ?? ""}`, role: "listbox", tabindex: "0",
    "aria-multiselectable": spec.toggle ? "true" : null, "aria-label": spec.label,
  }, rail);
  const pool = [];
  const prefix = `${spec.id ?? "row"}-`;

  const rows = () => Math.ceil(total / columns);
  const row = (i) => now.chunks.get(Math.floor(i / CHUNK))?.[i % CHUNK];

  async function load(chunk, of = now) {
    const { chunks, loading } = of;
    if (chunks.has(chunk)) return chunks.get(chunk);
    if (!loading.has(chunk)) {
      const coming = spec.fetch(chunk * CHUNK, CHUNK, of.stop.signal).then((found) => {
        if (of === newest && of !== now) { now.stop.abort(); now = of; }
        chunks.set(chunk, found.rows);
        of.version = Math.min(of.version, found.version);
        for (const old of chunks.keys()) {
          if (chunks.size <= KEPT) break;
          if (Math.abs(old - chunk) > 3) chunks.delete(old);
        }
        if (of === now) {
          total = found.total;
          rail.style.height = `${rows() * spec.rowHeight}px`;
        }
        return found.rows;
      }).finally(() => { if (loading.get(chunk) === coming) loading.delete(chunk); });
      loading.set(chunk, coming);
    }
    return loading.get(chunk);
  }

  function item(slot) {
    while (pool.length <= slot) {
      const made = el("div", { class: "vrow", role: "option" });
      made.style.height = `${spec.rowHeight}px`;
      rail.append(made);
      pool.push(made);
    }
    return pool[slot];
  }

  function paint(force = false) {
    frame = 0;
    const first = Math.max(0, Math.floor(box.scrollTop / spec.rowHeight) - AHEAD) * columns;
    const shown = (Math.ceil(box.clientHeight / spec.rowHeight) + 2 * AHEAD) * columns;
    const last = Math.min(total, first + shown);
    const wanted = new Set();
    for (let slot = 0; slot < Math.max(shown, pool.length); slot += 1) {
      // An element keeps its row while that stays in sight: only new rows are drawn.
      const index = first + ((slot - (first % shown)) % shown + shown) % shown;
      const made = slot < shown ? item(slot) : pool[slot];
      if (slot >= shown || index >= last) { made.hidden = true; made.index = -1; continue; }
      const found = row(index);
      if (!found) wanted.add(Math.floor(index / CHUNK));
      if (force || made.index !== index || made.waits !== !found) {
        made.hidden = false;
        made.index = index;
        made.waits = !found;
        made.id = prefix + index;
        made.setAttribute("aria-setsize", total);
        made.setAttribute("aria-posinset", index + 1);
        made.style.width = `${100 / columns}%`;
        made.style.transform = `translate(${(index % columns) * 100}%, ${Math.floor(index / columns) * spec.rowHeight}px)`;
        if (found) spec.draw(made, found, index);
        else spec.wait(made, index);
      }
      made.classList.toggle("active", index === active);
    }
    if (active >= first && active < last) box.setAttribute("aria-activedescendant", prefix + active);
    else box.removeAttribute("aria-activedescendant");
    clearTimeout(rest);
    rest = setTimeout(() => resting(wanted), wanted.size && now.chunks.size < 2 ? 0 : 90);
  }

  async function resting(wanted) {
    try {
      await Promise.all([...wanted].map((chunk) => load(chunk)));
    } catch (error) {
      if (error.name !== "AbortError") spec.failed?.(error);
      return;
    }
    if (wanted.size) paint();
    spec.settled?.(pool.filter((made) => !made.hidden && !made.waits));
  }

  const soon = (force) => { if (force) paint(true); else frame ||= requestAnimationFrame(() => paint()); };

  function show(index) {
    active = Math.max(0, Math.min(total - 1, index));
    const top = Math.floor(active / columns) * spec.rowHeight;
    if (top < box.scrollTop) box.scrollTop = top;
    else if (top + spec.rowHeight > box.scrollTop + box.clientHeight) {
      box.scrollTop = top + spec.rowHeight - box.clientHeight;
    }
    paint();
  }

  box.addEventListener("scroll", () => soon(false), { passive: true });
  box.addEventListener("keydown", (event) => {
    if (event.altKey || !total) return;
    const page = Math.max(1, Math.floor(box.clientHeight / spec.rowHeight) - 1) * columns;
    const steps = {
      ArrowDown: columns, ArrowUp: -columns, PageDown: page, PageUp: -page, Home: -total, End: total,
      ...(columns > 1 ? { ArrowRight: 1, ArrowLeft: -1 } : {}),
    };
    if (event.key in steps) {
      event.preventDefault();
      const from = active;
      show(active + steps[event.key]);
      if (event.shiftKey) spec.toggle?.(active, from);
    } else if (event.key === " " && spec.toggle) {
      event.preventDefault();
      spec.toggle(active);
    } else if (event.key === "Enter" && spec.activate && !event.ctrlKey) {
      event.preventDefault();
      spec.activate(active);
    } else if (spec.key?.(event, active)) event.preventDefault();
  });
  box.addEventListener("click", (event) => {
    const made = event.target.closest(".vrow");
    if (!made || made.index < 0) return;
    const from = active;
    active = made.index;
    if (event.target.closest("[data-opens]")) spec.activate?.(active);
    else if (spec.toggle) spec.toggle(active, event.shiftKey ? from : undefined);
    paint();
  });
  box.addEventListener("dblclick", (event) => {
    if (event.target.closest(".vrow")) spec.activate?.(active);
  });

  const watch = new ResizeObserver(() => {
    const across = spec.columnsFor?.(box.clientWidth) ?? columns;
    if (across !== columns) {
      columns = across;
      rail.style.height = `${rows() * spec.rowHeight}px`;
      for (const made of pool) made.index = -1;
      show(active);
    }
    soon(false);
  });
  watch.observe(box);

  return {
    element: box,
    row,
    get total() { return total; },
    get active() { return active; },
    /** The version of the scene that the oldest of the rows are of. */
    get version() { return now.version; },
    /** Rows of a run of the list, fetched if need be. */
    async range(from, to) {
      const found = [], of = now;
      try {
        for (let i = Math.floor(from / CHUNK); i <= Math.floor(to / CHUNK); i += 1) {
          const rowsOf = await load(i, of);
          rowsOf.forEach((one, j) => {
            const index = i * CHUNK + j;
            if (index >= from && index <= to) found.push(one);
          });
        }
      } catch (error) {
        if (of === now || error.name !== "AbortError") throw error;
        return this.range(from, to); // other rows came meanwhile
      }
      return found;
    },
    /**
     * Fetch all rows again; `top` also goes back to the first. Those shown stay, and can be pressed,
     * until the new ones are here; who waits when all is asked for once more waits for that.
     */
    async renew(top = false) {
      if (newest !== now) newest.stop.abort();
      const mine = newest = edition();
      if (top) { box.scrollTop = 0; active = 0; }
      const first = Math.floor(box.scrollTop / spec.rowHeight) * columns;
      renewing = load(Math.floor(first / CHUNK), mine);
      try { await renewing; } catch (error) {
        if (newest === mine) { newest = now; throw error; }
        await renewing;
      }
      active = Math.max(0, Math.min(active, total - 1));
      paint(true);
    },
    redraw: () => paint(true),
    show,
    stop() { watch.disconnect(); now.stop.abort(); newest.stop.abort(); clearTimeout(rest); cancelAnimationFrame(frame); },
  };
}
