"""What every view of the page has: our look, and no light flash before it is read."""

from __future__ import annotations

from functools import cache

from nicegui import ui

from blankwright.page.elements import STATIC

EARLY = """
<script>
(() => {
  let light = "auto";
  try { light = JSON.parse(localStorage.getItem("blankwright"))?.light || "auto"; } catch {}
  const dark = matchMedia("(prefers-color-scheme: dark)").matches;
  if (light === "auto") light = dark ? "dark" : "light";
  document.documentElement.dataset.light = light;
  document.documentElement.style.colorScheme = light;
})();
</script>
"""


@cache
def _style() -> str:
    return f"<style>{(STATIC / 'look.css').read_text(encoding='utf-8')}</style>"


def dress() -> None:
    """Put our look on the view that is being built."""
    ui.add_head_html(_style() + EARLY)
