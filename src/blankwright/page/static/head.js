// The head of the card: what a traveler's head says, and the keys that every view has.
import { applyLight, desk, keep } from "blankwright-page/desk.js";
import { length } from "blankwright-page/figures.js";
import { wire } from "blankwright-page/wire.js";

const LIGHTS = { auto: "dark", dark: "light", light: "auto" };

export default {
  props: { home: Boolean, ways: Array },
  template: `
<header class="bw-head">
  <div v-if="!home" class="bw-skips"><button v-for="(at, name) in skips" :key="name" type="button" @click="skip(at)">{{ name }}</button></div>
  <nav class="bw-ways" aria-label="Views"><a v-for="way in ways" :key="way.title" :href="way.address" :aria-current="way.here ? 'page' : null">{{ way.title }}</a></nav>
  <template v-if="home">
    <div class="bw-box wide"><span class="bw-box-name">Project</span><h1 class="bw-box-text">{{ project.title }}</h1></div>
    <div class="bw-box"><span class="bw-box-name">Parts</span><span class="bw-box-text">{{ project.parts.length }}</span></div>
    <div class="bw-box"><span class="bw-box-name">Stopped</span><span class="bw-box-text">{{ project.parts.filter(p => p.stops).length }}</span></div>
  </template>
  <template v-else>
    <div class="bw-box wide"><span class="bw-box-name">Part</span><h1 class="bw-box-text" :class="{long: (part.title || '').length > 16}" :title="part.title">{{ part.title || part.name }}</h1></div>
    <div class="bw-box" v-if="part.drawing"><span class="bw-box-name">Drawing</span><span class="bw-box-text">{{ part.drawing }}</span></div>
    <div class="bw-box" v-if="part.alloy"><span class="bw-box-name">Sheet</span><span class="bw-box-text">{{ part.alloy }} · {{ thick }}</span></div>
    <div class="bw-box"><span class="bw-box-name">Files</span><span class="bw-box-text">{{ part.files === "Free" ? "Free to make" : part.files }}</span></div>
  </template>
  <div class="bw-keys" role="group" aria-label="Page keys">
    <button type="button" @click="wire.say('undo')" :disabled="!undo" :aria-label="undo ? 'Undo: ' + undo : 'Undo: nothing to undo'" :title="undo">Undo</button>
    <button type="button" @click="wire.say('redo')" :disabled="!redo" :aria-label="redo ? 'Redo: ' + redo : 'Redo: nothing to redo'" :title="redo">Redo</button>
    <span class="bw-switch" role="group" aria-label="Show lengths in">
      <button v-for="unit in ['mm', 'in', 'both']" :key="unit" type="button" :aria-pressed="desk.units === unit" @click="keep('units', unit)">{{ unit }}</button>
    </span>
    <button type="button" @click="light" :aria-label="'Light: ' + desk.light + '. Change to ' + next">{{ desk.light === 'auto' ? 'Light: auto' : desk.light === 'dark' ? 'Dark' : 'Light' }}</button>
    <button type="button" @click="print">Print</button>
  </div>
</header>`,
  data: () => ({ desk, wire, skips: { "To the card": ".bw-tabs [aria-selected=true]", "To the formed part": ".bw-solid canvas", "To the blank": ".bw-paper" } }),
  computed: {
    part() { return this.desk.part || {}; },
    project() { return this.desk.project || { title: "", parts: [] }; },
    undo() { return this.home ? this.project.undo : this.part.undo; },
    redo() { return this.home ? this.project.redo : this.part.redo; },
    next() { return LIGHTS[this.desk.light]; },
    thick() { return this.part.thickness ? length(this.part.thickness, this.desk.units) : ""; },
  },
  methods: {
    keep,
    light() { keep("light", this.next); applyLight(); },
    print() { window.print(); },
    skip(at) { document.querySelector(at)?.focus(); },
  },
};
