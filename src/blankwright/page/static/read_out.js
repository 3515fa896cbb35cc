// The read-out along the foot: what is pointed at or picked, in figures readable from two metres.
import { desk, shown } from "blankwright-page/desk.js";
import { angle, figure, length } from "blankwright-page/figures.js";

export default {
  template: `
<footer class="bw-foot" :class="{two: desk.units === 'both'}" aria-live="off">
  <div class="bw-cell thing"><span class="bw-cell-name">{{ kind }}</span><span class="bw-cell-text">{{ title }}</span></div>
  <component v-for="cell in cells" :key="cell.name" :is="has(cell.trail) ? 'button' : 'div'" :type="has(cell.trail) ? 'button' : null" class="bw-cell" :class="{small: cell.small}"
    :aria-label="has(cell.trail) ? cell.name + ' ' + cell.text + '. Show where it comes from' : null" @click="go(cell)">
    <span class="bw-cell-name">{{ cell.name }}</span><span class="bw-cell-text">{{ cell.text.split(" [")[0] }}<small v-if="cell.text.includes(' [')">[{{ cell.text.split(" [")[1] }}</small></span>
  </component>
  <span class="hidden-label" aria-live="polite">{{ spoken }}</span>
</footer>`,
  data: () => ({ desk }),
  methods: {
    has(key) { return Boolean(key) && (this.desk.part?.trail || []).some((s) => s.key === key); },
    go(cell) { if (this.has(cell.trail)) Object.assign(this.desk, { trail: cell.trail, leaf: "trail" }); },
  },
  computed: {
    name() { return shown(); },
    kind() {
      if (!this.name) return "Blank";
      const word = this.name.split(" ")[0];
      return { bend: "Bend", flat: "Flat", hole: "Opening", size: "Size", blank: "Blank" }[word] || word;
    },
    title() {
      if (this.name && this.name !== "blank") return this.name.split(" ").slice(1).join(" ");
      return this.desk.part?.name || "";
    },
    thing() {
      const s = this.desk.scene;
      if (!s) return null;
      const [word, ...rest] = this.name.split(" ");
      const list = { bend: s.bends, flat: s.flats, hole: s.holes }[word];
      const name = rest.join(" ");
      const one = list?.find((t) => t.name === name);
      if (one || word !== "hole") return one || null;
      const row = list.filter((t) => t.name.startsWith(`${name}[`));
      return row.length ? { ...row[0], count: row.length } : null;
    },
    cells() {
      const units = this.desk.units;
      const s = this.desk.scene;
      const L = (v) => length(v, units);
      const t = this.thing;
      if (t && this.kind === "Bend") {
        return [
          { name: "Angle bent through", trail: [`bends.${t.name}.angle`, "bend_defaults.angle"].find(this.has), text: `${t.up ? "up" : "down"} ${angle(t.angle)}` },
          { name: "Inside radius", trail: [`bends.${t.name}.inside_radius`, "bend_defaults.inside_radius"].find(this.has), text: L(t.radius) },
          { name: "Bend allowance", trail: `${this.name}: allowance`, text: L(t.allowance) },
          ...(t.setback === null ? [] : [{ name: "Setback", trail: `${this.name}: setback on ${t.parent}`, text: L(t.setback) }]),
          { name: "Neutral axis, k", text: t.k.toFixed(4), trail: `${this.name}: neutral-axis factor` },
        ];
      }
      if (t && this.kind === "Opening") {
        return [
          { name: "What", text: t.kind, small: true },
          ...(t.diameter ? [{ name: "Diameter", text: L(t.diameter) }] : []),
          ...(t.drill ? [{ name: "Drill", text: t.drill }] : []),
          ...(t.count ? [{ name: "How many", text: String(t.count) }] : [
            { name: "Centre from left edge", text: L(t.center[0] - s.box[0]) },
            { name: "Centre from front edge", text: L(t.center[1] - s.box[1]) },
          ]),
        ];
      }
      if (t && this.kind === "Flat") {
        return [
          { name: "Along its bend", text: L(t.size[0]) },
          { name: "Away from it", text: L(t.size[1]) },
          { name: "Carried by", text: t.bend ? `bend ${t.bend}` : "stays put", small: true },
        ];
      }
      if (this.kind === "Size") {
        const row = this.desk.part?.sizes?.filter((r) => r.thing === this.name).sort((a, b) => (b.value !== null) - (a.value !== null))[0];
        if (row) {
          return [
            { name: "Worked out", trail: this.name, text: row.value === null ? "can't be read" : figure(row.value, row.kind, units) },
            { name: "As typed", text: row.typed },
            ...(row.origin ? [{ name: "From", text: row.origin, small: true }] : []),
          ];
        }
      }
      if (!s) return [{ name: "No blank", text: "See the findings", small: true }];
      return [
        { name: "Length", trail: "blank: along x", text: L(s.size[0]) },
        { name: "Width", trail: "blank: along y", text: L(s.size[1]) },
        { name: "Bends", text: String(s.bends.length) },
        { name: "Openings", text: String(s.holes.length) },
      ];
    },
    spoken() {
      if (!this.desk.picked) return "";
      return `${this.desk.picked}: ${this.cells.map((c) => `${c.name} ${c.text}`).join(", ")}`;
    },
  },
};
