// The parts on the rack, each on a slip with a small picture; and the way to a new part.
import { desk } from "blankwright-page/desk.js";
import { length } from "blankwright-page/figures.js";
import NewPart from "blankwright-page/new_part.js";
import Sign from "blankwright-page/sign.js";

export default {
  components: { NewPart, Sign },
  template: `
<div>
  <div class="bw-bar">
    <label for="bw-search">Find a part by name, drawing or alloy
      <input id="bw-search" type="search" v-model="find" autocomplete="off" /></label>
    <button type="button" class="strong" @click="making = true" ref="make">New part</button>
    <label class="key" for="bw-bring" style="flex: 0 0 auto">Bring in a STEP or DXF
      <input id="bw-bring" type="file" class="hidden-label" accept=".step,.stp,.dxf,.toml" @change="bring" /></label>
  </div>
  <p class="hidden-label" role="status">{{ shown.length }} of {{ parts.length }} parts shown</p>
  <ul class="bw-rack">
    <li v-for="part in shown" :key="part.name">
      <a class="bw-slip" :href="'/part/' + encodeURIComponent(part.name)">
        <span class="bw-picture" aria-hidden="true"><svg v-if="part.picture" :viewBox="window(part).join(' ')" preserveAspectRatio="xMidYMid meet">
          <path v-for="(f, i) in part.picture.facets" :key="i" :d="f.d" :style="{fill: tone(f.tone), stroke: f.bend ? tone(f.tone) : null}" fill-rule="evenodd" /></svg>
          <span v-else-if="!part.waiting">no picture</span></span>
        <span class="bw-slip-text"><strong>{{ part.title }}</strong>
          <span v-if="part.drawing">{{ part.drawing }}</span>
          <span v-if="part.alloy">{{ part.alloy }} · {{ L(part.thickness) }}</span>
          <span v-if="part.size">Blank {{ L(part.size[0]) }} × {{ L(part.size[1]) }}</span>
          <span class="bw-state"><template v-if="part.waiting">being read …</template><template v-else-if="part.problems"><sign level="stop" />can't be read</template>
            <template v-else-if="part.stops"><sign level="stop" />{{ part.stops }} to stop for</template>
            <template v-else-if="part.asks"><sign level="ask" />{{ part.asks }} to ask about</template>
            <template v-else>Free to make</template>
            <span v-if="part.out" class="bw-out">{{ part.out }}</span></span>
        </span></a>
    </li>
  </ul>
  <p v-if="!parts.length">No part yet. Begin with a starting shape, or drop a STEP or DXF file anywhere on this page.</p>
  <p v-else-if="!shown.length">No part has all of these words.</p>
  <new-part v-if="making" @close="close" />
</div>`,
  data: () => ({ desk, find: "", making: false }),
  computed: {
    parts() { return this.desk.project?.parts || []; },
    shown() {
      const words = this.find.toLowerCase().split(/\s+/).filter(Boolean);
      const text = (p) => [p.name, p.title, p.drawing, p.alloy, p.place].join(" ").toLowerCase();
      return this.parts.filter((p) => words.every((w) => text(p).includes(w)));
    },
  },
  methods: {
    L(v) { return length(v, this.desk.units); },
    tone(t) { return `color-mix(in srgb, var(--metal) ${Math.round(55 + 45 * t)}%, var(--ink))`; },
    // Of a part too long to be made out, the end that is nearest to the eye.
    window({ picture, size }) {
      const [x, y, w, h] = picture.box;
      const wide = 3.2 * Math.min(...size);
      const tall = wide * 0.9;
      if (w < 2.4 * wide) return picture.box;
      return [size[0] > size[1] ? x + w - wide : x, y + h - tall, wide, tall];
    },
    close() { this.making = false; this.$nextTick(() => this.$refs.make.focus()); },
    bring(event) {
      for (const file of event.target.files) window.dispatchEvent(new CustomEvent("bw-bring", { detail: file }));
      event.target.value = "";
    },
  },
};
