([text, touch]) => {
  const seen = (e) => {
    const b = e.getBoundingClientRect();
    const hidden = getComputedStyle(e).visibility === "hidden" || e.closest(".hidden-label");
    return b.width > 1 && b.height > 1 && !hidden;
  };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    const said = walk.currentNode.textContent.trim();
    if (!said || !e.closest(".bw") || !seen(e)) continue;
    if (e.closest("svg.bw-shape, svg.bw-big-shape, .bw-measure svg, script, style")) continue;
    const size = parseFloat(getComputedStyle(e).fontSize);
    if (size < text) found.push(`${size} px: ${said.slice(0, 40)}`);
  }
  for (const e of document.querySelectorAll(".bw button, .bw select, .bw input, .bw a")) {
    // What stands within a line of text is pressed with the line.
    if (!seen(e) || e.type === "file" || e.matches("a.bw-box-text, .bw-value")) continue;
    const high = e.getBoundingClientRect().height;
    if (high < touch - 0.5) found.push(`low ${high}: ${e.outerHTML.slice(0, 80)}`);
  }
  if (document.documentElement.scrollWidth > innerWidth) found.push("the page scrolls sideways");
  const parts = [".bw-head *", ".bw-tabs *", ".bw-caption *", ".bw-fold *", ".bw-foot *"];
  for (const e of document.querySelectorAll(parts.join(", "))) {
    const over = e.getBoundingClientRect().right > innerWidth + 1;
    if (seen(e) && over) found.push(`sticks out: ${e.outerHTML.slice(0, 80)}`);
  }
  return found;
}
