// From rings of the blank to triangles: two faces and the walls between, cut finely across bends.
import { THREE } from "nicegui-scene";
import { put, unMove } from "blankwright-page/fold.js";

const STEP = Math.PI / 30; // a bend is drawn with one facet every 6°

// Triangulate one outer ring with its holes; returns corner points and index triples.
function triangles(rings) {
  const loops = rings.map((ring) => ring.map(([x, y]) => new THREE.Vector2(x, y)));
  const faces = THREE.ShapeUtils.triangulateShape(loops[0], loops.slice(1));
  return { points: loops.flat(), faces };
}

// Cut a convex polygon to the band y0 ≤ y ≤ y1.
function band(polygon, y0, y1) {
  const cut = (points, keep, level) => {
    const out = [];
    for (let i = 0; i < points.length; i++) {
      const a = points[i];
      const b = points[(i + 1) % points.length];
      if (keep(a[1])) out.push(a);
      if (keep(a[1]) !== keep(b[1])) {
        const t = (level - a[1]) / (b[1] - a[1]);
        out.push([a[0] + (b[0] - a[0]) * t, level]);
      }
    }
    return out;
  };
  const above = cut(polygon, (y) => y >= y0, y0);
  return above.length ? cut(above, (y) => y <= y1, y1) : [];
}

// Levels across a strip; an even count, so that one of them is the crease of the paper model.
export function levels(bend) {
  const n = Math.max(2, 2 * Math.ceil(bend.angle / STEP / 2));
  return Array.from({ length: n + 1 }, (_, i) => (bend.allowance * i) / n);
}

function splitAt(a, b, cuts) {
  const points = [a];
  const ts = cuts
    .map((level) => (level - a[1]) / (b[1] - a[1]))
    .filter((t) => Number.isFinite(t) && t > 1e-9 && t < 1 - 1e-9)
    .sort((p, q) => p - q);
  for (const t of ts) points.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
  points.push(b);
  return points;
}

// The mesh of a flat or a bend in its own plane. Points go out as x, y, side (0 back, 1 face).
// `top`, `back` and `wall` corners are apart, so that each can have its own normal.
// `joined(a, b)` says where the metal goes on beyond a rim: no wall stands there.
export function mesh(pieces, cuts = null, joined = () => false) {
  const corners = []; // [x, y, side, kind] with kind 0 face, 1 back, 2 wall
  const normals = []; // for walls: outward in the plane
  const index = [];
  const add = (x, y, side, kind, nx = 0, ny = 0) => {
    corners.push([x, y, side, kind]);
    normals.push([nx, ny]);
    return corners.length - 1;
  };
  const fan = (polygon) => {
    const top = polygon.map(([x, y]) => add(x, y, 1, 0));
    const back = polygon.map(([x, y]) => add(x, y, 0, 1));
    for (let i = 1; i + 1 < polygon.length; i++) {
      index.push(top[0], top[i], top[i + 1], back[0], back[i + 1], back[i]);
    }
  };
  const rims = [];
  for (const rings of pieces) {
    const { points, faces } = triangles(rings);
    if (cuts) {
      for (const face of faces) {
        const polygon = face.map((i) => [points[i].x, points[i].y]);
        for (let i = 0; i + 1 < cuts.length; i++) {
          const low = i === 0 ? -Infinity : cuts[i];
          const high = i + 2 === cuts.length ? Infinity : cuts[i + 1];
          const piece = band(polygon, low, high);
          if (piece.length > 2) fan(piece);
        }
      }
    } else {
      const top = points.map((p) => add(p.x, p.y, 1, 0));
      const back = points.map((p) => add(p.x, p.y, 0, 1));
      for (const [a, b, c] of faces) {
        index.push(top[a], top[b], top[c], back[a], back[c], back[b]);
      }
    }
    for (const ring of rings) {
      for (let i = 0; i < ring.length; i++) {
        const a = ring[i];
        const b = ring[(i + 1) % ring.length];
        const size = Math.hypot(b[0] - a[0], b[1] - a[1]);
        if (size < 1e-9) continue;
        const nx = (b[1] - a[1]) / size;
        const ny = (a[0] - b[0]) / size;
        const stops = cuts ? splitAt(a, b, cuts) : [a, b];
        const before = ring[(i + ring.length - 1) % ring.length];
        rims.push({ stops, hard: corner(before, a, b) });
        if (joined(a, b)) continue;
        for (let j = 0; j + 1 < stops.length; j++) {
          const [p, q] = [stops[j], stops[j + 1]];
          const i0 = add(p[0], p[1], 0, 2, nx, ny);
          const i1 = add(q[0], q[1], 0, 2, nx, ny);
          const i2 = add(q[0], q[1], 1, 2, nx, ny);
          const i3 = add(p[0], p[1], 1, 2, nx, ny);
          index.push(i0, i1, i2, i0, i2, i3);
        }
      }
    }
  }
  return { corners, normals, index, rims };
}

// Whether the ring turns enough at a corner for the edge between the faces to be drawn.
function corner(before, at, after) {
  const ux = at[0] - before[0];
  const uy = at[1] - before[1];
  const vx = after[0] - at[0];
  const vy = after[1] - at[1];
  return Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)) > Math.PI / 7;
}

// Lines along the rims, as pairs of points [x, y, side]. Rims that lie on a bend tangent line are
// left out: the metal goes on there.
export function rimLines(rims, onTangent) {
  const pairs = [];
  for (const { stops, hard } of rims) {
    const first = stops[0];
    const last = stops[stops.length - 1];
    if (onTangent(first, last)) continue;
    for (let i = 0; i + 1 < stops.length; i++) {
      for (const side of [0, 1]) {
        pairs.push([...stops[i], side], [...stops[i + 1], side]);
      }
    }
    if (hard) pairs.push([...first, 0], [...first, 1]);
  }
  return pairs;
}

// Says of two blank points whether both lie on one bend tangent line of the scene.
export function tangentTest(scene) {
  const strips = scene.bends.map((bend) => ({ bend, back: unMove(bend.place) }));
  return (a, b) =>
    strips.some(({ bend, back }) => {
      const p = put(back, a[0], a[1], 0);
      const q = put(back, b[0], b[1], 0);
      const inside = (v) => v[0] > -1e-3 && v[0] < bend.width + 1e-3;
      if (!inside(p) || !inside(q)) return false;
      const near = (level) => Math.abs(p[1] - level) < 1e-4 && Math.abs(q[1] - level) < 1e-4;
      return near(0) || near(bend.allowance);
    });
}
