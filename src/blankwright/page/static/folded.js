// The part as three.js objects: one mesh a flat, one a bend, one disc a hole.
// Flats move by one matrix a frame; bends have their corners worked out anew.
import { THREE } from "nicegui-scene";
import { PAPER, onBend, onPart, put, still, unMove } from "blankwright-page/fold.js";
import { levels, mesh, rimLines, tangentTest } from "blankwright-page/solid.js";

const TONES = [1, 0.84, 0.62]; // face, back, wall: the face side is the lighter one

const colour = (name) =>
  new THREE.Color(getComputedStyle(document.documentElement).getPropertyValue(name).trim() || "#888");

// Those rim points that stick out farthest in some direction: enough to frame a piece with.
function outermost(pairs) {
  const found = new Set();
  for (let a = 0; a < 16; a++) {
    const [c, s] = [Math.cos((a * Math.PI) / 8), Math.sin((a * Math.PI) / 8)];
    for (const side of [0, 1]) {
      let best = -1;
      let most = -Infinity;
      pairs.forEach(([x, y, z], i) => {
        if (z === side && x * c + y * s > most) [best, most] = [i, x * c + y * s];
      });
      if (best >= 0) found.add(best);
    }
  }
  return [...found];
}

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

export class Folded {
  constructor(scene, world) {
    this.scene = scene;
    this.world = world;
    this.group = new THREE.Group();
    this.pieces = [];
    this.paper = false;
    const onTangent = tangentTest(scene);
    for (const flat of scene.flats) {
      this.addPiece("flat", flat, mesh(flat.rings, null, onTangent), (rims) => rimLines(rims, onTangent), null);
    }
    for (const bend of scene.bends) {
      const back = unMove(bend.place);
      const strip = bend.rings.map((rings) =>
        rings.map((ring) => ring.map(([x, y]) => put(back, x, y, 0).slice(0, 2))));
      const onEnd = (a, b) => {
        const near = (level) => Math.abs(a[1] - level) < 1e-4 && Math.abs(b[1] - level) < 1e-4;
        return near(0) || near(bend.allowance);
      };
      this.addPiece("bend", bend, mesh(strip, levels(bend), onEnd), (rims) => rimLines(rims, onEnd), bend);
    }
    for (const hole of scene.holes) this.addHole(hole);
    this.rule = new THREE.Group();
    this.group.add(this.rule);
    world.add(this.group);
  }

  addPiece(kind, thing, made, linesOf, bend) {
    const geometry = new THREE.BufferGeometry();
    const n = made.corners.length;
    const position = new Float32Array(3 * n);
    const normal = new Float32Array(3 * n);
    const tone = new Float32Array(3 * n);
    made.corners.forEach(([x, y, side, face], i) => {
      position.set([x, y, side * this.scene.thickness], 3 * i);
      const [nx, ny] = made.normals[i];
      normal.set(face === 0 ? [0, 0, 1] : face === 1 ? [0, 0, -1] : [nx, ny, 0], 3 * i);
      tone.fill(TONES[face], 3 * i, 3 * i + 3);
    });
    geometry.setAttribute("position", new THREE.BufferAttribute(position, 3));
    geometry.setAttribute("normal", new THREE.BufferAttribute(normal, 3));
    geometry.setAttribute("color", new THREE.BufferAttribute(tone, 3));
    geometry.setIndex(made.index);
    const material = new THREE.MeshLambertMaterial({
      vertexColors: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    });
    const solid = new THREE.Mesh(geometry, material);
    const pairs = linesOf(made.rims);
    const rim = new THREE.BufferGeometry();
    const points = new Float32Array(3 * pairs.length);
    pairs.forEach(([x, y, side], i) => points.set([x, y, side * this.scene.thickness], 3 * i));
    rim.setAttribute("position", new THREE.BufferAttribute(points, 3));
    const lines = new THREE.LineSegments(rim, new THREE.LineBasicMaterial());
    for (const object of [solid, lines]) {
      object.matrixAutoUpdate = false;
      object.frustumCulled = false;
    }
    this.group.add(solid, lines);
    const name = `${kind} ${thing.name}`;
    solid.userData.name = name;
    this.pieces.push({ kind, name, thing, bend, made, pairs, solid, lines, reach: outermost(pairs) });
  }

  addHole(hole) {
    const loops = hole.rings[0].map((ring) => ring.map(([x, y]) => new THREE.Vector2(x, y)));
    const faces = THREE.ShapeUtils.triangulateShape(loops[0], loops.slice(1));
    const points = loops.flat();
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(3 * points.length), 3));
    geometry.setIndex(faces.flat());
    const material = new THREE.MeshBasicMaterial({ side: THREE.DoubleSide });
    const disc = new THREE.Mesh(geometry, material);
    disc.frustumCulled = false;
    disc.matrixAutoUpdate = false;
    disc.visible = false; // a ray finds it all the same
    const onFlat = hole.on.startsWith("flat ");
    points.forEach((p, i) => geometry.attributes.position.setXYZ(i, p.x, p.y, this.scene.thickness / 2));
    const name = `hole ${hole.name}`;
    disc.userData.name = name;
    this.group.add(disc);
    this.pieces.push({ kind: "hole", name, thing: hole, points, onFlat, solid: disc, lines: null });
  }

  // Bend everything to the placements of fold.js.
  fold(placed, paper) {
    this.placed = placed;
    this.paper = paper;
    const thick = paper ? PAPER : this.scene.thickness;
    const s = thick / this.scene.thickness;
    for (const piece of this.pieces) {
      const { solid, lines, thing } = piece;
      if (piece.kind === "bend") this.foldBend(piece, placed.bends[thing.name], thick);
      else if (piece.kind === "flat" || piece.onFlat) {
        const m = placed.flats[piece.kind === "flat" ? thing.name : thing.on.slice(5)] || still();
        solid.matrix.set(m[0], m[3], m[6] * s, m[9], m[1], m[4], m[7] * s, m[10], m[2], m[5], m[8] * s, m[11], 0, 0, 0, 1);
        solid.matrixWorldNeedsUpdate = true;
        if (lines) {
          lines.matrix.copy(solid.matrix);
          lines.matrixWorldNeedsUpdate = true;
        }
      } else {
        const array = solid.geometry.attributes.position;
        piece.points.forEach((p, i) => array.setXYZ(i, ...onPart(this.scene, placed, thing.on, p.x, p.y, thick / 2)));
        array.needsUpdate = true;
        solid.geometry.boundingSphere = null;
      }
    }
  }

  // The same as onBend and normalOnBend of fold.js, written out: it runs for every corner in
  // every frame, and must not make work for the garbage collector.
  foldBend(piece, shape, thick) {
    const m = shape.place;
    const g = shape.leg;
    const { angle, allowance, axis, crease, paper } = shape;
    const flat = angle < 1e-9;
    const way = shape.up ? 1 : -1;
    const put = (out, at, x, y, z) => {
      let f = m;
      let by = y;
      let bz = z;
      if (paper) {
        if (y > crease + 1e-9) f = g;
      } else if (!flat) {
        const r = axis - z;
        const phi = (angle * y) / allowance;
        const half = Math.sin(phi / 2);
        by = Math.abs(r) * Math.sin(phi);
        bz = z + 2 * r * half * half;
      }
      out[at] = f[0] * x + f[3] * by + f[6] * bz + f[9];
      out[at + 1] = f[1] * x + f[4] * by + f[7] * bz + f[10];
      out[at + 2] = f[2] * x + f[5] * by + f[8] * bz + f[11];
    };
    const position = piece.solid.geometry.attributes.position;
    const normal = piece.solid.geometry.attributes.normal;
    const { corners, normals } = piece.made;
    for (let i = 0; i < corners.length; i++) {
      const [x, y, side, face] = corners[i];
      put(position.array, 3 * i, x, y, side * thick);
      const f = paper && y >= crease ? g : m;
      const phi = paper || flat ? 0 : (way * angle * y) / allowance;
      const c = Math.cos(phi);
      const sn = Math.sin(phi);
      // Along the bend, along the curve, and out of the face.
      const nx = face === 2 ? normals[i][0] : 0;
      const ny = face === 2 ? normals[i][1] * c : (face === 0 ? -sn : sn);
      const nz = face === 2 ? normals[i][1] * sn : (face === 0 ? c : -c);
      normal.array[3 * i] = f[0] * nx + f[3] * ny + f[6] * nz;
      normal.array[3 * i + 1] = f[1] * nx + f[4] * ny + f[7] * nz;
      normal.array[3 * i + 2] = f[2] * nx + f[5] * ny + f[8] * nz;
    }
    position.needsUpdate = normal.needsUpdate = true;
    piece.solid.geometry.boundingSphere = null;
    const rim = piece.lines.geometry.attributes.position;
    for (let i = 0; i < piece.pairs.length; i++) {
      const [x, y, side] = piece.pairs[i];
      put(rim.array, 3 * i, x, y, side * thick);
    }
    rim.needsUpdate = true;
  }

  paint(name, others) {
    const ink = colour("--ink");
    const hit = colour("--pick");
    const base = { flat: colour("--metal"), up: colour("--strip-up"), down: colour("--strip-down") };
    for (const piece of this.pieces) {
      const on = piece.name === name || others.includes(piece.name);
      const material = piece.solid.material;
      if (piece.kind === "hole") {
        material.color.copy(hit);
        piece.solid.visible = on;
        continue;
      }
      const own = piece.kind === "flat" ? base.flat : piece.thing.up ? base.up : base.down;
      material.color.copy(on ? hit : own);
      piece.lines.material.color.copy(ink);
    }
  }

  // Middle, radius, and half the width and height that the part has seen from a direction.
  seenFrom(eye) {
    this.group.updateMatrixWorld(true);
    const up = Math.abs(eye.z) > 0.999 ? new THREE.Vector3(0, 1, 0) : new THREE.Vector3(0, 0, 1);
    const right = new THREE.Vector3().crossVectors(up, eye).normalize();
    const over = new THREE.Vector3().crossVectors(eye, right);
    const axes = [right, over, eye];
    const least = [Infinity, Infinity, Infinity];
    const most = [-Infinity, -Infinity, -Infinity];
    const p = new THREE.Vector3();
    for (const piece of this.pieces) {
      if (!piece.lines) continue;
      const array = piece.lines.geometry.attributes.position;
      for (const i of piece.reach) {
        p.fromBufferAttribute(array, i).applyMatrix4(piece.lines.matrix);
        axes.forEach((axis, k) => {
          const v = p.dot(axis);
          least[k] = Math.min(least[k], v);
          most[k] = Math.max(most[k], v);
        });
      }
    }
    if (!Number.isFinite(least[0])) return { center: new THREE.Vector3(), radius: 100, span: [100, 100] };
    const center = new THREE.Vector3();
    axes.forEach((axis, k) => center.addScaledVector(axis, (least[k] + most[k]) / 2));
    const half = axes.map((_, k) => Math.max(1, (most[k] - least[k]) / 2));
    return { center, radius: Math.hypot(...half), span: [half[0], half[1]] };
  }

  // Where a point of the blank is in space; it must lie on the metal.
  at([x, y]) {
    const on = [
      ...this.scene.bends.map((bend) => [`bend ${bend.name}`, bend.rings]),
      ...this.scene.flats.map((flat) => [`flat ${flat.name}`, flat.rings]),
    ].find(([, pieces]) => pieces.some((rings) => within(rings, x, y)));
    if (!on || !this.placed) return null;
    return new THREE.Vector3(...onPart(this.scene, this.placed, on[0], x, y, this.scene.thickness));
  }

  middle(name) {
    const piece = this.pieces.find((p) => p.name === name);
    if (!piece || !this.placed) return null;
    const { thing } = piece;
    let at;
    if (piece.kind === "flat") at = put(this.placed.flats[thing.name], ...thing.middle, this.scene.thickness);
    else if (piece.kind === "bend") {
      at = onBend(this.placed.bends[thing.name], thing.width / 2, thing.allowance / 2, thing.up ? 0 : this.scene.thickness);
    } else at = onPart(this.scene, this.placed, thing.on, ...thing.center, this.scene.thickness);
    return new THREE.Vector3(...at);
  }

  // What a ray meets first; a hole's disc counts as the hole.
  hit(ray) {
    this.group.updateMatrixWorld();
    const hits = ray.intersectObjects(this.pieces.map((piece) => piece.solid), false);
    return hits.length ? { name: hits[0].object.userData.name, point: hits[0].point, distance: hits[0].distance } : null;
  }

  // A corner, an edge or a face point near a place on the screen, for measuring.
  snap(ray, camera, at, box) {
    const first = this.hit(ray);
    const limit = first ? first.distance + 3 * this.scene.thickness + 1 : Infinity;
    const onScreen = (p) => {
      const v = p.clone().project(camera);
      return [((v.x + 1) / 2) * box.width, ((1 - v.y) / 2) * box.height];
    };
    const depth = (p) => p.clone().sub(ray.ray.origin).dot(ray.ray.direction);
    let corner = null;
    let edge = null;
    let nearCorner = 16;
    let nearEdge = 11;
    for (const piece of this.pieces) {
      if (!piece.lines) continue;
      const array = piece.lines.geometry.attributes.position;
      for (let i = 0; i + 1 < array.count; i += 2) {
        const a = new THREE.Vector3().fromBufferAttribute(array, i).applyMatrix4(piece.lines.matrixWorld);
        const b = new THREE.Vector3().fromBufferAttribute(array, i + 1).applyMatrix4(piece.lines.matrixWorld);
        if (Math.min(depth(a), depth(b)) > limit) continue;
        const [pa, pb] = [onScreen(a), onScreen(b)];
        for (const [v, p] of [[a, pa], [b, pb]]) {
          const d = Math.hypot(p[0] - at[0], p[1] - at[1]);
          if (d < nearCorner && depth(v) <= limit) [corner, nearCorner] = [{ point: v.toArray() }, d];
        }
        const [ux, uy] = [pb[0] - pa[0], pb[1] - pa[1]];
        const n = ux * ux + uy * uy;
        if (n < 400) continue; // a chord of a curve is no straight edge
        const t = Math.min(1, Math.max(0, ((at[0] - pa[0]) * ux + (at[1] - pa[1]) * uy) / n));
        const d = Math.hypot(pa[0] + ux * t - at[0], pa[1] + uy * t - at[1]);
        if (d < nearEdge) [edge, nearEdge] = [{ a: a.toArray(), b: b.toArray() }, d];
      }
    }
    return corner || edge || (first ? { point: first.point.toArray() } : null);
  }

  ruler(found, picks) {
    for (const old of [...this.rule.children]) {
      this.rule.remove(old);
      old.geometry.dispose();
      old.material.dispose();
    }
    const draw = (points) => {
      const geometry = new THREE.BufferGeometry().setFromPoints(points.map((p) => new THREE.Vector3(...p)));
      const line = new THREE.Line(geometry, new THREE.LineBasicMaterial({ color: colour("--stop"), depthTest: false }));
      line.renderOrder = 9;
      this.rule.add(line);
    };
    for (const p of picks) {
      if (p.a) draw([p.a, p.b]);
      else {
        const geometry = new THREE.BufferGeometry().setFromPoints([new THREE.Vector3(...p.point)]);
        const dot = new THREE.Points(geometry, new THREE.PointsMaterial({ color: colour("--stop"), size: 12, sizeAttenuation: false, depthTest: false }));
        dot.renderOrder = 9;
        this.rule.add(dot);
      }
    }
    if (found) draw([found.from, found.to]);
  }

  dispose() {
    this.world.remove(this.group);
    this.group.traverse((object) => {
      object.geometry?.dispose();
      object.material?.dispose();
    });
  }
}
