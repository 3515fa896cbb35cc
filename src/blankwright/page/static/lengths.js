// Lengths on plain pages, in the units the builder wants. What is marked with bw-lengths holds
// lengths in mm that we have worked out; with bw-prose besides, it is prose, where inches are added
// but nothing is taken away ("a 3.2 mm drill" is a name). What was typed or printed elsewhere is
// not marked, or marked with bw-typed within. MM_PER_INCH is set by the server before this runs.
(() => {
  const KEEP = "blankwright";
  // One length with its unit. Not the last of several numbers that share one unit ("3 x 4 mm"), not
  // a compound unit, and not one whose inches are there already.
  const LENGTH = /(?<![\d.\w])(?<!\d\s?(?:[×x,±–+/-]|and|or|to)\s?)(\d+(?:\.\d+)?)([ \u00a0])mm(?![\w²³/])(?!\s?[[(][^)\]]*\bin[)\]])/g;
  const own = new WeakMap(); // of each text: as it came, and as we wrote it
  const kept = () => {
    try {
      return JSON.parse(localStorage.getItem(KEEP)) || {};
    } catch {
      return {};
    }
  };
  const inches = (typed) => {
    const digits = Math.max(3, (typed.split(".")[1] || "").length + 1);
    return (Number(typed) / MM_PER_INCH + 1e-9).toFixed(digits);
  };
  const said = (text, units) => text.replace(LENGTH, (all, mm, gap) => {
    if (units === "in") return `${inches(mm)}${gap}in`;
    return units === "both" ? `${all} [${inches(mm)}${gap}in]` : all;
  });
  const write = (node, wanted) => {
    const about = node.parentElement;
    if (!about || about.closest(".bw-typed, input, textarea, select, script, style")) return;
    const units = wanted === "in" && about.closest(".bw-prose") ? "both" : wanted;
    const known = own.get(node);
    const came = known && known.wrote === node.data ? known.came : node.data;
    const wrote = units === "mm" ? came : said(came, units);
    own.set(node, { came, wrote });
    if (node.data !== wrote) node.data = wrote;
  };
  const under = (root, units) => {
    if (root.nodeType === Node.TEXT_NODE) {
      if (root.parentElement?.closest(".bw-lengths")) write(root, units);
      return;
    }
    if (root.nodeType !== Node.ELEMENT_NODE) return;
    const marked = root.closest(".bw-lengths") ? [root] : root.querySelectorAll(".bw-lengths");
    for (const one of marked) {
      const walk = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
      while (walk.nextNode()) write(walk.currentNode, units);
    }
  };
  const all = () => {
    const units = kept().units || "mm";
    under(document.body, units);
    for (const key of document.querySelectorAll("[data-units]")) {
      key.setAttribute("aria-pressed", String(key.dataset.units === units));
    }
  };
  addEventListener("DOMContentLoaded", () => {
    all();
    new MutationObserver((changes) => {
      const units = kept().units || "mm";
      for (const change of changes) {
        if (change.type === "characterData") under(change.target, units);
        else change.addedNodes.forEach((node) => under(node, units));
      }
    }).observe(document.body, { childList: true, characterData: true, subtree: true });
  });
  addEventListener("click", (event) => {
    const units = event.target.closest?.("[data-units]")?.dataset.units;
    if (!units) return;
    try {
      localStorage.setItem(KEEP, JSON.stringify({ ...kept(), units }));
    } catch {}
    all();
  });
  addEventListener("bw-units", all); // the switch of the part's head
})();
