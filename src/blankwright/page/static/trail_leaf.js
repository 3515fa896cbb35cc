// Where a number comes from: what went in, the formula, the table row, the source.
import { desk } from "blankwright-page/desk.js";
import { figure } from "blankwright-page/figures.js";

export default {
  template: `
<div class="bw-trail">
  <h2 class="hidden-label">Trail</h2>
  <label for="bw-find" class="hidden-label">Find a number</label>
  <input id="bw-find" type="search" v-model="find" placeholder="Find a number, such as allowance" style="margin-bottom: 14px" />
  <article v-for="step in steps" :key="step.key" class="bw-step" :class="{lit: step.key === desk.trail}" :id="'t-' + step.key">
    <h3 class="bw-step-name">{{ step.name }}</h3>
    <p class="bw-step-value">{{ show(step.value, step.kind) }}</p>
    <p class="bw-formula">{{ step.formula }}</p>
    <table v-if="step.inputs.length"><caption class="hidden-label">What went in</caption>
      <tr v-for="(put, i) in step.inputs" :key="i"><td><button v-if="keyOf(put[0])" type="button" class="bw-value" @click="go(put[0])">{{ put[0] }}</button><template v-else>{{ put[0] }}</template></td><td>{{ show(put[1], put[2]) }}</td></tr>
    </table>
    <p class="bw-source" v-if="step.source">Source: {{ step.source }}</p>
  </article>
  <p v-if="!steps.length">No number of that name.</p>
</div>`,
  data: () => ({ desk, find: "" }),
  computed: {
    all() { return this.desk.part?.trail || []; },
    steps() {
      const words = this.find.toLowerCase().split(/\s+/).filter(Boolean);
      if (words.length) return this.all.filter((s) => words.every((w) => s.name.toLowerCase().includes(w)));
      const chosen = this.all.filter((s) => s.key === this.desk.trail);
      return [...chosen, ...this.all.filter((s) => s.key !== this.desk.trail)];
    },
  },
  watch: { "desk.trail"() { this.find = ""; this.$nextTick(() => this.$el.parentElement.scrollTo(0, 0)); } },
  mounted() { this.$el.parentElement.scrollTo(0, 0); },
  methods: {
    show(value, kind) { return figure(value, kind, this.desk.units); },
    keyOf(name) { return [`size ${name}`, name].find((key) => this.all.some((s) => s.key === key)); },
    go(name) { this.desk.trail = this.keyOf(name); },
  },
};
