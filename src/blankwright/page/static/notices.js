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
  <div v-if="desk.notice" class="bw-notice note" role="status"><span class="grow">{{ desk.notice }}</span>
    <button type="button" @click="desk.notice = ''">Seen</button></div>
</div>`,
  data: () => ({ desk, wire }),
  computed: { part() { return this.desk.part; } },
};
