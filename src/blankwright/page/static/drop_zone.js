// Files dropped anywhere on the page go to the server of this machine, and nowhere else.
import BringSheet from "blankwright-page/bring_sheet.js";
import { desk } from "blankwright-page/desk.js";

export default {
  components: { BringSheet },
  template: `<div class="bw"><div v-if="over" class="bw-drop">Drop a STEP or DXF file to bring a part in</div>
    <div v-if="busy && !found" class="bw-drop" role="status">Looking at {{ busy }} …</div>
    <bring-sheet v-if="found" :found="found" :trouble="trouble" :busy="Boolean(busy)" @again="send(file, $event, false)" @keep="send(file, $event, true)" @close="close" /></div>`,
  data: () => ({ desk, over: false, busy: "", depth: 0, found: null, file: null, waiting: [], trouble: [] }),
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
        for (const file of event.dataTransfer.files) this.take(file);
      },
      "bw-bring": (event) => this.take(event.detail),
    };
    for (const [name, act] of Object.entries(this.on)) window.addEventListener(name, act);
  },
  unmounted() { for (const [name, act] of Object.entries(this.on)) window.removeEventListener(name, act); },
  methods: {
    take(file) {
      if (this.found || this.busy) this.waiting.push(file);
      else this.send(file, {}, false);
    },
    async send(file, stated, keep) {
      this.busy = file.name;
      this.file = file;
      this.desk.trouble = [];
      this.trouble = [];
      try {
        const answer = await fetch(`/bring-in?name=${encodeURIComponent(file.name)}&keep=${keep}`, {
          method: "POST", body: file, headers: { "X-Stated": encodeURIComponent(JSON.stringify(stated)) },
        });
        const said = await answer.json();
        if (!answer.ok) this.tell(said.problems);
        else if (said.part) location.href = `/part/${encodeURIComponent(said.part)}`;
        else this.found = said;
      } catch {
        this.tell([{ code: "PAGE-009", where: file.name, got: "the program did not answer", allowed: "", fix: "Start blankwright again and drop the file once more." }]);
      } finally {
        this.busy = "";
      }
      if (!this.found) this.next();
    },
    tell(problems) {
      if (this.found) this.trouble = problems;
      else this.desk.trouble = problems;
    },
    close() { this.found = null; this.file = null; this.next(); },
    next() { const file = this.waiting.shift(); if (file) this.send(file, {}, false); },
  },
};
