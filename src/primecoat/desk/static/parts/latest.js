// Ask for the newest only: while one answer is on its way, later wishes replace each other.

/** @param {(wish, signal) => Promise} ask  @returns a function that takes wishes */
export function latest(ask) {
  let busy = false, next = null, stop = new AbortController();
  async function run(wish) {
    busy = true;
    try {
      await ask(wish, stop.signal);
    } catch (error) {
      if (error.name !== "AbortError" && !next) take.failed?.(error);
    }
    busy = false;
    if (!next) return;
    const [later] = next;
    next = null;
    run(later);
  }
  const take = (wish) => {
    if (busy) next = [wish];
    else run(wish);
  };
  take.stop = () => { next = null; stop.abort(); stop = new AbortController(); };
  return take;
}
