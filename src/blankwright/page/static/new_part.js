// A new part from a starting shape, with a drawing of which size is which.
import { desk } from "blankwright-page/desk.js";
import { wire } from "blankwright-page/wire.js";

export default {
  emits: ["close"],
  template: `
<div class="bw-sheet" @keydown.esc="$emit('close')" @click.self="$emit('close')">
  <div role="dialog" aria-modal="true" aria-labelledby="bw-new-title" ref="box" @keydown.tab="stay">
    <header><h2 id="bw-new-title">New part</h2><button type="button" @click="$emit('close')">Leave</button></header>
    <div class="bw-shapes" role="group" aria-label="Starting shape">
      <button v-for="s in shapes" :key="s.key" type="button" :aria-pressed="shape.key === s.key" @click="choose(s)">
        <svg class="bw-shape" :viewBox="s.icon.join(' ')" aria-hidden="true"><path v-for="(d, i) in s.lines" :key="i" :d="d" class="metal" style="stroke: currentColor; stroke-width: 5px" /></svg>
        {{ s.title }}</button>
      <label class="key bw-from-file" for="bw-from-file">
        <svg class="bw-shape" viewBox="0 0 88 54" aria-hidden="true"><path d="M26 3H52L62 13V51H26ZM52 3V13H62M33 40V24H48V40ZM33 20V16M48 20V16M33 18H48" class="metal" style="stroke: currentColor; stroke-width: 2.4px" /></svg>
        Drawing file<span class="hidden-label">, STEP or DXF</span>
        <input id="bw-from-file" type="file" class="hidden-label" accept=".step,.stp,.dxf,.toml" @change="bring" /></label>
    </div>
    <form class="bw-new" @submit.prevent="make">
      <div class="bw-fields">
        <label>Name of the part<input type="text" v-model="title" ref="title" autocomplete="off" /></label>
        <label v-for="ask in shape.asks" :key="ask.key">{{ ask.label }}
          <input type="text" class="figure" v-model="sizes[ask.key]" autocomplete="off" spellcheck="false" @focus="on = ask.key" @blur="on = ''" /></label>
        <label>Alloy and temper<input type="text" v-model="alloy" autocomplete="off" spellcheck="false" /></label>
        <div v-for="(p, i) in desk.trouble" :key="i" class="bw-wrong" role="alert"><b>{{ p.code }}</b> {{ p.got }}. {{ p.fix }}</div>
        <button type="submit" class="strong" :disabled="!title.trim()">Make the part file</button>
      </div>
      <div><p>{{ shape.about }} All sizes are to the outside mold lines; each takes a unit, a fraction or a formula.</p>
        <svg class="bw-big-shape" :viewBox="shape.box.join(' ')" role="img" :aria-label="'Which size is which: ' + shape.asks.map(a => a.label).join(', ')">
          <path v-for="(d, i) in shape.lines" :key="i" :d="d" class="metal" />
          <g v-for="c in shape.calls" :key="c.key" :class="{lit: on === c.key}"><path :d="c.lines" class="call" /><path :d="c.heads" class="arrow" />
            <text :x="c.x" :y="c.y" :text-anchor="c.anchor">{{ c.label }}</text></g>
        </svg></div>
    </form>
  </div>
</div>`,
  data() {
    const shapes = desk.project.shapes;
    return { desk, shapes, shape: shapes[0], title: "", alloy: "6061-T6", sizes: {}, on: "" };
  },
  created() { this.desk.trouble = []; this.choose(this.shape); },
  mounted() { this.$refs.title.focus(); },
  methods: {
    choose(shape) {
      this.shape = shape;
      const unit = this.desk.units === "mm" ? "mm" : "in";
      const now = this.sizes;
      this.sizes = Object.fromEntries(shape.asks.map((ask) => [ask.key, now[ask.key] || ask[unit]]));
    },
    make() {
      this.desk.trouble = [];
      wire.say("new", { shape: this.shape.key, name: this.title, sizes: { ...this.sizes, alloy: this.alloy } });
    },
    bring(event) {
      for (const file of event.target.files) window.dispatchEvent(new CustomEvent("bw-bring", { detail: file }));
      this.$emit("close");
    },
    stay(event) {
      const all = [...this.$refs.box.querySelectorAll("button:not(:disabled), input")];
      const [first, last] = [all[0], all[all.length - 1]];
      if (event.shiftKey && document.activeElement === first) last.focus();
      else if (!event.shiftKey && document.activeElement === last) first.focus();
      else return;
      event.preventDefault();
    },
  },
};
