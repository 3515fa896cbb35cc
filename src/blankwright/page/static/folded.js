// The part as three.js objects: one mesh for all flats and bends, one set of lines for all their
// rims, and one set of discs for the openings. A frame works every corner out anew and hands each
// of them over once: what a frame costs hangs on the part's corners, not on how many pieces it has.
import { THREE } from "nicegui-scene";
import { PAPER, onPart, put, still, unMove } from "blankwright-page/fold.js";
import { levels, mesh, rimLines, tangentTest } from "blankwright-page/solid.js";

const TONES = [1, 0.84, 0.62]; // face, back, wall: the face side is the lighter one

export const colour = (name) =>
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

// A buffer of three numbers a corner that is filled anew again and again.
function threes(count) {
  return new THREE.BufferAttribute(new Float32Array(3 * count), 3).setUsage(THREE.DynamicDrawUsage);
}

// Flats and bends with their triangles and rims, each in its own plane.
function piecesOf(scene) {
  const onTangent = tangentTest(scene);
  const flats = scene.flats.map((flat) => {
    const made = mesh(flat.rings, null, onTangent);
    return { name: `flat ${flat.name}`, thing: flat, made, pairs: rimLines(made.rims, onTangent), bend: false };
  });
  const bends = scene.bends.map((bend) => {
    const back = unMove(bend.place);
    const strip = bend.rings.map((rings) =>
      rings.map((ring) => ring.map(([x, y]) => put(back, x, y, 0).slice(0, 2))));
    const onEnd = (a, b) => {
      const near = (level) => Math.abs(a[1] - level) < 1e-4 && Math.abs(b[1] - level) < 1e-4;
      return near(0) || near(bend.allowance);
    };
    const made = mesh(strip, levels(bend), onEnd);
    return { name: `bend ${bend.name}`, thing: bend, made, pairs: rimLines(made.rims, onEnd), bend: true };
  });
  return [...flats, ...bends];
}

// The holes and slots as discs half way through the metal.
function discsOf(scene) {
  return scene.holes.map((hole) => {
    const loops = hole.rings[0].map((ring) => ring.map(([x, y]) => new THREE.Vector2(x, y)));
    const faces = THREE.ShapeUtils.triangulateShape(loops[0], loops.slice(1));
    return { name: `hole ${hole.name}`, thing: hole, points: loops.flat(), faces: faces.flat() };
  });
}

export class Folded {
  constructor(scene, world) {
    this.scene = scene;
    this.world = world;
    this.paper = false;
    this.group = new THREE.Group();
    this.pieces = piecesOf(scene);
    this.discs = discsOf(scene);
    this.buildMetal();
    this.buildDiscs();
    this.rule = new THREE.Group();
    this.group.add(this.metal, this.rims, this.shown, this.rule);
    for (const object of [this.metal, this.rims, this.shown]) object.frustumCulled = false;
    world.add(this.group);
  }

  // Lay all pieces one behind the other into common buffers; a piece keeps where it begins.
  buildMetal() {
    const index = [];
    let corners = 0;
    let ends = 0;
    for (const piece of this.pieces) {
      Object.assign(piece, { corner: corners, end: ends, face: index.length / 3, reach: outermost(piece.pairs) });
      for (const i of piece.made.index) index.push(i + corners);
      corners += piece.made.corners.length;
      ends += piece.pairs.length;
    }
    const metal = new THREE.BufferGeometry();
    for (const name of ["position", "normal", "color"]) metal.setAttribute(name, threes(corners));
    metal.setIndex(index);
    this.metal = new THREE.Mesh(metal, new THREE.MeshLambertMaterial({
      vertexColors: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    }));
    const rims = new THREE.BufferGeometry();
    rims.setAttribute("position", threes(ends));
    this.rims = new THREE.LineSegments(rims, new THREE.LineBasicMaterial());
  }

  // Only the openings that are lit show; a ray finds all of them.
  buildDiscs() {
    const index = [];
    let corners = 0;
    for (const disc of this.discs) {
      Object.assign(disc, { corner: corners, face: index.length / 3 });
      disc.faces = disc.faces.map((i) => i + corners);
      index.push(...disc.faces);
      corners += disc.points.length;
    }
    const material = new THREE.MeshBasicMaterial({ side: THREE.DoubleSide });
    const every = new THREE.BufferGeometry();
    every.setAttribute("position", threes(corners));
    every.setIndex(index);
    this.openings = new THREE.Mesh(every, material);
    const lit = new THREE.BufferGeometry();
    lit.setAttribute("position", every.attributes.position);
    this.shown = new THREE.Mesh(lit, material);
    this.shown.visible = false;
  }

  // Bend everything to the placements of fold.js.
  fold(placed, paper) {
    this.placed = placed;
    this.paper = paper;
    const thick = paper ? PAPER : this.scene.thickness;
    const { position, normal } = this.metal.geometry.attributes;
    const ends = this.rims.geometry.attributes.position;
    for (const piece of this.pieces) {
      const { name } = piece.thing;
      const lay = piece.bend ? layBend(placed.bends[name]) : layFlat(placed.flats[name] || still());
      lay(piece, thick, position.array, normal.array, ends.array);
    }
    position.needsUpdate = normal.needsUpdate = ends.needsUpdate = true;
    this.metal.geometry.boundingSphere = null;
    const centers = this.openings.geometry.attributes.position;
    for (const disc of this.discs) {
      disc.points.forEach((p, i) =>
        centers.setXYZ(disc.corner + i, ...onPart(this.scene, placed, disc.thing.on, p.x, p.y, thick / 2)));
    }
    centers.needsUpdate = true;
    this.openings.geometry.boundingSphere = this.shown.geometry.boundingSphere = null;
  }

  paint(name, others) {
    const hit = colour("--pick");
    const flat = colour("--metal");
    const bent = { up: colour("--strip-up"), down: colour("--strip-down") };
    const lit = (thing) => thing.name === name || others.includes(thing.name);
    const tones = this.metal.geometry.attributes.color;
    for (const piece of this.pieces) {
      const own = !piece.bend ? flat : piece.thing.up ? bent.up : bent.down;
      const { r, g, b } = lit(piece) ? hit : own;
      piece.made.corners.forEach(([, , , face], i) => {
        const tone = TONES[face];
        tones.setXYZ(piece.corner + i, r * tone, g * tone, b * tone);
      });
    }
    tones.needsUpdate = true;
    this.rims.material.color.copy(colour("--ink"));
    this.shown.material.color.copy(hit);
    const faces = this.discs.filter(lit).flatMap((disc) => disc.faces);
    this.shown.geometry.setIndex(faces);
    this.shown.visible = faces.length > 0;
  }

  dispose() {
    this.world.remove(this.group);
    for (const object of [this.group, this.openings]) {
      object.traverse((one) => {
        one.geometry?.dispose();
        one.material?.dispose();
      });
    }
  }
}

// Lay the corners of a flat: it moves as one.
function layFlat(m) {
  return (piece, thick, position, normal, ends) => {
    const to = (out, at, x, y, z) => {
      out[at] = m[0] * x + m[3] * y + m[6] * z + m[9];
      out[at + 1] = m[1] * x + m[4] * y + m[7] * z + m[10];
      out[at + 2] = m[2] * x + m[5] * y + m[8] * z + m[11];
    };
    const { corners, normals } = piece.made;
    let at = 3 * piece.corner;
    for (let i = 0; i < corners.length; i++, at += 3) {
      const [x, y, side, face] = corners[i];
      to(position, at, x, y, side * thick);
      const [nx, ny] = face === 2 ? normals[i] : FACE;
      const nz = face === 2 ? 0 : 1 - 2 * face;
      normal[at] = m[0] * nx + m[3] * ny + m[6] * nz;
      normal[at + 1] = m[1] * nx + m[4] * ny + m[7] * nz;
      normal[at + 2] = m[2] * nx + m[5] * ny + m[8] * nz;
    }
    piece.pairs.forEach(([x, y, side], i) => to(ends, 3 * (piece.end + i), x, y, side * thick));
  };
}

const FACE = [0, 0];

// Lay the corners of a bend. The same as onBend and normalOnBend of fold.js, written out: it runs
// for every corner in every frame, and must not make work for the garbage collector.
function layBend({ place: m, leg: g, up, angle, allowance, axis, crease, paper }) {
  const flat = angle < 1e-9;
  const way = up ? 1 : -1;
  const to = (out, at, x, y, z) => {
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
  return (piece, thick, position, normal, ends) => {
    const { corners, normals } = piece.made;
    let at = 3 * piece.corner;
    for (let i = 0; i < corners.length; i++, at += 3) {
      const [x, y, side, face] = corners[i];
      to(position, at, x, y, side * thick);
      const f = paper && y >= crease ? g : m;
      const phi = paper || flat ? 0 : (way * angle * y) / allowance;
      const c = Math.cos(phi);
      const sn = Math.sin(phi);
      // Along the bend, along the curve, and out of the face.
      const nx = face === 2 ? normals[i][0] : 0;
      const ny = face === 2 ? normals[i][1] * c : (face === 0 ? -sn : sn);
      const nz = face === 2 ? normals[i][1] * sn : (face === 0 ? c : -c);
      normal[at] = f[0] * nx + f[3] * ny + f[6] * nz;
      normal[at + 1] = f[1] * nx + f[4] * ny + f[7] * nz;
      normal[at + 2] = f[2] * nx + f[5] * ny + f[8] * nz;
    }
    piece.pairs.forEach(([x, y, side], i) => to(ends, 3 * (piece.end + i), x, y, side * thick));
  };
}
