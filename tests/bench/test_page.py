"""Speed of the page in a real browser; targets are DESIGN.md's, for two cores."""

from __future__ import annotations

import pytest

import samples
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import start_project
from blankwright.jobs.scene import scene_of
from browser_parts import ARGS, TRAY, Server, chromium_path

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser():
    sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
    with sync_api.sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(executable_path=chromium_path(), args=list(ARGS))
        except sync_api.Error as error:
            pytest.skip(f"no Chromium to drive: {str(error).splitlines()[0]}")
        yield browser
        browser.close()


@pytest.fixture
def server(tmp_path):
    start_project(tmp_path / "p", "Tarn 200")
    (tmp_path / "p/parts/battery-tray.toml").write_text(TRAY, encoding="utf-8")
    server = Server(tmp_path / "p")
    yield server
    server.kill()


def test_first_page(measured, browser, server):
    def run():
        server.start()
        page = browser.new_page()
        page.goto(server.url)
        page.wait_for_selector(".bw-slip")
        page.close()
        server.kill()

    measured("first page shown after the command", run, target="2 s", rounds=3)


def test_edit_to_picture(measured, browser, server):
    server.start()
    page = browser.new_page()
    page.goto(f"{server.url}/part/battery-tray")
    page.wait_for_selector(".bw-edge")
    sizes = iter(range(30, 10_000))

    def run():
        page.evaluate(
            """(size) => new Promise((done) => {
              const edge = document.querySelector(".bw-edge");
              new MutationObserver((_, me) => { me.disconnect(); done(); })
                .observe(edge, {attributes: true, attributeFilter: ["d"]});
              const field = document.getElementById("f-sizes.wall");
              field.focus();
              field.value = size + " mm";
              field.dispatchEvent(new Event("input"));
            })""",
            next(sizes),
        )

    measured("edit of a size to the new picture of the blank", run, target="100 ms")
    page.close()


def test_fold_frame(measured, browser, server):
    """60 frames of the fold of a busy part, drawn without a graphics card."""
    server.start()
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(f"{server.url}/part/battery-tray")
    page.wait_for_selector(".bw-edge")
    scene = scene_of(state_of(samples.busy()).blank)
    page.evaluate(
        """async (scene) => {
          const { desk } = await import("blankwright-page/desk.js");
          desk.scene = Object.freeze(scene);
        }""",
        scene,
    )
    page.wait_for_timeout(1000)

    def run():
        page.evaluate(
            """async () => {
              const { desk } = await import("blankwright-page/desk.js");
              const view = document.querySelector(".bw-form");
              for (let i = 0; i < 60; i++) {
                desk.fold = i / 60;
                const before = view.bwFrames();
                while (view.bwFrames() === before) await new Promise(requestAnimationFrame);
              }
            }"""
        )

    measured("60 frames of the fold, 12 bends, 200 holes", run, target="1 s", rounds=3)
    page.close()


def test_fold_given_to_the_graphics_card(measured, browser, server):
    """The part of a frame that is ours: folded, framed, and handed over; not the drawing itself."""
    server.start()
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(f"{server.url}/part/battery-tray")
    page.wait_for_selector(".bw-edge")
    page.evaluate(
        """async (scene) => {
          const { desk } = await import("blankwright-page/desk.js");
          desk.scene = Object.freeze(scene);
        }""",
        scene_of(state_of(samples.busy()).blank),
    )
    page.wait_for_timeout(1000)
    spent: list[float] = []

    def run():
        # Each frame is waited for before the next, outside of what is counted.
        spent.append(
            page.evaluate(
                """async () => {
                  const { desk } = await import("blankwright-page/desk.js");
                  const view = document.querySelector(".bw-form").bwView;
                  const gl = view.stage.renderer.getContext();
                  let spent = 0;
                  for (let i = 0; i < 60; i++) {
                    desk.fold = i / 60;
                    const begin = performance.now();
                    view.draw();
                    spent += performance.now() - begin;
                    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
                  }
                  return spent;
                }"""
            )
        )

    measured(
        "60 frames of the fold handed to the graphics card, 12 bends, 200 holes",
        run,
        target="1 s",
        rounds=3,
        spent=lambda: spent[-1] / 1e3,
    )
    page.close()


def test_fold_worked_out(measured, browser, server):
    """The part of a frame that is ours: every corner of a busy part folded anew."""
    server.start()
    page = browser.new_page()
    page.goto(f"{server.url}/part/battery-tray")
    page.wait_for_selector(".bw-edge")
    page.evaluate(
        """async (scene) => {
          const { Folded } = await import("blankwright-page/folded.js");
          const { place } = await import("blankwright-page/fold.js");
          const { THREE } = await import("nicegui-scene");
          const folded = new Folded(scene, new THREE.Scene());
          window.foldOnce = (share) => folded.fold(place(scene, () => share, false), false);
        }""",
        scene_of(state_of(samples.busy()).blank),
    )
    measured(
        "60 frames of the fold worked out, 12 bends, 200 holes",
        lambda: page.evaluate("() => { for (let i = 0; i < 60; i++) foldOnce(i / 60); }"),
        target="1 s",
    )
    page.close()
