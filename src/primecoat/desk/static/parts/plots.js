// The histogram and the u'v' plot, drawn in ink; channels told apart by place and letter.

import { el, svg } from "./dom.js";
import { counted, figure, whole } from "./words.js";

const W = 256, H = 54;

/** Small histograms under each other, one a channel, with what lies outside. */
export function histogram(found) {
  const scale = found.of === "stops"
    ? `stops about mid-grey, ${figure(found.edges[0])} to ${figure(found.edges.at(-1))}`
    : `numbers as stored, ${figure(found.edges[0])} to ${figure(found.edges.at(-1))}`;
  return el("figure", { class: "plot" },
    found.channels.map((name, i) => {
      const heights = found.heights[i];
      const step = W / heights.length;
      const most = Math.max(...heights, 1e-9);
      const steps = heights.map((h, j) => `L${(j * step).toFixed(2)} ${(H - (h / most) * (H - 3)).toFixed(2)}H${((j + 1) * step).toFixed(2)}`).join("");
      const outside = [
        found.below[i] ? `${whole(found.below[i])} below` : "", found.above[i] ? `${whole(found.above[i])} above` : "",
        found.not_finite[i] ? `${whole(found.not_finite[i])} not finite` : "", found.dark?.[i] ? `${whole(found.dark[i])} at or below nought` : "",
      ].filter(Boolean).join(", ");
      return el("div", { class: "channel" }, el("b", {}, name),
        svg("svg", { viewBox: `0 0 ${W} ${H}`, preserveAspectRatio: "none", role: "img", "aria-label": `Histogram of ${name}` },
          svg("path", { d: `M0 ${H}${steps}V${H}Z`, fill: "currentColor" }), svg("path", { d: `M0 ${H - 0.5}H${W}`, stroke: "currentColor" })),
        outside ? el("span", { class: "soft" }, outside) : null);
    }),
    el("figcaption", { class: "soft" }, `${scale}; ${counted(found.pixels, "pixel")}`));
}

const X0 = 0, X1 = 0.64, Y0 = 0, Y1 = 0.62, S = 600;
const px = (u) => ((u - X0) * S).toFixed(1);
const py = (v) => ((Y1 - v) * S).toFixed(1);
const path = (points) => points.map(([u, v], i) => `${i ? "L" : "M"}${px(u)} ${py(v)}`).join("");
const DASHES = ["", "7 4", "2 3", "9 3 2 3", "14 4", "4 2"];

/** Where the picture's colours lie in CIE 1976 u'v', with the gamuts as triangles. */
export function chromaticity(found) {
  const most = Math.max(1, ...found.points.map(([, , n]) => n));
  const dots = found.points.map(([u, v, n]) => svg("rect", {
    x: (px(u) - 1.6).toFixed(1), y: (py(v) - 1.6).toFixed(1), width: 3.2, height: 3.2,
    opacity: (0.25 + (0.75 * Math.log1p(n)) / Math.log1p(most)).toFixed(2),
  }));
  const gamuts = Object.entries(found.gamuts);
  const plot = svg("svg", { viewBox: `0 0 ${(X1 - X0) * S} ${(Y1 - Y0) * S}`, role: "img", "aria-label": "Chromaticity plot" },
    svg("path", { d: path(found.locus) + "Z", class: "locus" }),
    svg("g", { class: "dots" }, dots),
    gamuts.map(([, corners], i) => svg("path", { d: path(corners) + "Z", class: "gamut", "stroke-dasharray": DASHES[i % DASHES.length] })),
    svg("path", { d: `M${px(found.white[0]) - 6} ${py(found.white[1])}h12m-6 -6v12`, class: "white" }));
  const legend = el("ul", { class: "legend" }, gamuts.map(([name], i) => el("li", {},
    svg("svg", { viewBox: "0 0 34 8", "aria-hidden": "true" }, svg("path", { d: "M0 4H34", class: "gamut", "stroke-dasharray": DASHES[i % DASHES.length] })), name)));
  const rest = [found.dark ? `${whole(found.dark)} too dark to tell` : "", found.outside ? `${whole(found.outside)} outside the plot` : "",
    found.not_finite ? `${whole(found.not_finite)} not finite` : ""].filter(Boolean).join(", ");
  return el("figure", { class: "plot uv" }, plot, legend,
    el("figcaption", { class: "soft" }, `u′ to the right, v′ up; ${counted(found.pixels, "pixel")}${rest ? `, ${rest}` : ""}; the cross is white`));
}
