// The formed part in space: folded in the browser, frame by frame, from the scene of the blank.
import { THREE } from "nicegui-scene";
import { dark, desk, pick, share, shown, step } from "blankwright-page/desk.js";
import { dimension } from "blankwright-page/figures.js";
import { words, between } from "blankwright-page/measure.js";
import { ROOM, overall } from "blankwright-page/overall.js";
import { place } from "blankwright-page/fold.js";
import { Folded } from "blankwright-page/folded.js";
import { Stage } from "blankwright-page/stage.js";
import { at, cornersOf, hit, middle, ruler, seenFrom, snap } from "blankwright-page/pointing.js";

const VIEWS = {
  // Where the eye stands, seen from the part; the plan has the blank's y axis up.
  Pictorial: [1, -1, 0.85],
  Plan: [0, -1e-4, 1],
  Front: [0, -1, 0],
  "Right side": [1, 0, 0],
};

const RESTS = 180; // what has not moved for so long is at rest [ms]

export default {
  template: `
<figure class="bw-view bw-form" ref="frame" v-show="desk.big !== 'plan'">
  <figcaption class="bw-caption">
    <span class="bw-caption-name">{{ desk.paper ? "Paper model" : "Formed part" }} <span v-if="desk.part?.stale" class="bw-was">as it was</span></span>
    <span class="bw-tools">
      <button type="button" class="bw-tool" :aria-pressed="measuring" @click="toggleMeasure">Measure</button>
      <button type="button" class="bw-tool" :aria-pressed="sized" @click="sized = !sized">Sizes</button>
      <select class="bw-tool" aria-label="Seen from" :value="from" @change="look($event.target.value)">
        <option value="" disabled>As turned</option>
        <option v-for="(eye, name) in views" :key="name" :value="name">{{ name }}</option></select>
      <button type="button" class="bw-tool" :aria-pressed="desk.big === 'form'" @click="desk.big = desk.big === 'form' ? '' : 'form'">{{ desk.big === "form" ? "Both" : "Only this" }}</button>
    </span>
  </figcaption>
  <div class="bw-solid">
    <canvas ref="canvas" tabindex="0" role="img" :aria-label="summary"
            @pointerdown="down" @pointermove="move" @pointerup="up" @pointerleave="leave" @keydown="key"></canvas>
    <svg class="bw-overall" aria-hidden="true" v-show="sized && !measuring" @click="trail">
      <g v-for="dim in dims" :key="dim.trail" class="bw-dim" :data-trail="dim.trail"><path :d="dim.lines" class="bw-dim-line" /><path :d="dim.heads" class="bw-dim-head" />
        <text class="bw-figure" text-anchor="middle" :transform="dim.turn">{{ dim.text }}</text></g>
    </svg>
    <img ref="paper" class="bw-on-paper" alt="" />
    <span v-show="tag.text" class="bw-tag" :style="{left: tag.x + 'px', top: tag.y + 'px'}" aria-hidden="true">{{ tag.text }}</span>
    <p v-if="!works" class="bw-none">This browser can't draw in space (no WebGL). The blank, the sizes and the files work all the same.</p>
    <p v-if="measuring" class="bw-said" role="status">{{ said }}</p>
  </div>
</figure>`,

  data: () => ({
    desk, views: VIEWS, measuring: false, picks: [], tag: { text: "", x: 0, y: 0 }, works: true, from: "Pictorial", sized: true, dims: [], spot: -1, here: null,
  }),

  computed: {
    summary() {
      const s = this.desk.scene;
      if (!s) return "No part yet.";
      const size = s.formed ? `, ${s.formed.map((v) => dimension(v, this.desk.units)).join(" by ")}` : "";
      return `Formed part${size}, ${Math.round(this.desk.fold * 100)} percent folded. ` +
        "Arrow keys turn it, plus and minus zoom, 0 shows all of it.";
    },
    said() {
      if (this.here && this.picks.length < 2) return `Corner ${this.spot + 1}. Page Down goes to the next, Enter picks it.`;
      if (!this.picks.length) return "Touch a corner, an edge, a hole or a face, and then another; or step with Page Down, and pick with Enter.";
      return words(this.picks[0], this.picks[1], this.desk.units, true);
    },
  },

  mounted() {
    try {
      // Not data: what Vue watches would cost every frame.
      this.stage = new Stage(this.$refs.canvas);
    } catch {
      this.works = false;
      return;
    }
    this.plain = { folded: null, dirty: true, frames: 0, press: null };
    this.stage.controls.addEventListener("change", this.stir);
    // Until the builder turns it, the part stays whole in view, however it grows.
    this.stage.controls.addEventListener("start", () => { this.from = ""; });
    this.seen = new ResizeObserver(this.resize);
    this.seen.observe(this.$refs.canvas.parentElement);
    const loop = () => {
      this.plain.run = requestAnimationFrame(loop);
      if (this.plain.rebuild) {
        const { first } = this.plain.rebuild;
        this.plain.rebuild = null;
        this.build(first);
      }
      if (this.plain.dirty) {
        this.stage.finer(false);
        this.draw();
        this.plain.moved = performance.now();
      } else if (this.plain.moved && performance.now() - this.plain.moved > RESTS) {
        this.plain.moved = 0;
        if (this.stage.slow) {
          this.stage.finer(true);
          this.draw();
        }
      }
    };
    // After the plan: what was typed shows there first.
    this.$watch(() => this.desk.scene, (now, before) => {
      this.plain.rebuild = { first: !before || this.plain.rebuild?.first };
    });
    this.$watch(() => [this.desk.fold, JSON.stringify(this.desk.folds), this.desk.paper], this.stir);
    this.$watch(() => [shown(), this.desk.part], this.paint);
    this.$watch(() => this.sized, () => (this.from ? this.aimAt(this.from) : this.frameUp()));
    this.$watch(() => this.desk.units, this.frameUp);
    this.$watch(() => this.desk.light, () => this.$nextTick(this.paint));
    this.scheme = matchMedia("(prefers-color-scheme: dark)");
    this.scheme.addEventListener("change", this.paint);
    window.addEventListener("beforeprint", this.onPaper);
    this.build(true);
    loop();
    // Read by the bench.
    this.$el.bwFrames = () => this.plain.frames;
    this.$el.bwView = this;
  },

  unmounted() {
    if (!this.plain) return;
    cancelAnimationFrame(this.plain.run);
    this.seen.disconnect();
    this.scheme.removeEventListener("change", this.paint);
    window.removeEventListener("beforeprint", this.onPaper);
    this.plain.folded?.dispose();
    this.stage.dispose();
  },

  methods: {
    // A canvas prints empty: on paper stands a picture of it, in the light colours.
    onPaper() {
      if (!this.plain.folded) return;
      const root = document.documentElement;
      const now = root.dataset.light;
      root.dataset.light = "light";
      this.paint();
      this.stage.finer(true);
      this.draw();
      this.$refs.paper.src = this.$refs.canvas.toDataURL("image/png");
      root.dataset.light = now;
      this.paint();
    },
    stir() { if (this.plain) this.plain.dirty = true; },
    build(first) {
      if (!this.works) return;
      this.plain.folded?.dispose();
      this.picks = [];
      this.plain.folded = this.desk.scene ? new Folded(this.desk.scene, this.stage.world) : null;
      this.paint();
      if (first || this.from) this.look(this.from || "Pictorial");
      this.stir();
    },
    paint() {
      this.plain?.folded?.paint(shown(), this.desk.part?.lights?.[shown()] || [], dark());
      this.stir();
    },
    resize() {
      const box = this.$refs.canvas.parentElement.getBoundingClientRect();
      if (box.width < 2 || box.height < 2) return;
      this.stage.renderer.setSize(box.width, box.height, false);
      this.frameUp();
    },
    // The part fills the view: as wide and as tall as it looks from where the eye stands.
    frameUp() {
      const room = !this.sized ? 18 : this.desk.units === "both" ? ROOM + 18 : ROOM;
      this.stage.frame(this.plain.span || [100, 100], room);
      this.stir();
    },
    look(name) {
      const folded = this.plain.folded;
      if (!folded) return;
      this.from = name;
      folded.fold(place(this.desk.scene, share, this.desk.paper), this.desk.paper);
      this.stage.zoom(0);
      this.aimAt(name);
    },
    // Look at the middle of the part as it is folded now, near enough that it fills the view.
    aimAt(name) {
      const eye = new THREE.Vector3(...VIEWS[name]).normalize();
      const { center, radius, span } = seenFrom(this.plain.folded, eye, this.sized);
      this.plain.span = span;
      this.stage.aim(center, eye, radius);
      this.frameUp();
    },
    draw() {
      const folded = this.plain.folded;
      if (folded) {
        folded.fold(place(this.desk.scene, share, this.desk.paper), this.desk.paper);
        if (this.from) this.aimAt(this.from);
        const here = this.here && this.picks.length < 2 ? [{ point: this.here }] : [];
        ruler(folded, this.picks.length > 1 ? between(...this.picks) : null, [...this.picks, ...here]);
      }
      this.plain.dirty = false;
      this.stage.draw(folded?.rims);
      this.plain.frames += 1;
      this.measures();
      this.place_tag();
    },
    // The overall dimensions, worked out anew for every frame; without a card once it rests.
    measures() {
      const { folded } = this.plain;
      if (!this.sized || !folded || (this.stage.slow && !this.stage.fine)) {
        if (this.dims.length) this.dims = [];
        return;
      }
      const { scene, fold, folds, paper, units } = this.desk;
      const done = !paper && [fold, ...Object.values(folds)].every((share) => share === 1);
      this.dims = Object.freeze(overall(folded, this.stage, units, done ? scene.formed : null));
    },
    trail(event) {
      const trail = event.target.closest("[data-trail]")?.dataset.trail;
      if (trail) Object.assign(this.desk, { trail, leaf: "trail" });
    },
    place_tag() {
      const place = (this.desk.part?.findings || []).find((f) => f.at && f.place === shown())?.at;
      const folded = this.plain.folded;
      const spot = folded && (middle(folded, shown()) || (place && at(folded, place)));
      if (!spot || this.measuring) {
        if (this.tag.text) this.tag = { text: "", x: 0, y: 0 };
        return;
      }
      const [x, y] = this.stage.screen(spot);
      if (this.tag.text !== shown() || this.tag.x !== x || this.tag.y !== y) this.tag = { text: shown(), x, y };
    },
    hit(event) {
      this.stage.through(event);
      return this.plain.folded ? hit(this.plain.folded, this.stage.ray) : null;
    },
    down(event) { if (this.plain) this.plain.press = [event.clientX, event.clientY]; },
    move(event) {
      if (!this.plain || event.buttons || this.measuring) return;
      this.desk.over = this.hit(event)?.name || "";
    },
    up(event) {
      const press = this.plain?.press;
      if (press) this.plain.press = null;
      if (!press || Math.hypot(event.clientX - press[0], event.clientY - press[1]) > 6) return;
      if (!this.measuring) {
        const found = this.hit(event);
        if (found) pick(found.name);
        else this.desk.picked = "";
        return;
      }
      const { spot, box } = this.stage.through(event);
      const { folded } = this.plain;
      const found = folded && snap(folded, this.stage.ray, this.stage.camera, spot, box);
      this.here = null;
      if (found) this.take(found);
      this.stir();
    },
    leave() { if (!this.measuring) this.desk.over = ""; },
    toggleMeasure() { this.measuring = !this.measuring; this.picks = []; this.here = null; this.spot = -1; this.stir(); },
    // Measuring by keyboard: step from corner to corner, and pick.
    stepSpot(by) {
      const corners = cornersOf(this.plain.folded);
      if (this.picks.length > 1) this.picks = [];
      this.spot = (Math.max(this.spot, by > 0 ? -1 : 0) + by + corners.length) % corners.length;
      this.here = corners[this.spot];
      this.stir();
    },
    take(found) { this.picks = this.picks.length === 1 ? [this.picks[0], found] : [found]; this.stir(); },
    turn(side, rise) {
      this.from = "";
      this.stage.turn(side, rise);
      this.stir();
    },
    key(event) {
      const turns = { ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, -0.15], ArrowDown: [0, 0.15] };
      const zoom = (by) => { this.stage.zoom(by); this.stir(); };
      if (turns[event.key]) this.turn(...turns[event.key]);
      else if (event.key === "+" || event.key === "=") zoom(1.25);
      else if (event.key === "-") zoom(0.8);
      else if (event.key === "0") this.look("Pictorial");
      else if (this.measuring && event.key === "PageDown") this.stepSpot(1);
      else if (this.measuring && event.key === "PageUp") this.stepSpot(-1);
      else if (this.measuring && event.key === "Enter" && this.here) this.take({ point: this.here });
      else if (event.key === "PageDown") step(1);
      else if (event.key === "PageUp") step(-1);
      else if (event.key === "Escape") { this.desk.picked = ""; this.picks = []; this.stir(); }
      else return;
      event.preventDefault();
    },
  },
};
