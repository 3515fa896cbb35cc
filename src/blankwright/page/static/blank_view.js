// The blank in plan, drawn as the trade draws it: exact arcs, bend lines by kind, dimensions.
import { desk, lit, pick, shown, step } from "blankwright-page/desk.js";
import { CLEAR, FIGURE, ROW, bendWords, grainMark, runningDims, sideDim } from "blankwright-page/blank_marks.js";
import { dimension } from "blankwright-page/figures.js";
import { between, snap, snapsOf, words } from "blankwright-page/measure.js";

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
    all: false, measuring: false, picks: [], moved: false, hands: {}, spread: 0, long: null, spot: -1,
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
      const here = this.snaps.points[this.spot];
      if (here && this.picks.length < 2) {
        const [x0, y0] = this.scene.box;
        const say = (v) => dimension(v, this.desk.units);
        return `${say(here[0] - x0)} from the left edge, ${say(here[1] - y0)} from the front edge. Enter picks it.`;
      }
      if (!this.picks.length) return "Touch a corner, a centre or an edge, and then another; or step with Page Down, and pick with Enter.";
      return words(this.picks[0], this.picks[1], this.desk.units, false);
    },
    labels() { return bendWords(this.scene, this.screen, this.scale, this.flags); },
    grain() { return this.scene.grain === null ? null : grainMark(this.scene.grain, this.height); },
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
      const side = (d, off) => sideDim(d, off, this.screen, this.desk.units);
      const outer = overall.map((d) => side(d, CLEAR + first + ROW - 14));
      if (this.all) {
        const run = (axis) => runningDims(this.placed.filter((d) => d.axis === axis), axis, this.screen, this.desk.units);
        return [...outer, ...run("x"), ...run("y")];
      }
      const now = this.scene.dims.filter((d) => d.name !== "blank" && lit(d.name));
      const one = { x: now.find((d) => d.axis === "x"), y: now.find((d) => d.axis === "y") };
      return [...outer, ...[one.x, one.y].filter(Boolean).map((d) => side(d, CLEAR + ROW - 14))];
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
        return { level: f.level, place: f.place, x, y, at: `translate(${x} ${y})`, shape: shapes[f.level][0], sign: shapes[f.level][1] };
      });
    },
    ruler() {
      const here = this.snaps.points[this.spot];
      if (!this.measuring || !(this.picks.length || here)) return null;
      if (here && this.picks.length < 2) {
        return { d: this.picks.map(this.pickPath).join(""), dots: [...this.picks.map((p) => this.screen(p.point || p.center || p.a)), this.screen(here)] };
      }
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
        this.spot = -1;
        if (found) this.take(found);
      } else {
        const name = this.thing(event);
        const trail = this.trailAt(event);
        if (trail) Object.assign(this.desk, { trail, leaf: "trail", picked: name });
        else if (name) pick(name);
        else this.desk.picked = "";
      }
    },
    leave() { this.desk.over = ""; },
    toggleMeasure() { this.measuring = !this.measuring; this.picks = []; this.spot = -1; },
    // Measuring by keyboard: step from corner to corner, and pick.
    stepSpot(by) {
      const n = this.snaps.points.length;
      if (this.picks.length > 1) this.picks = [];
      this.spot = (Math.max(this.spot, by > 0 ? -1 : 0) + by + n) % n;
    },
    take(found) { this.picks = this.picks.length === 1 ? [this.picks[0], found] : [found]; },
    key(event) {
      const moves = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] };
      if (moves[event.key]) { this.dx += moves[event.key][0]; this.dy += moves[event.key][1]; }
      else if (event.key === "+" || event.key === "=") this.zoom(1.25);
      else if (event.key === "-") this.zoom(0.8);
      else if (event.key === "0") this.fit();
      else if (this.measuring && event.key === "PageDown") this.stepSpot(1);
      else if (this.measuring && event.key === "PageUp") this.stepSpot(-1);
      else if (this.measuring && event.key === "Enter" && this.spot >= 0) this.take({ point: this.snaps.points[this.spot] });
      else if (event.key === "PageDown") step(1);
      else if (event.key === "PageUp") step(-1);
      else if (event.key === "Escape") { this.desk.picked = ""; this.picks = []; }
      else return;
      event.preventDefault();
    },
    shown,
  },
};
