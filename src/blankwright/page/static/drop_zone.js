// Files dropped anywhere on the page go to the server of this machine, and nowhere else.
import { desk } from "blankwright-page/desk.js";

export default {
  template: `<div class="bw"><div v-if="over" class="bw-drop">Drop a STEP or DXF file to bring a part in</div>
    <div v-if="busy" class="bw-drop" role="status">Bringing in {{ busy }} …</div></div>`,
  data: () => ({ desk, over: false, busy: "", depth: 0 }),
  mounted() {
    const files = (event) => [...(event.dataTransfer?.types || [])].includes("Files");
    this.on = {
      dragenter: (event) => { if (files(event)) { this.depth += 1; this.over = true; event.preventDefault(); } },
      dragover: (event) => { if (files(event)) event.preventDefault(); },
      dragleave: () => { this.depth = Math.max(0, this.depth - 1); if (!this.depth) this.over = false; },
      drop: (event) => {
        if (!files(event)) return;
        event.preventDefault();
        this.depth = 0;
        this.over = false;
        for (const file of event.dataTransfer.files) this.send(file);
      },
      "bw-bring": (event) => this.send(event.detail),
    };
    for (const [name, act] of Object.entries(this.on)) window.addEventListener(name, act);
  },
  unmounted() { for (const [name, act] of Object.entries(this.on)) window.removeEventListener(name, act); },
  methods: {
    async send(file) {
      this.busy = file.name;
      this.desk.trouble = [];
      try {
        const answer = await fetch(`/bring-in?name=${encodeURIComponent(file.name)}`, { method: "POST", body: file });
        const said = await answer.json();
        if (answer.ok) location.href = `/part/${encodeURIComponent(said.part)}`;
        else this.desk.trouble = said.problems;
      } catch {
        this.desk.trouble = [{ code: "PAGE-009", where: file.name, got: "the program did not answer", allowed: "", fix: "Start blankwright again and drop the file once more." }];
      } finally {
        this.busy = "";
      }
    },
  },
};
