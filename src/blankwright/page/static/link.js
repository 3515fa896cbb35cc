// The one wire to the server: states come in, what the builder does goes out.
import { desk, applyLight } from "blankwright-page/desk.js";
import { setFactor } from "blankwright-page/figures.js";
import { wire } from "blankwright-page/wire.js";

export default {
  template: `<span class="hidden-label" role="status" aria-live="polite">{{ said }}</span>`,
  props: { first: Object },
  data: () => ({ said: "" }),
  created() {
    wire.say = (what, data = {}) => this.$emit("say", { what, ...data });
    this.take(this.first);
    this.keys = (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
      const key = event.key.toLowerCase();
      const what = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : "";
      if (!what) return;
      event.preventDefault();
      document.activeElement?.blur?.();
      wire.say(what);
    };
    window.addEventListener("keydown", this.keys);
    applyLight();
  },
  unmounted() { window.removeEventListener("keydown", this.keys); },
  methods: {
    take(state) {
      if (!state) return;
      if (state.mm_per_inch) setFactor(state.mm_per_inch);
      if ("scene" in state) desk.scene = state.scene && Object.freeze(state.scene);
      if (state.part) desk.part = Object.freeze(state.part);
      if (state.project) desk.project = Object.freeze(state.project);
      if (state.trouble) desk.trouble = state.trouble;
      if (state.said) this.said = desk.notice = state.said;
      else if (state.part) desk.notice = "";
      if (state.leaf) desk.leaf = state.leaf;
      desk.arrived = performance.now();
    },
    clash(data) { desk.clash = data; },
  },
};
