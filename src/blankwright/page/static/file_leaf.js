// The part file as text, in step with the sizes both ways. Comments and order are the builder's.
import { desk } from "blankwright-page/desk.js";
import { newGroup, wire } from "blankwright-page/wire.js";

export default {
  template: `
<div class="bw-file">
  <p class="bw-file-note" id="bw-file-note">{{ part.file }} · {{ part.draft ? "this text is kept, but not in the file yet: it can't be read" : "the file holds this text" }}</p>
  <div v-if="desk.clash?.place === ''" class="bw-wrong" role="alertdialog" aria-label="Two windows, one file"><b>The file was changed meanwhile</b>, in another window or program.
    <span class="bw-choice"><button type="button" @click="settle(true)">Use mine</button><button type="button" @click="settle(false)">Take theirs</button></span></div>
  <label for="bw-text" class="hidden-label">Part file</label>
  <textarea id="bw-text" class="bw-text" ref="text" spellcheck="false" autocomplete="off" aria-describedby="bw-file-note"
            :aria-invalid="part.draft ? 'true' : null" :value="own === null ? part.text : own"
            @focus="enter" @input="type($event.target.value)" @blur="leave"></textarea>
  <div v-for="(p, i) in part.problems || []" :key="i" class="bw-wrong"><b>{{ p.code }}</b> {{ p.where }}: {{ p.got }}. {{ p.fix }}</div>
  <div class="bw-kinds"><button v-if="!asking" type="button" :disabled="part.gone" @click="asking = true">Remove this part …</button>
    <template v-else><button type="button" class="strong" @click="wire.say('remove')">Remove {{ part.name }} from the project</button>
      <button type="button" @click="asking = false">Keep it</button></template></div>
</div>`,
  data: () => ({ desk, wire, asking: false, own: null, base: "", group: "" }),
  computed: { part() { return this.desk.part || {}; } },
  unmounted() { this.flush(); },
  methods: {
    enter() { this.base = this.part.text; this.group = newGroup(); },
    type(text) {
      if (!this.group) this.enter();
      this.own = text;
      clearTimeout(this.timer);
      this.timer = setTimeout(this.flush, 120);
    },
    flush() {
      clearTimeout(this.timer);
      if (this.own === null || this.own === this.base) return;
      wire.say("text", { text: this.own, base: this.base, group: this.group });
      this.base = this.own;
    },
    leave() { this.flush(); this.own = null; this.group = ""; },
    settle(mine) {
      const clash = this.desk.clash;
      this.desk.clash = null;
      this.own = null;
      if (mine) wire.say("text", { text: clash.mine, base: clash.theirs, group: newGroup() });
    },
  },
};
