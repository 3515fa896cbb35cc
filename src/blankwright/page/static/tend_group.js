// What can be done with a group of the form: name it anew, take it out, add and take out lines.
import { desk } from "blankwright-page/desk.js";
import { newGroup, wire } from "blankwright-page/wire.js";

export default {
  props: { group: Object },
  template: `
<div class="bw-tend" role="group" :aria-label="'Change ' + group.title">
  <form v-if="group.named" @submit.prevent="say('rename', { place: group.place, name })">
    <input type="text" v-model="name" :aria-label="'New name of ' + group.title" autocomplete="off" spellcheck="false" />
    <button type="submit" :disabled="!name.trim() || name === own">Rename</button>
    <button v-if="group.gone" type="button" @click="say('take_out', { place: group.place })">Remove {{ group.title.toLowerCase() }}</button></form>
  <form v-if="group.more.length" @submit.prevent="add">
    <select v-model="place" :aria-label="'Line to add to ' + group.title"><option value="" disabled>Add a line …</option>
      <option v-for="m in group.more" :key="m.place" :value="m.place">{{ m.label }}</option></select>
    <template v-if="one"><select v-if="one.choices.length" v-model="typed" :aria-label="one.label"><option v-for="c in one.choices" :key="c" :value="c">{{ words[c] || c }}</option></select>
      <input v-else type="text" v-model="typed" class="figure" :aria-label="one.label" autocomplete="off" spellcheck="false" />
      <button type="submit" :disabled="!typed.trim()">Add</button></template></form>
  <form v-if="loose.length" @submit.prevent="out">
    <select v-model="gone" :aria-label="'Line to take out of ' + group.title"><option value="" disabled>Take a line out …</option>
      <option v-for="r in loose" :key="r.place" :value="r.place">{{ r.label }}</option></select>
    <button v-if="gone" type="submit">Take out</button></form>
</div>`,
  data() {
    const own = this.group.title.split(" ").pop();
    return { desk, own, name: own, place: "", typed: "", gone: "", words: { true: "yes", false: "no" } };
  },
  computed: {
    one() { return this.group.more.find((m) => m.place === this.place); },
    loose() { return this.group.rows.filter((r) => r.loose); },
  },
  watch: { place() { this.typed = this.one?.choices[0] || ""; } },
  methods: {
    say(what, data) { this.desk.trouble = []; wire.say(what, { ...data, group: newGroup() }); },
    add() { this.say("add_line", { place: this.place, typed: this.typed }); this.place = ""; },
    out() { this.say("take_out", { place: this.gone }); this.gone = ""; },
  },
};
