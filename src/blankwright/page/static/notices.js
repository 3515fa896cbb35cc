// What the builder should know at once, in one line each.
import { desk } from "blankwright-page/desk.js";
import { wire } from "blankwright-page/wire.js";

export default {
  template: `
<div>
  <div v-for="(p, i) in desk.trouble" :key="'t' + i" class="bw-notice stop" role="alert">
    <span class="grow"><b>{{ p.code }}</b> {{ p.where }}: {{ p.got }}. {{ p.allowed ? 'Allowed: ' + p.allowed + '. ' : '' }}{{ p.fix }}</span>
    <button type="button" @click="desk.trouble = []">Seen</button></div>
  <div v-if="part?.gone" class="bw-notice stop" role="alert"><span class="grow"><b>The part file is gone from the disk.</b> Undo brings it back.</span></div>
  <div v-else-if="part?.problems.length" class="bw-notice stop" role="status">
    <span class="grow"><b>{{ part.problems.length === 1 ? "One thing can't be read." : part.problems.length + " things can't be read." }}</b>
      {{ part.stale ? "The pictures show the part as it was before." : "" }} {{ part.draft ? "What you typed is kept, but not in the file yet." : "" }}</span>
    <button type="button" @click="desk.leaf = 'findings'">Show</button></div>
  <div v-if="desk.notice" class="bw-notice note" role="status"><span class="grow">{{ desk.notice }}</span>
    <button type="button" @click="desk.notice = ''">Seen</button></div>
</div>`,
  data: () => ({ desk, wire }),
  computed: { part() { return this.desk.part; } },
};
