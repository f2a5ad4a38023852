// Elements built from text only; names that hide or reorder text are shown escaped.

const HIDDEN = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\u{e0000}-\u{e007f}]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/gu;

/** Text with control, bidirectional and invisible characters written as `\u{202e}`. */
export function printable(text) {
  return String(text).replace(HIDDEN, (c) => `\\u{${c.codePointAt(0).toString(16)}}`);
}

/** An element with properties and children; strings become text, nothing is parsed. */
export function el(name, props = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key === "class") made.className = value;
    else if (key === "value") made.value = value;
    else made.setAttribute(key, value === true ? "" : printable(value));
  }
  add(made, children);
  return made;
}

/** Append children: nodes, texts, lists; empty ones are passed over. */
export function add(parent, ...children) {
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false) continue;
    parent.append(child instanceof Node ? child : document.createTextNode(printable(child)));
  }
  return parent;
}

/** Put new children in the place of the old. */
export function fill(parent, ...children) {
  parent.replaceChildren();
  return add(parent, children);
}

const SVG = "http://www.w3.org/2000/svg";

/** An SVG element. */
export function svg(name, props = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(props)) made.setAttribute(key, String(value));
  add(made, children);
  return made;
}

/** What stands for a character that is not shown, written here or by the server; it reads from the left. */
const ESCAPE = /(\\(?:u\{[0-9a-f]+\}|u[0-9a-f]{4}|U[0-9a-f]{8}|x[0-9a-f]{2}|[nrt]))/;

/** A file name or owner, kept apart from the text round it whichever way it runs. */
export function nameOf(text, props = {}) {
  const said = printable(text);
  const parts = said.split(ESCAPE).flatMap((part, i) => i % 2 ? [el("bdi", { dir: "ltr" }, part)]
    : part.split(/(?<=[/_-])/).flatMap((piece) => piece.match(/.{1,30}/gsu) ?? []));
  const broken = parts.flatMap((part, i) => (i ? [el("wbr"), part] : [part]));
  return el("bdi", { class: "name", ...props }, broken);
}

/** A labelled control: the label's words, then the control. */
export function labelled(words, control, props = {}) {
  return el("label", { class: "field", ...props }, el("span", { class: "label" }, words), control);
}

/** Controls that belong together, under a few words. */
export function group(words, controls, props = {}) {
  return el("div", { ...props, class: `field together ${props.class ?? ""}`, role: "group", "aria-label": words },
    el("span", { class: "label", "aria-hidden": "true" }, words), el("div", { class: "joined" }, controls));
}

/** A drop-down of [value, words] pairs. */
export function choice(pairs, chosen, onchange, props = {}) {
  const made = el("select", { ...props, onchange: () => onchange(made.value) },
    pairs.map(([value, words]) => el("option", { value }, words)));
  made.value = chosen ?? "";
  return made;
}

/** A button with words. */
export function button(words, onclick, props = {}) {
  return el("button", { type: "button", ...props, onclick }, words);
}
