// Add a bend, a hole, a row or a corner, with a form of the few sizes it needs.
import { desk } from "blankwright-page/desk.js";
import { newGroup, wire } from "blankwright-page/wire.js";

export default {
  template: `
<section class="bw-group bw-add" aria-label="Add to the part">
  <h3><span>Add to the part</span></h3>
  <div class="bw-kinds" role="group" aria-label="What to add">
    <button v-for="f in features" :key="f.key" type="button" :aria-pressed="kind === f.key" @click="choose(f)">{{ f.title }}</button></div>
  <form v-if="feature" @submit.prevent="add">
    <div class="bw-line plain"><label for="f-add-name">Name</label><input id="f-add-name" type="text" v-model="name" autocomplete="off" spellcheck="false" ref="name" /></div>
    <div v-for="line in feature.lines" :key="feature.key + line.key" class="bw-line plain">
      <label :for="'f-add-' + line.key">{{ line.label }}<small v-if="line.may_miss">may stay empty</small></label>
      <select v-if="line.choices.length" :id="'f-add-' + line.key" v-model="typed[line.key]"><option v-for="c in line.choices" :key="c" :value="c">{{ c }}</option></select>
      <input v-else :id="'f-add-' + line.key" type="text" class="figure" v-model="typed[line.key]" autocomplete="off" spellcheck="false" /></div>
    <div v-for="(p, i) in desk.trouble" :key="i" class="bw-wrong" role="alert"><b>{{ p.code }}</b> {{ p.where }}: {{ p.got }}. {{ p.allowed ? 'Allowed: ' + p.allowed + '. ' : '' }}{{ p.fix }}</div>
    <div class="bw-kinds"><button type="submit" class="strong" :disabled="!name.trim()">Add {{ feature.title.toLowerCase() }}</button>
      <button type="button" @click="kind = ''">Leave</button></div>
  </form>
</section>`,
  data: () => ({ desk, kind: "", name: "", typed: {}, sent: "" }),
  computed: {
    features() { return this.desk.part?.features || []; },
    feature() { return this.features.find((f) => f.key === this.kind); },
  },
  watch: {
    // What was asked for is in the part: close the form and light the new thing up.
    "desk.part"(part) {
      if (!this.sent || part.by !== this.sent) return;
      const word = { row: "hole", rivets: "hole" }[this.kind] || this.kind;
      if (word !== "corner") this.desk.picked = `${word} ${this.name.trim()}`;
      this.kind = this.sent = "";
    },
  },
  methods: {
    choose(feature) {
      this.desk.trouble = [];
      this.kind = this.kind === feature.key ? "" : feature.key;
      this.name = "";
      this.typed = Object.fromEntries(feature.lines.map((line) => [line.key, line.typed]));
      if (this.kind) this.$nextTick(() => this.$refs.name.focus());
    },
    add() {
      this.desk.trouble = [];
      this.sent = newGroup();
      wire.say("add", { key: this.kind, name: this.name, fields: { ...this.typed }, group: this.sent });
    },
  },
};
