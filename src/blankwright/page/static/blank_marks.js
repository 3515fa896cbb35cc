// What is written and drawn around the blank in plan: words of its bends, dimensions, grain. All in
// dots of the screen; `screen(p)` takes a point of the blank there.
import { angle, dimension } from "blankwright-page/figures.js";

export const ROW = 34; // from one row of dimensions to the next [px]
export const CLEAR = 10; // extension lines start this far off the blank [px]
export const FIGURE = 20; // height of the figures [px]

// The words beside each bend: which way and how far, where nothing else stands.
export function bendWords(scene, screen, scale, flags) {
  const [x0, y0, x1, y1] = scene.box;
  const center = screen([(x0 + x1) / 2, (y0 + y1) / 2]);
  // Where something stands already: marks of findings, and then the words of each bend.
  const taken = flags.map((f) => ({ x: f.x, y: f.y, half: [18, 18] }));
  return scene.bends.map((bend) => {
    const [a, b] = bend.center_line.map((p) => screen(p));
    let turn = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
    if (turn > 90 - 1e-6) turn -= 180;
    if (turn <= -90 - 1e-6) turn += 180;
    const sign = bend.up ? "▲" : "▼";
    const wordings = [`${sign} ${bend.up ? "up" : "down"} ${angle(bend.angle)}`, `${sign} ${angle(bend.angle)}`, sign];
    const room = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const text = wordings.find((words) => room > words.length * FIGURE * 0.62) || "";
    const wide = text.length * FIGURE * 0.62;
    const [s, c] = [Math.sin((turn * Math.PI) / 180), Math.cos((turn * Math.PI) / 180)];
    const half = [(wide * c) / 2 + (FIGURE * Math.abs(s)) / 2, (wide * Math.abs(s)) / 2 + (FIGURE * c) / 2];
    const clear = Math.max(8, (bend.allowance * scale) / 2) + 6;
    // First on the side towards the middle of the blank: there the metal is. Then on the other,
    // and aside, where other words stand already.
    const spots = [0.5, 0.27, 0.73].flatMap((share) => {
      const [x, y] = [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
      const above = (center[0] - x) * s - (center[1] - y) * c >= 0;
      return [above, !above].map((over) => {
        const off = (clear + FIGURE * 0.36) * (over ? 1 : -1);
        return { x, y, over, at: [x + s * off, y - c * off] };
      });
    });
    const order = [spots[0], spots[2], spots[4], spots[1], spots[3], spots[5]];
    const free = ({ at }) => taken.every((t) => Math.abs(t.x - at[0]) > half[0] + t.half[0] || Math.abs(t.y - at[1]) > half[1] + t.half[1]);
    const inside = (spot) => spot === spots[0] || room > wide * 2.2;
    const spot = order.find((one) => inside(one) && free(one)) || spots[0];
    if (text) taken.push({ x: spot.at[0], y: spot.at[1], half });
    return {
      name: bend.name,
      text,
      turn: `translate(${spot.x} ${spot.y}) rotate(${turn}) translate(0 ${spot.over ? -clear : clear + FIGURE * 0.72})`,
    };
  });
}

// A dimension beside the blank, with its extension lines.
export function sideDim(dim, off, screen, units) {
  const text = dimension(dim.value, units);
  const [a, b] = [screen(dim.from), screen(dim.to)];
  const room = text.length * FIGURE * 0.56 + 34;
  const upright = dim.axis === "y";
  const span = upright ? a[1] - b[1] : b[0] - a[0];
  const tight = span < room && dim.name !== "blank";
  const line = upright ? a[0] - off : a[1] + off;
  const P = (along, across) => (upright ? `${across} ${along}` : `${along} ${across}`);
  const s = upright ? -1 : 1;
  const [p, q] = upright ? [a[1], b[1]] : [a[0], b[0]];
  const ext = (at, from) => {
    const edge = upright ? from[0] - CLEAR + 4 : from[1] + CLEAR - 4;
    return `M${P(at, edge)}L${P(at, line + (upright ? -6 : 6))}`;
  };
  const reach = tight ? 22 : 0;
  const lines = `${ext(p, a)}${ext(q, b)}M${P(p - s * reach, line)}L${P(q + s * reach, line)}`;
  const head = (at, way) => {
    const back = at + way * 13;
    return `M${P(at, line)}L${P(back, line - 4)}L${P(back, line + 4)}Z`;
  };
  const heads = head(p, tight ? -s : s) + head(q, tight ? s : -s);
  const along = tight ? q + s * (reach + 4) : (p + q) / 2;
  const across = tight ? line + 7 : line - 6;
  const turn = upright ? `translate(${across} ${along}) rotate(-90)` : `translate(${along} ${across})`;
  return { name: dim.name, trail: dim.trail, text, lines, heads, turn, anchor: tight ? "start" : "middle" };
}

// Running dimensions: all from one edge, on one line with its origin ringed, each figure at
// its extension line. Figures that would touch are moved apart and led back by a jog.
export function runningDims(dims, axis, screen, units) {
  if (!dims.length) return [];
  const upright = axis === "y";
  const [o] = [screen(dims[0].from)];
  const base = upright ? o[0] : o[1];
  const sign = upright ? -1 : 1;
  const near = base + sign * CLEAR * 0.6;
  const mid = base + sign * 22;
  const far = base + sign * 36;
  const P = (along, across) => (upright ? `${across} ${along}` : `${along} ${across}`);
  const at = dims.map((d) => (upright ? screen(d.to)[1] : screen(d.to)[0]));
  const order = at.map((_, i) => i).sort((i, j) => at[i] - at[j]);
  const spot = [...at];
  for (let n = 1; n < order.length; n++) {
    spot[order[n]] = Math.max(at[order[n]], spot[order[n - 1]] + FIGURE + 1);
  }
  const zero = upright ? o[1] : o[0];
  const first = {
    name: "", text: "", anchor: "start", turn: "", heads: "",
    lines: `M${P(zero, near)}L${P(zero, mid + sign * 5)}M${P(zero - 5, mid)}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0`,
  };
  if (upright) first.lines = `M${P(zero, near)}L${P(zero, mid - 5)}M${mid - 5} ${zero}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0`;
  return [first, ...dims.map((dim, i) => {
    const way = at[i] > zero ? -1 : 1;
    const tip = at[i] + way * 11;
    const turn = upright ? `translate(${far - 4} ${spot[i] + 7})` : `translate(${spot[i] + 7} ${far + 4}) rotate(-90)`;
    return {
      name: dim.name,
      trail: dim.trail,
      text: dimension(dim.value, units),
      lines: `M${P(at[i], near)}L${P(at[i], mid)}L${P(spot[i], far)}M${P(zero, mid)}L${P(at[i], mid)}`,
      heads: `M${P(at[i], mid)}L${P(tip, mid - 4)}L${P(tip, mid + 4)}Z`,
      turn,
      anchor: "end",
    };
  })];
}

// The mark of the grain, in the corner between the dimensions, which nothing else takes.
export function grainMark(angleOf, height) {
  if (angleOf === null) return null;
  const x = 46;
  const y = height - 54;
  const c = Math.cos(angleOf) * 30;
  const s = -Math.sin(angleOf) * 30;
  const head = (sign) => {
    const tip = [x + sign * c, y + sign * s];
    return [0.5, -0.5].map((t) => {
      const a = Math.atan2(-sign * s, -sign * c) + t;
      return `M${tip[0]} ${tip[1]}L${tip[0] + 12 * Math.cos(a)} ${tip[1] + 12 * Math.sin(a)}`;
    }).join("");
  };
  return { d: `M${x - c} ${y - s}L${x + c} ${y + s}${head(1)}${head(-1)}`, x: x - 22, y: y + 30 + 18 };
}
