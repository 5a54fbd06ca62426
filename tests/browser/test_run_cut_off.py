"""Alone: reloads, killed tabs, crashed renderers and dead servers at random moments; no mark is lost and none is doubled.

Twenty times in every run of the tests, a hundred with FIRSTSHEET_LONG=1.
"""

import contextlib
import os
import random

import pytest

from tests.browser.run_harness import BLACK_AND_WHITE
from tests.browser.test_run_page import PHONE, chromium, hold, pass_time, server, sync_api

pytestmark = pytest.mark.browser
assert chromium
assert server  # fixtures
TIMES = 100 if os.environ.get("FIRSTSHEET_LONG") else 20
CUTS = ("reload", "close", "crash", "server", "server and reload")
STORED = """async (code) => { const base = await new Promise((done) => {
  const asked = indexedDB.open("firstsheet-trays", 1); asked.onsuccess = () => done(asked.result); });
  return new Promise((done) => { const asked = base.transaction("marks").objectStore("marks").index("code").getAll(code);
    asked.onsuccess = () => { base.close(); done(asked.result.map((m) => [m.kind, m.step, m.id])); }; }); }"""


def opened(context, server, code):
    page = context.new_page()
    page.set_default_timeout(10_000)
    page.on("dialog", lambda asked: asked.accept())  # loaded again all the same, before its worker keeps it
    page.goto(f"http://localhost:{server.port}/trays/{code}")
    page.wait_for_selector("html[data-ready]")
    return page


def again(context, server, page, code, how):
    """The page as it comes back after the cut."""
    if how == "crash":
        with contextlib.suppress(sync_api.Error):  # no answer comes: the renderer is gone
            page.goto("chrome://crash", timeout=3000)
    if how in ("close", "crash"):
        page.close()
        return opened(context, server, code)
    if "server" in how:
        server.kill()
    if "reload" in how:
        page.reload()
        page.wait_for_selector("html[data-ready]")
    return page


@pytest.mark.parametrize("sure", [True, False], ids=["after it was told as noted", "at any moment"])
def test_cut_off_at_random(chromium, server, sure):
    rng = random.Random(20261128 + sure)
    context = chromium.new_context(viewport=PHONE)
    context.clock.install()
    lost = 0
    for turn in range(TIMES // 2):
        code = f"X{'S' if sure else 'A'}{turn:02d}"
        page = opened(context, server, code)
        how = rng.choice(CUTS)
        if "server" in how:
            page.wait_for_selector("#alone:has-text('goes on without')", state="attached")
        page.click("#begin")
        lifts = rng.randrange(0, 4)
        for step in BLACK_AND_WHITE.steps[:lifts]:
            pass_time(page, step.seconds)
            hold(page)
            pass_time(page, step.drain_s + rng.uniform(0, 2))
        made = lifts + 1
        if sure:  # two short notes, or the line about the book: it is on the phone's own store
            wait_stored(page, code, made)
        page.wait_for_timeout(rng.uniform(0, 30))
        page = again(context, server, page, code, how)
        stored = page.evaluate(STORED, code)
        assert len({i for _, _, i in stored}) == len(stored)
        if sure:
            assert len(stored) == made, (how, stored)
        else:
            assert made - 1 <= len(stored) <= made, (how, stored)  # the very last may not have been noted yet
        lost += made - len(stored)
        if stored and len(stored) - 1 < len(BLACK_AND_WHITE.steps):
            due = BLACK_AND_WHITE.steps[len(stored) - 1]
            assert page.get_attribute("#trays li[aria-current]", "data-step") == due.key, how
        if server._httpd is None:
            server.start()
        arrived(page, server, code, len(stored))
        assert sorted(set(server.by_code.get(code, []))) == sorted(i for _, _, i in stored)
        page.close(run_before_unload=False)
    assert sure or lost <= TIMES // 4  # a mark is on the store within a few milliseconds, mostly
    context.close()


def wait_stored(page, code, count):
    for _ in range(200):
        if len(page.evaluate(STORED, code)) >= count:
            return
        page.wait_for_timeout(5)
    raise AssertionError("it was never stored")


def arrived(page, server, code, count):
    for _ in range(200):
        if len(set(server.by_code.get(code, []))) >= count and (
            count == 0 or page.inner_text("#book").startswith("All in the book.")
        ):
            return
        page.clock.run_for(1000)
        page.wait_for_timeout(20)
    raise AssertionError(f"{page.inner_text('#book')} {server.by_code.get(code)}")
