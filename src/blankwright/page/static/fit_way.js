// The way in, shown one moment after another: run, held, or gone through step by step.
// Everything is worked out on the server; here it is only placed and drawn.

const WIDE = 900;
const HIGH = 190;
const LEFT = 62;
const FOOT = 34;
const TOP = 12;
const MOST = 10; // clearances over this are not drawn [mm]
const SPEED = 70; // frames a second

export default {
  props: { way: Object },
  data: () => ({ at: 0, running: false }),
  template: `<figure class="fit-board" :aria-label="'Way in, section ' + way.name">
    <svg class="fit-scene" :viewBox="view" role="img"
      :aria-label="'The part at step ' + (step + 1) + ' of ' + way.steps.length">
      <g transform="scale(1 -1)">
        <path v-for="wall in way.walls" :d="wall.path" fill-rule="evenodd"
          :class="wall.soft ? 'fit-soft' : 'fit-hard'"><title>{{ wall.name }}</title></path>
        <path class="fit-goal" :d="way.part" fill-rule="evenodd"><title>at rest</title></path>
        <path class="fit-rest fit-now" :d="way.part" fill-rule="evenodd" :transform="placed">
          <title>the part</title></path>
      </g>
    </svg>
    <p class="fit-sides">Right is {{ way.words[0] }}, left is {{ way.words[1] }}, above is
      {{ way.words[2] }}, below is {{ way.words[3] }}. Dashed: at rest.</p>
    <div class="fit-drive">
      <button type="button" @click="back" :disabled="at === 0">One step back</button>
      <button type="button" class="strong" @click="running ? hold() : run()">
        {{ running ? 'Hold' : 'Run' }}</button>
      <button type="button" @click="on" :disabled="at === last">One step on</button>
      <input type="range" min="0" :max="last" step="1" :value="at" @input="go($event)"
        aria-label="How far along the way in" :aria-valuetext="spoken">
    </div>
    <p class="fit-told bw-lengths bw-prose" role="status" aria-live="polite">
      <b>Step {{ step + 1 }} of {{ way.steps.length }}.</b> {{ way.steps[step].text }}</p>
    <p class="fit-gap bw-lengths">{{ spoken }}</p>
    <svg class="fit-plot" :viewBox="'0 0 ${WIDE} ${HIGH}'" role="img"
      aria-label="Clearance along the way in">
      <g v-for="level in levels"><line class="fit-grid" x1="${LEFT}" :x2="${WIDE}" :y1="y(level)"
        :y2="y(level)" /><text x="${LEFT - 8}" :y="y(level) + 6" text-anchor="end">{{ level }}</text></g>
      <g v-for="(one, k) in way.steps"><line class="fit-axis" :x1="x(one.first)" :x2="x(one.first)"
        y1="${TOP}" y2="${HIGH - FOOT}" /><text v-if="numbered(k)" :x="(x(one.first) + x(one.last)) / 2"
        y="${HIGH - 10}" text-anchor="middle">{{ k + 1 }}</text></g>
      <line class="fit-axis" x1="${LEFT}" x2="${WIDE}" y1="${HIGH - FOOT}" y2="${HIGH - FOOT}" />
      <polyline class="fit-line" :points="line" />
      <line class="fit-cursor" :x1="x(at)" :x2="x(at)" y1="${TOP}" y2="${HIGH - FOOT}" />
      <text x="16" y="${(HIGH - FOOT) / 2}" text-anchor="middle"
        transform="rotate(-90 16 ${(HIGH - FOOT) / 2})">mm</text>
    </svg>
    <figcaption>Clearance along the way, over what is to be kept off; cut off at {{ top }} mm.
      Numbers are the steps.</figcaption>
  </figure>`,
  computed: {
    last() { return this.way.frames.length - 1; },
    view() {
      const [x0, y0, x1, y1] = this.way.box;
      return `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`;
    },
    placed() {
      const [turn, x, y] = this.way.frames[this.at];
      const [mx, my] = this.way.middle;
      return `translate(${x} ${y}) rotate(${(turn * 180) / Math.PI}) translate(${-mx} ${-my})`;
    },
    step() {
      const k = this.way.steps.findIndex((one) => this.at < one.last);
      return k < 0 ? this.way.steps.length - 1 : k;
    },
    spoken() {
      const gap = this.way.frames[this.at][3];
      const wall = this.way.nearest[this.at];
      return gap >= 0
        ? `${gap > 99 ? 'over 99' : gap.toFixed(2)} mm to spare, nearest ${wall}`
        : `as near as at rest to ${wall}`;
    },
    top() {
      const most = Math.max(...this.way.frames.map((f) => f[3]));
      return Math.max(1, Math.min(MOST, Math.ceil(most)));
    },
    levels() { return [0, this.top / 2, this.top]; },
    line() {
      return this.way.frames
        .map((f, k) => `${this.x(k).toFixed(1)},${this.y(f[3]).toFixed(1)}`).join(" ");
    },
  },
  methods: {
    x(k) { return LEFT + ((WIDE - LEFT - 6) * k) / this.last; },
    y(gap) {
      const share = Math.min(Math.max(gap, 0), this.top) / this.top;
      return HIGH - FOOT - (HIGH - FOOT - TOP) * share;
    },
    numbered(k) { return this.x(this.way.steps[k].last) - this.x(this.way.steps[k].first) > 14; },
    go(event) { this.hold(); this.at = Number(event.target.value); },
    back() {
      this.hold();
      const before = this.way.steps.filter((one) => one.first < this.at);
      this.at = before.length ? before[before.length - 1].first : 0;
    },
    on() {
      this.hold();
      const next = this.way.steps.find((one) => one.last > this.at);
      this.at = next ? next.last : this.last;
    },
    hold() { this.running = false; },
    run() {
      if (this.at === this.last) this.at = 0;
      this.running = true;
      const from = this.at;
      let begun = null;
      // Who wants little motion sees the steps one by one.
      const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
      const tick = (now) => {
        if (!this.running) return;
        if (begun === null) begun = now;
        const far = Math.min(this.last, from + Math.floor(((now - begun) / 1000) * SPEED));
        const ends = this.way.steps.map((one) => one.last).filter((k) => k <= far);
        this.at = calm ? Math.max(from, ...ends) : far;
        if (far < this.last) requestAnimationFrame(tick);
        else { this.at = this.last; this.running = false; }
      };
      requestAnimationFrame(tick);
    },
  },
  unmounted() { this.running = false; },
};
