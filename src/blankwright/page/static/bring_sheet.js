// What was found in a drawing, what is asked back, and the part file that would be written.
export default {
  emits: ["again", "keep", "close"],
  props: { found: Object, trouble: Array, busy: Boolean },
  template: `
<div class="bw-sheet" @keydown.esc="$emit('close')">
  <div role="dialog" aria-modal="true" aria-labelledby="bw-bring-title" ref="box" @keydown.tab="stay">
    <header><h2 id="bw-bring-title">{{ found ? 'From the drawing ' + found.file : 'Bring in a drawing' }}</h2><button type="button" @click="$emit('close')">Leave</button></header>
    <div v-for="r in found?.refused || []" :key="r.name" class="bw-wrong"><b>{{ r.name }}</b> is no sheet part. <span v-for="(p, i) in r.problems" :key="i">{{ p.got }}. {{ p.fix }} </span></div>
    <form class="bw-new" @submit.prevent="answer">
      <div class="bw-fields">
        <template v-if="one">
          <p v-if="questions.length"><b>To be stated first.</b> Nothing is guessed.</p>
          <label v-for="q in asked" :key="q.key">{{ q.ask }}
            <select v-if="choices(q.key)" v-model="answers[q.key]" required><option value="">choose</option><option v-for="c in choices(q.key)" :key="c">{{ c }}</option></select>
            <input v-else type="text" class="figure" v-model="answers[q.key]" :placeholder="q.example" autocomplete="off" spellcheck="false" /></label>
          <label>Title of the part<input type="text" v-model="answers.title" :placeholder="one.name" autocomplete="off" /></label>
          <details><summary>State more: which lines are what</summary>
            <label v-for="m in more" :key="m.key">{{ m.label }}<input type="text" v-model="answers[m.key]" :placeholder="m.example" autocomplete="off" spellcheck="false" /></label></details>
        </template>
        <div v-for="(p, i) in problems" :key="i" class="bw-wrong" role="alert"><b>{{ p.code }}</b> {{ p.got }}. {{ p.allowed ? 'Allowed: ' + p.allowed + '. ' : '' }}{{ p.fix }}</div>
        <button type="submit" :disabled="busy">Look again</button>
        <button type="button" class="strong" :disabled="busy || !ready" @click="$emit('keep', stated())">{{ several ? 'Make ' + found.candidates.length + ' part files' : 'Make the part file' }}</button>
      </div>
      <div v-for="c in found?.candidates || []" :key="c.name">
        <svg v-if="c.seen" class="bw-big-shape" :viewBox="c.seen.box.join(' ')" role="img" :aria-label="'The blank as it is understood, with ' + c.seen.bends.length + ' bend lines'">
          <path :d="c.seen.d" class="metal" fill-rule="evenodd" vector-effect="non-scaling-stroke" />
          <g v-for="b in c.seen.bends" :key="b.name"><path :d="b.d" class="call" stroke-dasharray="6 3" vector-effect="non-scaling-stroke" />
            <text :x="b.x + c.seen.letter / 3" :y="b.y" text-anchor="start" :style="{fontSize: c.seen.letter + 'px'}">{{ b.name }}</text></g></svg>
        <h3>{{ c.name }}, as it is understood</h3>
        <ul><li v-for="(t, i) in c.told" :key="i">{{ t }}</li></ul>
        <h3>The part file</h3><pre class="bw-brought">{{ c.text }}</pre>
        <template v-if="c.findings.length"><h3>What the checks find</h3><ul><li v-for="(f, i) in c.findings" :key="i">{{ f }}</li></ul></template>
      </div>
    </form>
  </div>
</div>`,
  data: () => ({
    asked: [],
    answers: { title: "" },
    more: [
      { key: "outline", label: "Outline", example: "layer CUT" },
      { key: "openings", label: "Openings", example: "layer HOLES" },
      { key: "bend_lines", label: "Bend lines", example: "layer BEND; line type CENTER" },
      { key: "tangent_lines", label: "Bend tangent lines", example: "layer TANGENT" },
      { key: "leave_out", label: "Leave out the lines at", example: "1 in, 2 in; 3 in, 2 in" },
      { key: "closes", label: "Close gaps up to", example: "0.02 mm" },
      { key: "reach", label: "Bend lines end short by", example: "0.5 mm" },
      { key: "relieve", label: "Relieve bends that meet", example: "yes" },
      { key: "part_at", label: "A point on the part", example: "1 in, 2 in" },
      { key: "root_at", label: "A point on the flat that stays put", example: "1 in, 2 in" },
      { key: "k", label: "Neutral-axis factor", example: "0.44" },
    ],
  }),
  computed: {
    one() { return this.found?.candidates[0]; },
    several() { return (this.found?.candidates.length || 0) > 1; },
    questions() { return [...new Map((this.found?.candidates || []).flatMap((c) => c.questions).map((q) => [q.key, q])).values()]; },
    problems() { return [...(this.trouble || []), ...(this.found?.candidates || []).flatMap((c) => c.problems)]; },
    ready() { return Boolean(this.one) && this.found.candidates.every((c) => c.ready); },
  },
  watch: {
    // What was answered stays, so that it can be changed.
    found: { immediate: true, handler() { for (const q of this.questions) if (!this.asked.some((a) => a.key === q.key)) this.asked.push(q); } },
  },
  mounted() { (this.$refs.box.querySelector("form select, form input") || this.$refs.box.querySelector("button"))?.focus(); },
  methods: {
    choices(key) {
      if (key === "units") return ["mm", "in", "cm", "m", "ft", "thou"];
      return key.endsWith(" direction") ? ["up", "down"] : null;
    },
    stated() {
      const said = { bends: {} };
      for (const [key, value] of Object.entries(this.answers)) {
        const at = key.lastIndexOf(" ");
        if (!value) continue;
        if (at < 0) said[key] = value;
        else {
          const bend = (said.bends[key.slice(0, at)] ||= {});
          bend[key.slice(at + 1) === "direction" ? "up" : key.slice(at + 1)] = value;
        }
      }
      return said;
    },
    answer() { this.$emit("again", this.stated()); },
    stay(event) {
      const all = [...this.$refs.box.querySelectorAll("button:not(:disabled), input, select, summary")];
      const [first, last] = [all[0], all[all.length - 1]];
      if (event.shiftKey && document.activeElement === first) last.focus();
      else if (!event.shiftKey && document.activeElement === last) first.focus();
      else return;
      event.preventDefault();
    },
  },
};
