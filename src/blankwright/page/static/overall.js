// Overall dimensions of the formed part, drawn over its picture as the trade draws them: along the
// edges of the box around it, each on the outer edge where it is clear of the part.
import { dimension } from "blankwright-page/figures.js";
import { THREE } from "nicegui-scene";

export const ROOM = 62; // what the dimensions need around the part [px]
const OFF = 34; // from the part to a dimension's line [px]
const FIGURE = 20;
const LEAST = 12; // an edge that looks shorter is seen end-on, and gets no dimension [px]

// Least and greatest corner of the part as it stands, from the ends of its rims.
export function boxOf(folded) {
  const { array } = folded.rims.geometry.attributes.position;
  const least = [Infinity, Infinity, Infinity];
  const most = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < array.length; i++) {
    const k = i % 3;
    if (array[i] < least[k]) least[k] = array[i];
    if (array[i] > most[k]) most[k] = array[i];
  }
  return [least, most];
}

const corner = ([least, most], sides) => sides.map((side, k) => (side ? most[k] : least[k]));

// The dimensions as pieces of SVG. `sizes` are the exact ones where they are known.
export function overall(folded, { camera, size: [wide, tall] }, units, sizes) {
  if (!folded.pieces.length) return [];
  const box = boxOf(folded);
  const screen = (p) => {
    const v = new THREE.Vector3(...p).project(camera);
    return [((v.x + 1) / 2) * wide, ((1 - v.y) / 2) * tall];
  };
  const middle = screen([0, 1, 2].map((k) => (box[0][k] + box[1][k]) / 2));
  return [0, 1, 2].map((axis) => one(axis, box, screen, middle, units, sizes)).filter(Boolean);
}

function one(axis, box, screen, middle, units, sizes) {
  const [u, v] = [0, 1, 2].filter((k) => k !== axis);
  const edges = [];
  for (const a of [0, 1]) {
    for (const b of [0, 1]) {
      const sides = [0, 0, 0];
      [sides[u], sides[v]] = [a, b];
      const from = screen(corner(box, sides));
      sides[axis] = 1;
      const to = screen(corner(box, sides));
      edges.push({ from, to, at: [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2] });
    }
  }
  const long = Math.hypot(edges[0].to[0] - edges[0].from[0], edges[0].to[1] - edges[0].from[1]);
  if (long < LEAST) return null;
  const along = [(edges[0].to[0] - edges[0].from[0]) / long, (edges[0].to[1] - edges[0].from[1]) / long];
  // Square to the edge on the screen, to below, or to the left where it stands upright.
  let out = [-along[1], along[0]];
  if (Math.abs(out[1]) > 0.3 ? out[1] < 0 : out[0] > 0) out = [-out[0], -out[1]];
  const far = ({ at }) => (at[0] - middle[0]) * out[0] + (at[1] - middle[1]) * out[1];
  const edge = edges.reduce((best, next) => (far(next) > far(best) + 1e-6 ? next : best));
  const shift = (p, by) => [p[0] + out[0] * by, p[1] + out[1] * by];
  const say = (p) => `${p[0].toFixed(1)} ${p[1].toFixed(1)}`;
  const [p, q] = [shift(edge.from, OFF), shift(edge.to, OFF)];
  const ext = (from) => `M${say(shift(from, 5))}L${say(shift(from, OFF + 6))}`;
  const head = (tip, way) => {
    const back = [tip[0] + along[0] * 13 * way, tip[1] + along[1] * 13 * way];
    return `M${say(tip)}L${say(shift(back, 4))}L${say(shift(back, -4))}Z`;
  };
  let turn = (Math.atan2(along[1], along[0]) * 180) / Math.PI;
  if (turn > 89.9) turn -= 180;
  if (turn <= -90.1) turn += 180;
  // The figure stands over its line, as seen from where it is read.
  const over = -Math.cos((turn * Math.PI) / 180) * out[1] + Math.sin((turn * Math.PI) / 180) * out[0] > 0;
  const text = dimension(sizes ? sizes[axis] : box[1][axis] - box[0][axis], units);
  const roomy = long > text.length * FIGURE * 0.56 + 30;
  // Between the line and the part where there is room, and else beyond the line.
  const at = shift([(p[0] + q[0]) / 2, (p[1] + q[1]) / 2], over ? 6 : roomy ? -6 : 26);
  return {
    trail: `formed part: along ${"xyz"[axis]}`,
    lines: `${ext(edge.from)}${ext(edge.to)}M${say(p)}L${say(q)}`,
    heads: long > 40 ? head(p, 1) + head(q, -1) : head(p, -1) + head(q, 1),
    text,
    turn: `translate(${say(at)}) rotate(${turn.toFixed(2)})`,
  };
}
