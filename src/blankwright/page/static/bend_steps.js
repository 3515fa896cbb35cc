// A bend plan, step after step: the section at the tool in motion. The law of bending is that of
// the map: uniform radius allowance/angle - k·T, the neutral fibre keeps its length.

const DOWN = 0.12; // share of the run in which the bar comes down
const DONE = 0.85; // and after which the tool lets go
const TIME = 3.2; // of one run [s]

export default {
  props: { steps: Array },
  data: () => ({ which: 0, at: 0, running: false }),
  template: `<figure class="bend-board" :aria-label="'Section at the tool, ' + step.title">
    <div class="bend-steps" role="group" aria-label="Steps">
      <button v-for="(one, k) in steps" type="button" @click="choose(k)"
        :aria-pressed="k === which ? 'true' : 'false'">{{ one.title.split(", ")[0] }}</button>
    </div>
    <h2>{{ step.title }}</h2>
    <svg class="bend-scene" :viewBox="view" role="img" :aria-label="spoken">
      <g transform="scale(1 -1)">
        <polygon v-for="body in step.bodies" :class="'bend-tool bend-' + body.role"
          :points="text(moved(body))"><title>{{ body.name }}</title></polygon>
        <polygon v-for="p in step.held" class="bend-part" :points="text(turned(p, -1))" />
        <polygon v-for="p in step.free" class="bend-part bend-free" :points="text(turned(p, 1))" />
        <polygon class="bend-part" :points="text(strip)" />
      </g>
    </svg>
    <div class="bend-drive">
      <button type="button" @click="choose(which - 1)" :disabled="which === 0">One step back</button>
      <button type="button" class="strong" @click="running ? hold() : run()">
        {{ running ? 'Hold' : 'Run' }}</button>
      <button type="button" @click="choose(which + 1)" :disabled="which === steps.length - 1">
        One step on</button>
      <input type="range" min="0" max="1000" step="1" :value="at * 1000" @input="go($event)"
        aria-label="How far the step is" :aria-valuetext="spoken">
    </div>
    <p class="bend-told" role="status" aria-live="polite">{{ spoken }}</p>
    <table class="bw-lengths bw-prose"><tr v-for="row in step.told"><th scope="row">{{ row.label }}</th>
      <td>{{ row.text }}</td></tr></table>
  </figure>`,
  computed: {
    step() { return this.steps[this.which]; },
    view() {
      const [y0, z0, y1, z1] = this.step.box;
      return `${y0} ${-z1} ${y1 - y0} ${z1 - z0}`;
    },
    lifted() {
      const { lift } = this.step.stroke;
      if (this.at < DOWN) return lift * (1 - this.at / DOWN);
      return this.at > DONE ? lift * ((this.at - DONE) / (1 - DONE)) : 0;
    },
    leaf() { // angle of the leaf
      const { angle } = this.step.stroke;
      if (this.at <= DOWN) return 0;
      if (this.at <= DONE) return (angle * (this.at - DOWN)) / (DONE - DOWN);
      return angle * (1 - (this.at - DONE) / (1 - DONE));
    },
    bent() { // angle of the sheet: it springs back when it is let go
      const { rest } = this.step.stroke;
      return this.at <= DONE ? this.leaf : Math.max(rest, this.leaf);
    },
    place() { // turn and shift of either side: cosine, sine, y of the free one, of the held one, z
      const { allowance, kt, thickness, share } = this.step.stroke;
      const turn = this.bent * share;
      const middle = share < 1 ? allowance / 2 : 0;
      if (this.bent < 1e-6) return [1, 0, -middle, middle, 0, 0];
      const outer = allowance / this.bent - kt + thickness;
      const [c, s] = [Math.cos(turn), Math.sin(turn)];
      return [c, s, outer * s - allowance * c, outer * s,
        outer * (1 - c) - allowance * s, outer * (1 - c)];
    },
    strip() {
      const { allowance, kt, thickness, share } = this.step.stroke;
      const angle = this.bent;
      const flat = share < 1 ? -allowance / 2 : 0;
      if (angle < 1e-6) {
        return [[flat, 0], [flat + allowance, 0], [flat + allowance, thickness], [flat, thickness]];
      }
      const inner = allowance / angle - kt;
      const from = -angle * (1 - share);
      const arc = (r, k) => {
        const phi = from + (angle * k) / 16;
        return [r * Math.sin(phi), thickness + inner - r * Math.cos(phi)];
      };
      const steps = [...Array(17).keys()];
      return [...steps.map((k) => arc(inner + thickness, k)),
        ...steps.reverse().map((k) => arc(inner, k))];
    },
    spoken() {
      if (this.at < DOWN) return "the bar comes down";
      const degrees = ((this.bent * 180) / Math.PI).toFixed(1);
      return this.at <= DONE ? `bent to ${degrees}°` : `let go: it springs back to ${degrees}°`;
    },
  },
  methods: {
    text(points) { return points.map((p) => p.join(",")).join(" "); },
    turned(points, side) {
      const { share } = this.step.stroke;
      if (side < 0 && share === 1) return points;
      const [c, s, free, held, freeUp, heldUp] = this.place;
      const [dy, dz] = side > 0 ? [free, freeUp] : [-held, heldUp];
      return points.map(([y, z]) => [
        c * y - side * s * z + dy, side * s * y + c * z + dz,
      ]);
    },
    moved(body) {
      const { hinge, opening } = this.step.stroke;
      if (body.role === "lifts") return body.corners.map(([y, z]) => [y, z + this.lifted]);
      if (body.role === "rises") {
        const up = (opening / 2) * Math.tan(this.leaf / 2);
        return body.corners.map(([y, z]) => [y, z + up]);
      }
      if (body.role !== "swings") return body.corners;
      const [c, s] = [Math.cos(this.leaf), Math.sin(this.leaf)];
      return body.corners.map(([y, z]) => [c * (y - hinge) - s * z + hinge, s * (y - hinge) + c * z]);
    },
    choose(k) { this.hold(); this.which = k; this.at = 0; },
    go(event) { this.hold(); this.at = Number(event.target.value) / 1000; },
    hold() { this.running = false; },
    run() {
      if (this.at >= 1) this.at = 0;
      // Who wants little motion sees the end of the stroke at once.
      if (window.matchMedia("(prefers-reduced-motion: reduce)").matches) { this.at = DONE; return; }
      this.running = true;
      const from = this.at;
      let begun = null;
      const tick = (now) => {
        if (!this.running) return;
        if (begun === null) begun = now;
        this.at = Math.min(1, from + (now - begun) / 1000 / TIME);
        if (this.at < 1) requestAnimationFrame(tick); else this.running = false;
      };
      requestAnimationFrame(tick);
    },
  },
  unmounted() { this.running = false; },
};
