// Finding things on the folded part: what a ray meets, what is near the pointer, what frames it.
import { THREE } from "nicegui-scene";
import { onBend, onPart, put } from "blankwright-page/fold.js";
import { colour } from "blankwright-page/folded.js";
import { boxOf } from "blankwright-page/overall.js";

const NEAR_CORNER = 16; // a corner is found within so much of the pointer [px]
const NEAR_EDGE = 11;

// Whether a point lies within an outer ring, rim and all.
function within([ring], x, y) {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [[ax, ay], [bx, by]] = [ring[i], ring[j]];
    const [ux, uy] = [bx - ax, by - ay];
    const t = Math.min(1, Math.max(0, ((x - ax) * ux + (y - ay) * uy) / (ux * ux + uy * uy || 1)));
    if (Math.hypot(ax + ux * t - x, ay + uy * t - y) < 1e-3) return true;
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
}

// Middle, radius, and half the width and height that the part has seen from a direction, or the
// box around it, which the overall dimensions run along.
export function seenFrom(folded, eye, boxed) {
  const up = Math.abs(eye.z) > 0.999 ? new THREE.Vector3(0, 1, 0) : new THREE.Vector3(0, 0, 1);
  const right = new THREE.Vector3().crossVectors(up, eye).normalize();
  const over = new THREE.Vector3().crossVectors(eye, right);
  const axes = [right, over, eye];
  const least = [Infinity, Infinity, Infinity];
  const most = [-Infinity, -Infinity, -Infinity];
  const p = new THREE.Vector3();
  const take = () => axes.forEach((axis, k) => {
    const v = p.dot(axis);
    least[k] = Math.min(least[k], v);
    most[k] = Math.max(most[k], v);
  });
  if (boxed && folded.pieces.length) {
    const box = boxOf(folded);
    for (let i = 0; i < 8; i++) {
      p.set(...[0, 1, 2].map((k) => box[(i >> k) & 1][k]));
      take();
    }
  }
  for (const piece of boxed ? [] : folded.pieces) {
    for (const i of piece.reach) {
      p.fromBufferAttribute(folded.rims.geometry.attributes.position, piece.end + i);
      take();
    }
  }
  if (!Number.isFinite(least[0])) return { center: new THREE.Vector3(), radius: 100, span: [100, 100] };
  const center = new THREE.Vector3();
  axes.forEach((axis, k) => center.addScaledVector(axis, (least[k] + most[k]) / 2));
  const half = axes.map((_, k) => Math.max(1, (most[k] - least[k]) / 2));
  return { center, radius: Math.hypot(...half), span: [half[0], half[1]] };
}

// Where a point of the blank is in space; it must lie on the metal.
export function at(folded, [x, y]) {
  const { scene, placed } = folded;
  const on = [
    ...scene.bends.map((bend) => [`bend ${bend.name}`, bend.rings]),
    ...scene.flats.map((flat) => [`flat ${flat.name}`, flat.rings]),
  ].find(([, pieces]) => pieces.some((rings) => within(rings, x, y)));
  if (!on || !placed) return null;
  return new THREE.Vector3(...onPart(scene, placed, on[0], x, y, scene.thickness));
}

export function middle(folded, name) {
  const { scene, placed } = folded;
  const found = [...folded.pieces, ...folded.discs].find((p) => p.name === name);
  if (!found || !placed) return null;
  const { thing } = found;
  if (name.startsWith("flat ")) return new THREE.Vector3(...put(placed.flats[thing.name], ...thing.middle, scene.thickness));
  if (name.startsWith("bend ")) {
    const side = thing.up ? 0 : scene.thickness;
    return new THREE.Vector3(...onBend(placed.bends[thing.name], thing.width / 2, thing.allowance / 2, side));
  }
  return new THREE.Vector3(...onPart(scene, placed, thing.on, ...thing.center, scene.thickness));
}

// The last of things laid one behind the other that begins at or before a face.
const ofFace = (things, face) => things.findLast((thing) => thing.face <= face);

// What a ray meets first; a hole's disc counts as the hole.
export function hit(folded, ray) {
  const hits = ray.intersectObjects([folded.metal, folded.openings], false);
  if (!hits.length) return null;
  const [{ object, faceIndex, point, distance }] = hits;
  const thing = ofFace(object === folded.metal ? folded.pieces : folded.discs, faceIndex);
  return { name: thing.name, thing: thing.thing, point, distance };
}

// Which rims of the flats run straight, and which rim ends are corners. Chords of curves are
// neither. Worked out when it is first asked for: only who measures needs it.
function marks(folded) {
  if (folded.marks) return folded.marks;
  const lines = folded.scene.outline.edges.filter((edge) => edge.length === 4);
  const off = ([ax, ay, bx, by], [x, y]) => {
    const [ux, uy] = [bx - ax, by - ay];
    const n = Math.hypot(ux, uy) || 1;
    const t = ((x - ax) * ux + (y - ay) * uy) / (n * n);
    return t < -1e-6 || t > 1 + 1e-6 ? Infinity : Math.abs((x - ax) * uy - (y - ay) * ux) / n;
  };
  const edges = [];
  const corners = new Set();
  for (const piece of folded.pieces) {
    if (piece.bend) continue;
    for (let i = 0; i + 1 < piece.pairs.length; i += 2) {
      const [a, b] = [piece.pairs[i], piece.pairs[i + 1]];
      const through = a[0] === b[0] && a[1] === b[1];
      if (!through && !lines.some((line) => off(line, a) < 1e-3 && off(line, b) < 1e-3)) continue;
      edges.push(piece.end + i);
      corners.add(piece.end + i).add(piece.end + i + 1);
    }
  }
  folded.marks = { edges, corners: [...corners] };
  return folded.marks;
}

// The corners that can be picked one after the other by keyboard.
export function cornersOf(folded) {
  const ends = folded.rims.geometry.attributes.position;
  const seen = new Set();
  return marks(folded).corners.map((i) => [ends.getX(i), ends.getY(i), ends.getZ(i)]).filter((p) => {
    const key = p.map((v) => v.toFixed(3)).join();
    return !seen.has(key) && seen.add(key);
  });
}

// A corner, an edge, a hole or a face point near a place on the screen, for measuring.
export function snap(folded, ray, camera, spot, box) {
  const first = hit(folded, ray);
  const limit = first ? first.distance + 3 * folded.scene.thickness + 1 : Infinity;
  const ends = folded.rims.geometry.attributes.position;
  const get = (i) => new THREE.Vector3().fromBufferAttribute(ends, i);
  const onScreen = (p) => {
    const v = p.clone().project(camera);
    return [((v.x + 1) / 2) * box.width, ((1 - v.y) / 2) * box.height];
  };
  const hidden = (p) => p.clone().sub(ray.ray.origin).dot(ray.ray.direction) > limit;
  const { edges, corners } = marks(folded);
  let best = null;
  let near = NEAR_CORNER;
  for (const i of corners) {
    const p = get(i);
    const [x, y] = onScreen(p);
    const d = Math.hypot(x - spot[0], y - spot[1]);
    if (d < near && !hidden(p)) [best, near] = [{ point: p.toArray() }, d];
  }
  if (best) return best;
  if (first?.thing.diameter) {
    const { center, on, diameter } = first.thing;
    const z = folded.scene.thickness / 2;
    return { center: onPart(folded.scene, folded.placed, on, ...center, z), radius: diameter / 2 };
  }
  near = NEAR_EDGE;
  for (const i of edges) {
    const [a, b] = [get(i), get(i + 1)];
    const [pa, pb] = [onScreen(a), onScreen(b)];
    const [ux, uy] = [pb[0] - pa[0], pb[1] - pa[1]];
    const t = Math.min(1, Math.max(0, ((spot[0] - pa[0]) * ux + (spot[1] - pa[1]) * uy) / (ux * ux + uy * uy || 1)));
    const d = Math.hypot(pa[0] + ux * t - spot[0], pa[1] + uy * t - spot[1]);
    if (d < near && !hidden(a.clone().lerp(b, t))) [best, near] = [{ a: a.toArray(), b: b.toArray() }, d];
  }
  return best || (first ? { point: first.point.toArray() } : null);
}

// Draw what is measured: the picks, and the line between them.
export function ruler(folded, found, picks) {
  const { rule } = folded;
  for (const old of [...rule.children]) {
    rule.remove(old);
    old.geometry.dispose();
    old.material.dispose();
  }
  const add = (Kind, points, material) => {
    const geometry = new THREE.BufferGeometry().setFromPoints(points.map((p) => new THREE.Vector3(...p)));
    const object = new Kind(geometry, material);
    object.renderOrder = 9;
    rule.add(object);
  };
  const line = (a, b) => add(THREE.Line, [a, b], new THREE.LineBasicMaterial({ color: colour("--stop"), depthTest: false }));
  for (const p of picks) {
    if (p.a) line(p.a, p.b);
    else {
      const dot = { color: colour("--stop"), size: 12, sizeAttenuation: false, depthTest: false };
      add(THREE.Points, [p.point || p.center], new THREE.PointsMaterial(dot));
    }
  }
  if (found) line(found.from, found.to);
}
