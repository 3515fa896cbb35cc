// The card: sizes and features as typed, the part file itself, findings, and where numbers come from.
import { desk } from "blankwright-page/desk.js";
import FileLeaf from "blankwright-page/file_leaf.js";
import FindingsLeaf from "blankwright-page/findings_leaf.js";
import MakeLeaf from "blankwright-page/make_leaf.js";
import Sign from "blankwright-page/sign.js";
import SizesLeaf from "blankwright-page/sizes_leaf.js";
import TrailLeaf from "blankwright-page/trail_leaf.js";

const LEAVES = { sizes: "Sizes", findings: "Findings", file: "Part file", trail: "Trail", make: "Make" };

export default {
  components: { Sign, FileLeaf, FindingsLeaf, MakeLeaf, SizesLeaf, TrailLeaf },
  template: `
<section class="bw-card" aria-label="Card">
  <div class="bw-tabs" role="tablist" aria-label="Leaves of the card" @keydown="key">
    <button v-for="(name, leaf) in leaves" :key="leaf" type="button" role="tab" :id="'tab-' + leaf" aria-controls="bw-leaf"
            :aria-selected="now === leaf" :tabindex="now === leaf ? 0 : -1" @click="desk.leaf = leaf">
      {{ name }}<template v-if="leaf === 'findings' && count">&nbsp;{{ count }}<sign v-if="worst" :level="worst" style="margin-left: 6px; width: 28px; height: 28px" /><span class="hidden-label">, worst: {{ worst }}</span></template>
    </button>
  </div>
  <div class="bw-leaf" id="bw-leaf" role="tabpanel" :aria-labelledby="'tab-' + now" tabindex="-1" ref="leaf">
    <sizes-leaf v-if="now === 'sizes'" /><findings-leaf v-else-if="now === 'findings'" />
    <file-leaf v-else-if="now === 'file'" /><trail-leaf v-else-if="now === 'trail'" /><make-leaf v-else />
  </div>
</section>`,
  data: () => ({ desk, leaves: LEAVES }),
  computed: {
    now() { return this.desk.leaf || "sizes"; },
    count() { return (this.desk.part?.findings?.length || 0) + (this.desk.part?.problems?.length || 0) || ""; },
    worst() {
      const part = this.desk.part || {};
      if (part.problems?.length) return "stop";
      const open = (part.findings || []).filter((f) => !f.overridden).map((f) => f.level);
      return ["stop", "ask", "note"].find((level) => open.includes(level)) || "";
    },
  },
  watch: { now() { this.$nextTick(() => { if (this.now !== "trail") this.$refs.leaf.scrollTop = 0; }); } },
  methods: {
    key(event) {
      const names = Object.keys(LEAVES);
      const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (!by) return;
      this.desk.leaf = names[(names.indexOf(this.now) + by + names.length) % names.length];
      this.$nextTick(() => document.getElementById(`tab-${this.now}`)?.focus());
    },
  },
};
