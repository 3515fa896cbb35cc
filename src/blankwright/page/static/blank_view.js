// The blank in plan, drawn as the trade draws it: exact arcs, bend lines by kind, dimensions.
import { desk, lit, pick, shown, step } from "blankwright-page/desk.js";
import { angle, dimension } from "blankwright-page/figures.js";
import { between, snap, snapsOf, words } from "blankwright-page/measure.js";

const ROW = 34; // from one row of dimensions to the next [px]
const CLEAR = 10; // extension lines start this far off the blank [px]
const FIGURE = 20; // height of the figures [px]
const LONG = 2.4; // a blank so many times longer than wide lies over or under the formed part, not beside it

export default {
  template: `
<figure class="bw-view bw-plan" :class="{long}" ref="frame" v-show="desk.big !== 'form'">
  <figcaption class="bw-caption">
    <span class="bw-caption-name">Blank, face side <span v-if="desk.part?.stale" class="bw-was">as it was</span></span>
    <span class="bw-tools">
      <button type="button" class="bw-tool" :aria-pressed="measuring" @click="toggleMeasure">Measure</button>
      <button type="button" class="bw-tool" :aria-pressed="all" @click="all = !all">All sizes</button>
      <button type="button" class="bw-tool wide-only" @click="zoom(1.25)" aria-label="Larger">+</button>
      <button type="button" class="bw-tool wide-only" @click="zoom(0.8)" aria-label="Smaller">−</button>
      <button type="button" class="bw-tool" @click="fit">Whole</button>
      <button type="button" class="bw-tool" :aria-pressed="desk.big === 'plan'" @click="desk.big = desk.big === 'plan' ? '' : 'plan'">{{ desk.big === "plan" ? "Both" : "Only this" }}</button>
    </span>
  </figcaption>
  <svg v-if="scene" ref="svg" class="bw-paper" :class="{measuring}" tabindex="0" role="img"
       :aria-label="summary" :width="width" :height="height" :viewBox="'0 0 ' + width + ' ' + height"
       @wheel.prevent="wheel" @pointerdown="down" @pointermove="move" @pointerup="up"
       @pointercancel="up" @pointerleave="leave" @keydown="key">
    <g :transform="transform">
      <path :d="scene.outline.d" class="bw-metal" fill-rule="evenodd" />
      <path v-for="flat in scene.flats" :key="'f' + flat.name" :d="flat.d" class="bw-flat" fill-rule="evenodd"
            :class="{lit: lit('flat ' + flat.name)}" :data-thing="'flat ' + flat.name" />
      <path v-for="bend in scene.bends" :key="'b' + bend.name" :d="bend.d" class="bw-strip" fill-rule="evenodd"
            :class="{lit: lit('bend ' + bend.name)}" :data-thing="'bend ' + bend.name" />
      <template v-for="bend in scene.bends" :key="'t' + bend.name">
        <path v-for="(line, i) in bend.tangents" :key="i" :d="path(line)" class="bw-tangent" />
        <path :d="path(bend.center_line)" class="bw-bend" :class="[bend.up ? 'up' : 'down', {lit: lit('bend ' + bend.name)}]"
              :data-thing="'bend ' + bend.name" />
      </template>
      <path v-for="bend in scene.bends" :key="'r' + bend.name" :d="path(bend.center_line)" class="bw-reach" :data-thing="'bend ' + bend.name" />
      <path :d="scene.outline.d" class="bw-edge" />
      <path v-for="hole in scene.holes" :key="'q' + hole.name" :d="hole.d" class="bw-reach" :class="{lit: lit('hole ' + hole.name)}" :data-thing="'hole ' + hole.name" />
      <path v-for="hole in scene.holes" :key="'h' + hole.name" :d="hole.d" class="bw-hole"
            :class="{lit: lit('hole ' + hole.name)}" :data-thing="'hole ' + hole.name" />
    </g>
    <g class="bw-marks">
      <path v-for="hole in scene.holes" :key="hole.name" class="bw-mark" :d="cross(hole.center)" />
      <g v-if="grain" class="bw-grain"><path :d="grain.d" /><text :x="grain.x" :y="grain.y">grain</text></g>
      <g v-for="label in labels" :key="label.name" :transform="label.turn">
        <text class="bw-figure" :class="{lit: lit('bend ' + label.name)}" text-anchor="middle">{{ label.text }}</text>
      </g>
      <g v-for="(dim, i) in drawnDims" :key="'d' + i" class="bw-dim" :class="{lit: lit(dim.name)}" :data-thing="dim.name" :data-trail="dim.trail">
        <path :d="dim.lines" class="bw-dim-line" />
        <path :d="dim.heads" class="bw-dim-head" />
        <text class="bw-figure" :text-anchor="dim.anchor" :transform="dim.turn">{{ dim.text }}</text>
      </g>
      <g v-for="(flag, i) in flags" :key="'g' + i" class="bw-flag" :class="flag.level" :transform="flag.at">
        <path :d="flag.shape" /><text text-anchor="middle" dy="6">{{ flag.sign }}</text>
      </g>
      <g v-if="ruler" class="bw-ruler">
        <path :d="ruler.d" /><circle v-for="(c, i) in ruler.dots" :key="i" :cx="c[0]" :cy="c[1]" r="6" />
      </g>
    </g>
  </svg>
  <p v-else class="bw-none">No blank yet: the part can't be read, or has no outline. See the findings.</p>
  <p v-if="measuring" class="bw-said" role="status">{{ said }}</p>
</figure>`,

  data: () => ({
    desk, width: 600, height: 400, scale: 1, dx: 0, dy: 0,
    all: false, measuring: false, picks: [], moved: false, hands: {}, spread: 0, long: null,
  }),

  computed: {
    scene() { return this.desk.scene; },
    transform() { return `translate(${this.dx} ${this.dy}) scale(${this.scale})`; },
    summary() {
      const s = this.scene;
      const size = s.size.map((v) => dimension(v, this.desk.units)).join(" by ");
      return `Blank ${size}, ${s.bends.length} bends, ${s.holes.length} holes. ` +
        "Arrow keys move, plus and minus zoom, Page Up and Page Down step through its parts.";
    },
    snaps() {
      const s = this.scene;
      const bends = s.bends.flatMap((b) => [...b.tangents, b.center_line].map(([p, q]) => [...p, ...q]));
      return snapsOf([...s.outline.edges, ...bends]);
    },
    said() {
      if (!this.picks.length) return "Touch a corner, a centre or an edge, and then another.";
      return words(this.picks[0], this.picks[1], this.desk.units, false);
    },
    labels() {
      const [x0, y0, x1, y1] = this.scene.box;
      const center = this.screen([(x0 + x1) / 2, (y0 + y1) / 2]);
      return this.scene.bends.map((bend) => {
        const [a, b] = bend.center_line.map((p) => this.screen(p));
        let turn = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
        if (turn > 90 - 1e-6) turn -= 180;
        if (turn <= -90 - 1e-6) turn += 180;
        const sign = bend.up ? "▲" : "▼";
        const wordings = [`${sign} ${bend.up ? "up" : "down"} ${angle(bend.angle)}`, `${sign} ${angle(bend.angle)}`, sign];
        // Clear of the strip, and off its middle where a finding's mark stands.
        const marked = this.flags.some((f) => f.place === `bend ${bend.name}`);
        const t = marked ? 0.27 : 0.5;
        const room = Math.hypot(b[0] - a[0], b[1] - a[1]) * (marked ? 0.54 : 1);
        const [x, y] = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
        // On the side towards the middle of the blank: there the metal is.
        const across = [Math.sin((turn * Math.PI) / 180), -Math.cos((turn * Math.PI) / 180)];
        const above = (center[0] - x) * across[0] + (center[1] - y) * across[1] >= 0;
        const clear = Math.max(8, (bend.allowance * this.scale) / 2) + 6;
        return {
          name: bend.name,
          text: wordings.find((text) => room > text.length * FIGURE * 0.62) || "",
          turn: `translate(${x} ${y}) rotate(${turn}) translate(0 ${above ? -clear : clear + FIGURE * 0.72})`,
        };
      });
    },
    // Running dimensions stand upright, so the longest figure sets the room they take [px].
    firstRow() {
      if (!this.all) return ROW;
      const longest = Math.max(0, ...this.placed.map((d) => dimension(d.value, this.desk.units).length));
      return 44 + longest * FIGURE * 0.62;
    },
    // What all sizes show: the bends, and the openings where there are few enough to be read.
    placed() {
      const dims = this.scene.dims.filter((d) => d.name !== "blank");
      const few = this.scene.holes.length <= 8;
      const seen = new Set();
      return dims.filter((d) => {
        const key = `${d.axis} ${d.value.toFixed(3)}`;
        if (seen.has(key) || (d.name.startsWith("hole ") && !few)) return false;
        return seen.add(key);
      });
    },
    // Row 1 takes the place of the bend pointed at, or all of them as running dimensions; the
    // overall sizes stand outside it.
    drawnDims() {
      const overall = this.scene.dims.filter((d) => d.name === "blank");
      const first = this.firstRow;
      const outer = overall.map((d) => this.drawDim(d, CLEAR + first + ROW - 14));
      if (this.all) return [...outer, ...this.running("x"), ...this.running("y")];
      const now = this.scene.dims.filter((d) => d.name !== "blank" && lit(d.name));
      const one = { x: now.find((d) => d.axis === "x"), y: now.find((d) => d.axis === "y") };
      return [...outer, ...[one.x, one.y].filter(Boolean).map((d) => this.drawDim(d, CLEAR + ROW - 14))];
    },
    grain() {
      const angleOf = this.scene.grain;
      if (angleOf === null) return null;
      // In the corner between the dimensions, which nothing else takes.
      const x = 46;
      const y = this.height - 54;
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
    },
    flags() {
      const found = (this.desk.part?.findings || []).filter((f) => f.at && !f.overridden && (f.level !== "note" || shown() === f.place));
      const shapes = {
        stop: ["M-8 -16H8L16 -8V8L8 16H-8L-16 8V-8Z", "!"],
        ask: ["M0 -18L18 0L0 18L-18 0Z", "?"],
        note: ["M-14 -14H14V14H-14Z", "n"],
      };
      return found.map((f) => {
        const [x, y] = this.screen(f.at);
        return { level: f.level, place: f.place, at: `translate(${x} ${y})`, shape: shapes[f.level][0], sign: shapes[f.level][1] };
      });
    },
    ruler() {
      if (!this.measuring || !this.picks.length) return null;
      const dots = this.picks.map((p) => this.screen(p.point || p.center || p.a));
      if (this.picks.length < 2) return { d: this.pickPath(this.picks[0]), dots };
      const { from, to } = between(...this.picks);
      const [a, b] = [this.screen(from), this.screen(to)];
      return { d: `M${a[0]} ${a[1]}L${b[0]} ${b[1]}${this.picks.map(this.pickPath).join("")}`, dots: [a, b] };
    },
  },

  watch: {
    scene(now, before) {
      const same = before && now && before.box.join() === now.box.join();
      this.picks = [];
      this.lie();
      if (now && !same) this.$nextTick(this.fit);
    },
    all() { this.fit(); },
    "desk.units"() { if (this.all) this.fit(); },
    "desk.big"() { this.$nextTick(this.fit); },
  },

  created() { this.lie(); },

  mounted() {
    this.seen = new ResizeObserver(() => {
      const box = this.$refs.frame.getBoundingClientRect();
      const caption = this.$refs.frame.querySelector(".bw-caption").offsetHeight;
      this.width = Math.max(200, Math.floor(box.width) - 2);
      this.height = Math.max(160, Math.floor(box.height) - caption - 3);
      this.fit();
    });
    this.seen.observe(this.$refs.frame);
  },
  unmounted() { this.seen?.disconnect(); },

  methods: {
    lit,
    // Settled once for each visit: the bench must not change about while one types.
    lie() {
      if (this.long === null && this.scene) this.long = this.scene.size[0] > LONG * this.scene.size[1];
    },
    screen([x, y]) { return [x * this.scale + this.dx, -y * this.scale + this.dy]; },
    path([a, b]) { return `M${a[0]} ${-a[1]}L${b[0]} ${-b[1]}`; },
    cross(p) {
      const [x, y] = this.screen(p);
      return `M${x - 7} ${y}H${x + 7}M${x} ${y - 7}V${y + 7}`;
    },
    pickPath(p) {
      if (!p.a) return "";
      const [a, b] = [this.screen(p.a), this.screen(p.b)];
      return `M${a[0]} ${a[1]}L${b[0]} ${b[1]}`;
    },
    fit() {
      const s = this.scene;
      if (!s) return;
      const left = CLEAR + this.firstRow + ROW + 12;
      const foot = left;
      const [x0, y0, x1, y1] = s.box;
      const [w, h] = [x1 - x0 || 1, y1 - y0 || 1];
      const side = 26;
      this.scale = Math.max(0.02, Math.min((this.width - left - side) / w, (this.height - foot - 26) / h));
      this.dx = left + (this.width - left - side - w * this.scale) / 2 - x0 * this.scale;
      this.dy = 26 + (this.height - foot - 26 - h * this.scale) / 2 + y1 * this.scale;
    },
    drawDim(dim, off) {
      const text = dimension(dim.value, this.desk.units);
      const [a, b] = [this.screen(dim.from), this.screen(dim.to)];
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
    },
    // Running dimensions: all from one edge, on one line with its origin ringed, each figure at
    // its extension line. Figures that would touch are moved apart and led back by a jog.
    running(axis) {
      const dims = this.placed.filter((d) => d.axis === axis);
      if (!dims.length) return [];
      const upright = axis === "y";
      const [o] = [this.screen(dims[0].from)];
      const base = upright ? o[0] : o[1];
      const sign = upright ? -1 : 1;
      const near = base + sign * CLEAR * 0.6;
      const mid = base + sign * 22;
      const far = base + sign * 36;
      const P = (along, across) => (upright ? `${across} ${along}` : `${along} ${across}`);
      const at = dims.map((d) => (upright ? this.screen(d.to)[1] : this.screen(d.to)[0]));
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
          text: dimension(dim.value, this.desk.units),
          lines: `M${P(at[i], near)}L${P(at[i], mid)}L${P(spot[i], far)}M${P(zero, mid)}L${P(at[i], mid)}`,
          heads: `M${P(at[i], mid)}L${P(tip, mid - 4)}L${P(tip, mid + 4)}Z`,
          turn,
          anchor: "end",
        };
      })];
    },
    zoom(by, at = [this.width / 2, this.height / 2]) {
      const next = Math.min(400, Math.max(0.02, this.scale * by));
      const real = next / this.scale;
      this.dx = at[0] - (at[0] - this.dx) * real;
      this.dy = at[1] - (at[1] - this.dy) * real;
      this.scale = next;
    },
    at(event) {
      const box = this.$refs.svg.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    },
    thing(event) {
      const hit = document.elementFromPoint(event.clientX, event.clientY);
      return hit?.closest?.("[data-thing]")?.dataset.thing || "";
    },
    trailAt(event) {
      const hit = document.elementFromPoint(event.clientX, event.clientY);
      return hit?.closest?.("[data-trail]")?.dataset.trail || "";
    },
    wheel(event) { this.zoom(Math.exp(-event.deltaY / 500), this.at(event)); },
    down(event) {
      this.hands[event.pointerId] = this.at(event);
      this.moved = false;
      this.spread = this.spreadNow();
      this.$refs.svg.setPointerCapture(event.pointerId);
    },
    spreadNow() {
      const hands = Object.values(this.hands);
      return hands.length < 2 ? 0 : Math.hypot(hands[0][0] - hands[1][0], hands[0][1] - hands[1][1]);
    },
    move(event) {
      const before = this.hands[event.pointerId];
      if (!before) {
        this.desk.over = this.measuring ? "" : this.thing(event);
        return;
      }
      const now = this.at(event);
      const hands = Object.keys(this.hands).length;
      if (Math.hypot(now[0] - before[0], now[1] - before[1]) < 4 && !this.moved) return;
      this.moved = true;
      this.dx += (now[0] - before[0]) / hands;
      this.dy += (now[1] - before[1]) / hands;
      this.hands[event.pointerId] = now;
      const spread = this.spreadNow();
      if (hands > 1 && this.spread > 0 && spread > 0) this.zoom(spread / this.spread, now);
      this.spread = spread;
    },
    up(event) {
      const was = this.hands[event.pointerId];
      delete this.hands[event.pointerId];
      if (!was || this.moved || event.type === "pointercancel") return;
      if (this.measuring) {
        const [sx, sy] = this.at(event);
        const found = snap(this.snaps, (sx - this.dx) / this.scale, (this.dy - sy) / this.scale, 18 / this.scale);
        if (found) this.picks = this.picks.length === 1 ? [this.picks[0], found] : [found];
      } else {
        const name = this.thing(event);
        const trail = this.trailAt(event);
        if (trail) Object.assign(this.desk, { trail, leaf: "trail", picked: name });
        else if (name) pick(name);
        else this.desk.picked = "";
      }
    },
    leave() { this.desk.over = ""; },
    toggleMeasure() { this.measuring = !this.measuring; this.picks = []; },
    key(event) {
      const moves = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] };
      if (moves[event.key]) { this.dx += moves[event.key][0]; this.dy += moves[event.key][1]; }
      else if (event.key === "+" || event.key === "=") this.zoom(1.25);
      else if (event.key === "-") this.zoom(0.8);
      else if (event.key === "0") this.fit();
      else if (event.key === "PageDown") step(1);
      else if (event.key === "PageUp") step(-1);
      else if (event.key === "Escape") { this.desk.picked = ""; this.picks = []; }
      else return;
      event.preventDefault();
    },
    shown,
  },
};
