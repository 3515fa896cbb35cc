// The three marks of findings. Their shapes differ, so that they need no colour.
const SHAPES = {
  stop: ["M11 2H23L32 11V23L23 32H11L2 23V11Z", "!"],
  ask: ["M17 1L33 17L17 33L1 17Z", "?"],
  note: ["M4 4H30V30H4Z", "n"],
};

export default {
  props: { level: String },
  template: `<svg class="bw-sign" :class="level" viewBox="0 0 34 34" aria-hidden="true">
    <path :d="shape[0]" /><text x="17" y="24" text-anchor="middle">{{ shape[1] }}</text></svg>`,
  computed: { shape() { return SHAPES[this.level] || SHAPES.note; } },
};

export const WORDS = { stop: "Stop", ask: "Ask", note: "Note" };
