// Measuring between two picks, on the blank or on the formed part. A pick is a point, a straight
// edge or a round edge: {point} or {a, b} or {center, radius}, all of three numbers [mm].
import { angle, length } from "blankwright-page/figures.js";

const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const size = (a) => Math.sqrt(dot(a, a));
const along = (a, d, t) => [a[0] + d[0] * t, a[1] + d[1] * t, a[2] + d[2] * t];
const cross = (a, b) => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

const point = (pick) => pick.point || pick.center || null;

function unit(pick) {
  const d = sub(pick.b, pick.a);
  const n = size(d);
  return [d[0] / n, d[1] / n, d[2] / n];
}

function foot(p, pick) {
  const d = unit(pick);
  return along(pick.a, d, dot(sub(p, pick.a), d));
}

// Distance between two picks: where it runs from and to, and what to say about it.
export function between(first, second) {
  const p = point(first);
  const q = point(second);
  if (p && q) return { from: p, to: q, square: false };
  if (p) return { from: p, to: foot(p, second), square: true };
  if (q) return { from: foot(q, first), to: q, square: true };
  const u = unit(first);
  const v = unit(second);
  const turn = Math.atan2(size(cross(u, v)), Math.abs(dot(u, v)));
  const middle = along(first.a, sub(first.b, first.a), 0.5);
  const other = along(second.a, sub(second.b, second.a), 0.5);
  if (turn < 1e-6) return { from: middle, to: foot(middle, second), square: true };
  return { from: middle, to: other, angle: turn };
}

// The words for a measurement, with the parts along x, y and z where they say something.
export function words(first, second, units, solid) {
  if (!second) {
    if (first.radius) return `Round edge, diameter ${length(2 * first.radius, units)}`;
    if (first.a) return `Edge ${length(size(sub(first.b, first.a)), units)} long`;
    return "From here to …";
  }
  const found = between(first, second);
  if (found.angle !== undefined) return `The edges stand at ${angle(found.angle)}`;
  const d = sub(found.to, found.from);
  const parts = [`${length(size(d), units)}${found.square ? " square to the edge" : ""}`];
  const show = (name, value) => parts.push(`${name} ${length(Math.abs(value), units)}`);
  if (Math.abs(d[0]) > 1e-6 && size(d) - Math.abs(d[0]) > 1e-6) show("along x", d[0]);
  if (Math.abs(d[1]) > 1e-6 && size(d) - Math.abs(d[1]) > 1e-6) show("along y", d[1]);
  if (solid && Math.abs(d[2]) > 1e-6 && size(d) - Math.abs(d[2]) > 1e-6) show("along z", d[2]);
  return parts.join(" · ");
}

// The picks that a plan edge offers: [x0 y0 x1 y1] is a line, [cx cy r begin sweep] an arc.
export function snapsOf(edges) {
  const points = [];
  const lines = [];
  const rounds = [];
  for (const e of edges) {
    if (e.length === 4) {
      points.push([e[0], e[1], 0]);
      points.push([(e[0] + e[2]) / 2, (e[1] + e[3]) / 2, 0]);
      lines.push({ a: [e[0], e[1], 0], b: [e[2], e[3], 0] });
    } else {
      const [cx, cy, radius, begin, sweep] = e;
      points.push([cx, cy, 0]);
      if (Math.abs(sweep) < 2 * Math.PI - 1e-9) {
        points.push([cx + radius * Math.cos(begin), cy + radius * Math.sin(begin), 0]);
      }
      rounds.push({ center: [cx, cy, 0], radius, begin, sweep });
    }
  }
  return { points, lines, rounds };
}

function onArc(round, x, y) {
  const full = Math.abs(round.sweep) > 2 * Math.PI - 1e-9;
  if (full) return true;
  const tau = 2 * Math.PI;
  const at = Math.atan2(y - round.center[1], x - round.center[0]) - round.begin;
  const turn = (((round.sweep > 0 ? at : -at) % tau) + tau) % tau;
  return turn <= Math.abs(round.sweep);
}

// The nearest pick to a plan point within a reach [mm]; corners and centres before edges.
export function snap(snaps, x, y, reach) {
  let best = null;
  let least = reach;
  for (const p of snaps.points) {
    const d = Math.hypot(p[0] - x, p[1] - y);
    if (d < least) [best, least] = [{ point: p }, d];
  }
  if (best) return best;
  for (const line of snaps.lines) {
    const n = size(sub(line.b, line.a));
    const t = dot(sub([x, y, 0], line.a), unit(line)) / n;
    const near = along(line.a, sub(line.b, line.a), Math.min(1, Math.max(0, t)));
    const d = Math.hypot(near[0] - x, near[1] - y);
    if (d < least) [best, least] = [line, d];
  }
  for (const round of snaps.rounds) {
    const d = Math.abs(Math.hypot(x - round.center[0], y - round.center[1]) - round.radius);
    if (d < least && onArc(round, x, y)) [best, least] = [round, d];
  }
  return best;
}
