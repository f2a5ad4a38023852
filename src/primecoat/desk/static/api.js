// The only door to the server: addresses are relative, so that they carry the key of this page.

/** A refusal of the server, with what to do about it. */
export class Refusal extends Error {
  constructor(code, what, remedy) {
    super(what);
    this.code = code;
    this.remedy = remedy;
  }
}

/** The address of a route, with its parameters; empty ones are left out. */
export function address(path, params = {}) {
  const query = new URLSearchParams();
  for (const [key, value] of Object.entries(params)) {
    if (value === null || value === undefined || value === "") continue;
    for (const one of [value].flat()) query.append(key, one);
  }
  const text = query.toString();
  return new URL(text ? `${path}?${text}` : path, document.baseURI).href;
}

/** Fetch a JSON document. */
export async function get(path, params = {}, signal = undefined) {
  const answer = await ask(address(path, params), { signal });
  return answer.json();
}

/** Send a change; the header tells it from any form of another page. */
export async function post(path, body = {}) {
  const answer = await ask(address(path), {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-Primecoat": "1" },
    body: JSON.stringify(body),
  });
  return answer.json();
}

/** Fetch a picture: its bytes, whether it is exact, and what was done, in sentences. */
export async function picture(path, params, signal) {
  const answer = await ask(address(path, params), { signal });
  const said = (name) => answer.headers.get(name) ?? "";
  return {
    blob: await answer.blob(), exact: said("X-Exact") !== "0", words: said("X-Words"), label: said("X-Label"),
    notFinite: Number(said("X-Not-Finite")), scale: said("X-Scale") ? said("X-Scale").split(",").map(Number) : null,
  };
}

/** Listen to the server; each handler is told the event's data. Returns a way to stop. */
export function listen(handlers, lost) {
  const source = new EventSource(address("events"));
  for (const [name, handler] of Object.entries(handlers)) {
    source.addEventListener(name, (event) => handler(event.data ? JSON.parse(event.data) : {}));
  }
  source.onerror = () => lost(true);
  source.onopen = () => lost(false);
  return () => source.close();
}

async function ask(url, options) {
  let answer;
  try {
    answer = await fetch(url, { cache: "no-store", ...options });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Refusal(0, "The desk does not answer.",
      "Its server has stopped. Decisions made are kept; start it again with 'primecoat desk'.");
  }
  if (answer.ok) return answer;
  const said = (await answer.json().catch(() => ({}))).error ?? {};
  throw new Refusal(answer.status, said.what ?? `The desk refused this (${answer.status}).`,
    said.remedy ?? "Load this page again from the address the terminal shows.");
}
