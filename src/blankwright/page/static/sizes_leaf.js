// Sizes and features as typed. Every line of the part file that holds a value is a line here.
import { desk, lit, shown } from "blankwright-page/desk.js";
import { figure } from "blankwright-page/figures.js";
import { newGroup, wire } from "blankwright-page/wire.js";
import AddFeature from "blankwright-page/add_feature.js";
import TendGroup from "blankwright-page/tend_group.js";

export default {
  components: { AddFeature, TendGroup },
  template: `
<div>
  <p v-if="!part.groups" class="bw-wrong"><b>The part file can't be taken apart.</b> Mend it on the leaf <em>Part file</em>; the lines come back as soon as it reads.</p>
  <section v-for="group in part.groups || []" :key="group.name" class="bw-group" :aria-label="group.title">
    <h3 :class="{lit: litGroup(group)}">
      <button type="button" :aria-pressed="group.thing ? desk.picked === group.thing : null" :aria-expanded="opened === group.name" @click="open(group)"
              @mouseenter="over(group.thing)" @mouseleave="over('')">{{ group.title }}</button>
    </h3>
    <tend-group v-if="opened === group.name && tended(group)" :key="'tend ' + group.name" :group="group" />
    <div v-for="row in group.rows" :key="row.place" class="bw-line" :class="{lit: row.thing && lit(row.thing), plain: !row.kind && !row.choices, long: isLong(row)}"
         @mouseenter="over(row.thing || group.thing)" @mouseleave="over('')">
      <label :for="'f-' + row.place">{{ row.label }}</label>
      <select v-if="row.choices" :id="'f-' + row.place" :value="row.typed" @change="commit(row, $event.target.value)" @focus="enter(row)">
        <option v-for="choice in row.choices" :key="choice" :value="choice">{{ choice }}</option>
      </select>
      <input v-else type="text" :id="'f-' + row.place" class="figure" autocomplete="off" autocapitalize="off" spellcheck="false"
             :value="own?.place === row.place ? own.text : row.typed" :aria-invalid="row.wrong ? 'true' : null"
             :aria-describedby="row.wrong ? 'w-' + row.place : null"
             @focus="enter(row)" @input="type(row, $event.target.value)" @blur="leave(row)" @keydown.enter="$event.target.blur()" />
      <button v-if="row.kind && row.value !== null" type="button" class="bw-value" @click="trail(row)"
              :aria-label="row.label + ' is ' + show(row) + '. Show where it comes from'">{{ show(row) }}</button>
      <p v-if="row.wrong" class="bw-wrong" :id="'w-' + row.place"><b>Not in the file yet.</b> {{ row.wrong }}</p>
      <div v-if="desk.clash?.place === row.place" class="bw-wrong" role="alertdialog" aria-label="Two windows, one line">
        <b>Another window changed this line.</b> It now says “{{ desk.clash.theirs }}”; you typed “{{ desk.clash.mine }}”.
        <span class="bw-choice">
          <button type="button" @click="settle(row, true)">Use mine</button>
          <button type="button" @click="settle(row, false)">Keep “{{ desk.clash.theirs }}”</button>
        </span>
      </div>
    </div>
    <form v-if="group.name === 'sizes'" class="bw-line" @submit.prevent="add">
      <label for="f-new-name"><span class="hidden-label">Name of a new size</span>
        <input id="f-new-name" type="text" v-model="fresh.name" placeholder="new_size" autocomplete="off" spellcheck="false" /></label>
      <label for="f-new-value"><span class="hidden-label">Value of the new size</span>
        <input id="f-new-value" type="text" v-model="fresh.typed" placeholder="1-1/2 in" autocomplete="off" spellcheck="false" /></label>
      <button type="submit" :disabled="!fresh.name || !fresh.typed">Add size</button>
    </form>
  </section>
  <add-feature v-if="part.features?.length" />
  <aside class="bw-care" v-if="part.cautions?.length" aria-label="Cautions"><h3>Care</h3><ul><li v-for="c in part.cautions" :key="c">{{ c }}</li></ul></aside>
</div>`,
  data: () => ({ desk, own: null, opened: null, fresh: { name: "", typed: "" } }),
  computed: { part() { return this.desk.part || {}; } },
  watch: {
    // What is picked in the pictures comes into view here: not under the hand, nor while one types.
    "desk.picked"(name) {
      if (name && !this.own && !this.$el.matches(":hover")) this.$nextTick(() => this.$el.querySelector("h3.lit")?.scrollIntoView({ block: "nearest" }));
    },
    // What another window wrote shows up in a field that is focused with nothing left to send.
    part(now) {
      const own = this.own;
      if (!own || own.text !== own.base || now.by === own.group) return;
      own.text = own.base = this.find(own.place)?.typed ?? "";
    },
  },
  created() { this.longs = {}; },
  unmounted() { this.flush(); },
  methods: {
    lit,
    litGroup(group) { return Boolean(group.thing) && (lit(group.thing) || group.also.includes(shown())); },
    // A long formula has a line to itself, but not before one has left it: nothing moves under the hand.
    isLong(row) {
      if (this.own?.place !== row.place) this.longs[row.place] = !row.choices && row.typed.length > (row.kind ? 15 : 26);
      return this.longs[row.place];
    },
    find(place) { return (this.part.groups || []).flatMap((g) => g.rows).find((r) => r.place === place); },
    tended(group) { return group.named || group.gone || group.more.length || group.rows.some((r) => r.loose); },
    open(group) {
      this.opened = this.opened === group.name ? null : group.name;
      if (group.thing) this.desk.picked = this.opened === null ? "" : group.thing;
    },
    over(name) { this.desk.over = name || ""; },
    show(row) { return figure(row.value, row.kind, this.desk.units); },
    enter(row) {
      this.own = { place: row.place, text: row.typed, base: row.typed, group: newGroup() };
      if (row.thing) this.desk.picked = row.thing;
    },
    type(row, text) {
      if (!this.own || this.own.place !== row.place) this.enter(row);
      this.own.text = text;
      // At once when nothing was sent just now; while one types fast, every so often.
      clearTimeout(this.timer);
      const rest = 80 - (performance.now() - (this.sent || 0));
      if (rest <= 0) this.flush();
      else this.timer = setTimeout(this.flush, rest);
    },
    flush() {
      clearTimeout(this.timer);
      const own = this.own;
      if (!own || own.text === own.base) return;
      wire.say("set", { place: own.place, typed: own.text, seen: own.base, group: own.group });
      own.base = own.text;
      this.sent = performance.now();
    },
    leave() { this.flush(); this.own = null; },
    commit(row, typed) { wire.say("set", { place: row.place, typed, seen: row.typed, flag: row.type === "yes or no", group: newGroup() }); },
    settle(row, mine) {
      const clash = this.desk.clash;
      this.desk.clash = null;
      this.own = null;
      if (mine) wire.say("set", { place: clash.place, typed: clash.mine, seen: clash.theirs, group: newGroup() });
    },
    add() {
      wire.say("add_size", { ...this.fresh, group: newGroup() });
      this.fresh = { name: "", typed: "" };
    },
    trail(row) { this.desk.trail = row.trail || row.place; this.desk.leaf = "trail"; },
  },
};
