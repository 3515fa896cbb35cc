// The fold rule: from the flat blank to the formed part, for all bends or for one.
import { desk, share } from "blankwright-page/desk.js";
import { angle } from "blankwright-page/figures.js";

export default {
  template: `
<div class="bw-fold" role="group" aria-label="Fold">
  <select v-if="bends.length > 1" v-model="which" aria-label="Bend that the rule moves">
    <option value="">All bends</option>
    <option v-for="bend in bends" :key="bend.name" :value="bend.name">{{ bend.name }}</option>
  </select>
  <label class="bw-slide"><span>Flat</span>
    <input type="range" min="0" max="1000" step="1" :value="Math.round(now * 1000)" :aria-valuetext="said"
           aria-label="Fold, from flat to formed" @input="move($event.target.value / 1000)" />
    <span>Formed</span></label>
  <output aria-hidden="true">{{ said }}</output>
  <button type="button" @click="play">{{ running ? "Halt" : now > 0.5 ? "Unfold" : "Fold" }}</button>
  <button type="button" :aria-pressed="desk.paper" @click="desk.paper = !desk.paper">Paper model</button>
</div>`,
  data: () => ({ desk, which: "", running: 0 }),
  computed: {
    bends() { return this.desk.scene?.bends || []; },
    bend() { return this.bends.find((b) => b.name === this.which); },
    now() { return this.bend ? share(this.bend.name) : this.desk.fold; },
    said() { return this.bend ? angle(this.bend.angle * this.now) : `${Math.round(this.now * 100)} %`; },
  },
  watch: { which(name) { if (name) this.desk.picked = `bend ${name}`; } },
  methods: {
    move(value) {
      if (this.bend) this.desk.folds = { ...this.desk.folds, [this.bend.name]: value };
      else {
        this.desk.fold = value;
        this.desk.folds = {};
      }
    },
    play() {
      if (this.running) {
        cancelAnimationFrame(this.running);
        this.running = 0;
        return;
      }
      const from = this.now;
      const to = from > 0.5 ? 0 : 1;
      const start = performance.now();
      const tick = (time) => {
        const t = Math.min(1, Math.max(0, (time - start) / 1800));
        this.move(from + (to - from) * (t * t * (3 - 2 * t)));
        this.running = t < 1 ? requestAnimationFrame(tick) : 0;
      };
      this.running = requestAnimationFrame(tick);
    },
  },
};
