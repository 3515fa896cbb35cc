// Make the files of a part: blocked while a check says stop, proved before they are kept.
import { desk } from "blankwright-page/desk.js";
import { wire } from "blankwright-page/wire.js";

export default {
  template: `
<div class="bw-stack">
  <h2 class="hidden-label">Make</h2>
  <p v-if="stops.length || part.problems?.length" class="bw-wrong"><b>Blocked.</b>
    {{ part.problems?.length ? "The part file can't be read." : stops.length + (stops.length === 1 ? " finding says stop." : " findings say stop.") }}
    No file is made until that is dealt with, or let pass with a written reason.
    <button type="button" @click="desk.leaf = 'findings'">Show findings</button></p>
  <div v-if="made.busy" class="bw-work" role="status"><b>{{ made.busy }}</b><span v-if="made.of">{{ made.done }} of {{ made.of }} done</span>
    <progress aria-label="Making the files" :value="made.of ? made.done : null" :max="made.of || null"></progress>
    <button type="button" @click="wire.say('cancel')">Cancel</button></div>
  <button v-else type="button" class="strong" :disabled="blocked" @click="wire.say('make')">Make the files: blank, prints, paper model, formed part, traveler</button>
  <p v-if="made.word">{{ made.word }}</p>
  <ul class="bw-made" aria-label="Files made">
    <li v-for="file in made.files || []" :key="file.name"><a :href="file.address" target="_blank"><span>{{ file.name }}</span><span>{{ file.size }}</span></a></li>
  </ul>
  <p><a style="display: inline-flex; align-items: center; min-height: 44px" :href="'/compare/' + encodeURIComponent(part.name)">Hold the blank against somebody else's flat drawing</a></p>
  <aside class="bw-care"><h3>Before you cut</h3><ul>
    <li>Measure the scale bars of every print with a steel rule.</li>
    <li>Make the paper model first, then a coupon, then the part.</li>
    <li>Machine files: a dry run above the work before anything is cut.</li></ul></aside>
</div>`,
  data: () => ({ desk, wire }),
  computed: {
    part() { return this.desk.part || {}; },
    made() { return this.part.made || {}; },
    stops() { return (this.part.findings || []).filter((f) => f.level === "stop" && !f.overridden); },
    blocked() { return this.part.files !== "Free"; },
  },
};
