// Folding in the browser: the law of bending of develop/formed.py, worked out for every frame.
// The neutral fibre keeps its length, so at angle θ the inside radius is allowance/θ − k·T.

const FLAT = 1e-9;
export const PAPER = 0.15; // how thick the paper model is drawn [mm]

// Placements are 12 numbers: x axis, y axis, z axis, origin.
export const still = () => [1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0];

export function put(m, x, y, z) {
  return [
    m[0] * x + m[3] * y + m[6] * z + m[9],
    m[1] * x + m[4] * y + m[7] * z + m[10],
    m[2] * x + m[5] * y + m[8] * z + m[11],
  ];
}

function turned(m, x, y, z) {
  return [
    m[0] * x + m[3] * y + m[6] * z,
    m[1] * x + m[4] * y + m[7] * z,
    m[2] * x + m[5] * y + m[8] * z,
  ];
}

// The placement that does `first` and then `then`.
export function chain(first, then) {
  return [
    ...turned(then, first[0], first[1], first[2]),
    ...turned(then, first[3], first[4], first[5]),
    ...turned(then, first[6], first[7], first[8]),
    ...put(then, first[9], first[10], first[11]),
  ];
}

export const ofMove = ([c, s, dx, dy]) => [c, s, 0, -s, c, 0, 0, 0, 1, dx, dy, 0];
export const unMove = ([c, s, dx, dy]) => [
  c, -s, 0, s, c, 0, 0, 0, 1, -(c * dx + s * dy), s * dx - c * dy, 0,
];

// A strip point bent: x along, y across, z over the back face, in the frame of the unbent strip.
// z + 2r·sin²(φ/2) is axis − r·cos φ without the loss of digits when the axis is far away.
export function bent(shape, x, y, z) {
  if (shape.angle < FLAT) return [x, y, z];
  const r = shape.axis - z;
  const phi = (shape.angle * y) / shape.allowance;
  const half = Math.sin(phi / 2);
  return [x, Math.abs(r) * Math.sin(phi), z + 2 * r * half * half];
}

// Which way the face looks at a point of the bent strip.
export function bentNormal(shape, y) {
  if (shape.angle < FLAT) return [0, 0, 1];
  const phi = ((shape.up ? 1 : -1) * shape.angle * y) / shape.allowance;
  return [0, -Math.sin(phi), Math.cos(phi)];
}

function shapeOf(bend, thickness, share, paper, place) {
  const angle = bend.angle * share;
  const radius = angle < FLAT ? Infinity : bend.allowance / angle - bend.k * thickness;
  const inside = Math.max(0, radius);
  return {
    angle,
    allowance: bend.allowance,
    up: bend.up,
    axis: bend.up ? thickness + inside : -inside,
    paper,
    crease: bend.allowance / 2,
    place,
  };
}

// How bending carries the leg, in the frame of the unbent strip.
function legTurn(shape) {
  if (shape.angle < FLAT) return still();
  const a = shape.up ? shape.angle : -shape.angle;
  const c = Math.cos(a);
  const s = Math.sin(a);
  // Paper turns about its crease; metal ends where the bent strip ends.
  const at = shape.paper ? [0, shape.crease, 0] : bent(shape, 0, shape.allowance, 0);
  const y = shape.paper ? shape.crease : shape.allowance;
  return [1, 0, 0, 0, c, s, 0, -s, c, at[0], at[1] - c * y, at[2] - s * y];
}

// Place every flat and bend. `share(name)` is the share of a bend's angle, 0 flat to 1 formed.
export function place(scene, share, paper) {
  const flats = { [scene.root]: still() };
  const bends = {};
  for (const bend of scene.bends) {
    const parent = flats[bend.parent] || still();
    const strip = chain(ofMove(bend.place), parent);
    const shape = shapeOf(bend, scene.thickness, share(bend.name), paper, strip);
    const turn = legTurn(shape);
    shape.leg = chain(turn, strip);
    bends[bend.name] = shape;
    flats[bend.leg] = chain(unMove(bend.place), shape.leg);
  }
  return { flats, bends };
}

// Where a strip point of a bend is in space.
export function onBend(shape, x, y, z) {
  if (shape.paper) return put(y <= shape.crease + 1e-9 ? shape.place : shape.leg, x, y, z);
  return put(shape.place, ...bent(shape, x, y, z));
}

export function normalOnBend(shape, y) {
  if (shape.paper) return turned(y < shape.crease ? shape.place : shape.leg, 0, 0, 1);
  return turned(shape.place, ...bentNormal(shape, y));
}

// Where a point of the blank is in space, taken on a piece such as "flat floor" or "bend left".
export function onPart(scene, placed, on, x, y, z) {
  const name = on.slice(5);
  if (on.startsWith("flat ")) return put(placed.flats[name] || still(), x, y, z);
  const bend = scene.bends.find((b) => b.name === name);
  const p = put(unMove(bend.place), x, y, 0);
  return onBend(placed.bends[name], p[0], p[1], z);
}
