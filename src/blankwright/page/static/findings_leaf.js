// Findings: what was found, what it is held against, and what to do.
import { desk, lit, pick, things } from "blankwright-page/desk.js";
import { newGroup, wire } from "blankwright-page/wire.js";
import Sign, { WORDS } from "blankwright-page/sign.js";

export default {
  components: { Sign },
  template: `
<div>
  <h2 class="hidden-label">Findings</h2>
  <article v-for="(p, i) in part.problems || []" :key="'p' + i" class="bw-finding stop">
    <header><span class="bw-level"><sign level="stop" />Can't be read</span><span class="bw-code">{{ p.code }}</span></header>
    <dl><dt>Where</dt><dd>{{ p.where }}</dd><dt>Found</dt><dd>{{ p.got }}</dd>
      <template v-if="p.allowed"><dt>Allowed</dt><dd>{{ p.allowed }}</dd></template>
      <template v-if="p.fix"><dt>Do</dt><dd>{{ p.fix }}</dd></template></dl>
  </article>
  <article v-for="f in together" :key="f.key" class="bw-finding" :class="f.overridden ? 'note' : f.level"
           @mouseenter="f.places.length === 1 && (desk.over = known(f.place))" @mouseleave="desk.over = ''">
    <header><span class="bw-level"><sign :level="f.level" />{{ words[f.level] }}<template v-if="f.overridden">, let pass</template></span>
      <template v-for="place in f.places" :key="place"><button v-if="known(place)" type="button" class="bw-tool" :aria-pressed="desk.picked === place" @click="pick(place)"
          @mouseenter="desk.over = place" @mouseleave="f.places.length > 1 && (desk.over = '')">{{ place }}</button>
      <span v-else>{{ place }}</span></template><span class="bw-code">{{ f.code }}</span></header>
    <dl class="bw-lengths bw-prose"><dt>Found</dt><dd>{{ f.got }}</dd>
      <template v-if="f.limit"><dt>Limit</dt><dd>{{ f.limit }}</dd></template>
      <template v-if="f.source"><dt>Source</dt><dd>{{ f.source }}</dd></template>
      <template v-if="f.fix"><dt>Do</dt><dd>{{ f.fix }}</dd></template>
      <template v-if="f.overridden"><dt>Reason</dt><dd>{{ f.overridden }}</dd></template></dl>
    <div v-if="f.overridden" class="bw-do"><button type="button" @click="hold(f)">Hold it up again</button></div>
    <form v-else-if="f.level === 'stop'" class="bw-do" @submit.prevent="pass(f)">
      <label :for="'why-' + f.key">No file is made while this stands. To let it pass, write why, and on whose word:</label>
      <input type="text" :id="'why-' + f.key" v-model="reasons[f.key]" autocomplete="off" />
      <button type="submit" :disabled="!(reasons[f.key] || '').trim().includes(' ')">Let it pass, with this reason</button>
    </form>
  </article>
  <p v-if="!(part.findings?.length || part.problems?.length)">Nothing found against this part. The checks know the sheet, not the airplane: hold the part against its drawing.</p>
</div>`,
  data: () => ({ desk, words: WORDS, reasons: {} }),
  computed: {
    part() { return this.desk.part || {}; },
    // What says the same of several places stands once; a stop by itself, to be dealt with by itself.
    together() {
      const groups = new Map();
      for (const f of this.part.findings || []) {
        const own = f.level === "stop" || f.overridden ? f.key : "";
        const said = JSON.stringify([f.code, f.level, f.got, f.limit, f.source, f.fix, own]);
        if (groups.has(said)) groups.get(said).places.push(f.place);
        else groups.set(said, { ...f, places: [f.place] });
      }
      return [...groups.values()];
    },
  },
  methods: {
    lit, pick,
    // What can be lit: a thing, what the place names, or the point that the finding is about.
    known(place) {
      const part = this.part;
      const at = (part.findings || []).some((f) => f.place === place && f.at);
      return at || part.lights?.[place] || things(this.desk.scene).includes(place) ? place : "";
    },
    pass(f) { wire.say("pass", { code: f.code, place: f.place, reason: this.reasons[f.key].trim(), group: newGroup() }); },
    hold(f) { wire.say("hold", { code: f.code, place: f.place, group: newGroup() }); },
  },
};
