"""In real time: a throttled processor, no network, a dead server, a hidden tab, a frozen page. What is measured is what the page
put on the audio clock, against the monotonic clock; not when this machine came round to look."""

import os
import shutil

import pytest

from tests.browser.piped import Display, Piped, why_not
from tests.browser.run_harness import SHORT
from tests.browser.test_run_page import PHONE, chromium, server

pytestmark = pytest.mark.browser
assert chromium
assert server  # fixtures
LATE_S = 0.050

# Every note that is set, and where the two clocks stand, ten times in a second.
LISTEN = """
window.notes = []; window.clocks = [];
const contexts = [];
const Old = window.AudioContext;
window.AudioContext = class extends Old { constructor(...a) { super(...a); contexts.push(this); } };
const start = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (at) {
  this.note = { at, hz: this.frequency.value, stopped: null };
  window.notes.push(this.note);
  return start.call(this, at);
};
const stop = OscillatorNode.prototype.stop;
OscillatorNode.prototype.stop = function (at) {
  if (at === undefined && this.note) this.note.stopped = this.context.currentTime;
  return stop.call(this, at);
};
setInterval(() => { for (const c of contexts) if (c.state === "running") window.clocks.push([performance.now() / 1000, c.currentTime]); }, 100);
"""
BEGUN = """async () => { const base = await new Promise((done) => {
  const asked = indexedDB.open("firstsheet-trays", 1); asked.onsuccess = () => done(asked.result); });
  const all = await new Promise((done) => { const a = base.transaction("marks").objectStore("marks").getAll(); a.onsuccess = () => done(a.result); });
  return all.find((m) => m.kind === "begun").wall_ms / 1000 - performance.timeOrigin / 1000; }"""


def due_of(step, until_s):
    """Onsets of the first note of each cue, by hand: in, ticks each 10 s, ready ten seconds before, lift, late at the window's end."""
    high = step.high_s
    ticks = [
        t for t in range(10, int(high) + 1, 10) if all(abs(t - c) >= 1 for c in (step.seconds, step.seconds - 10, high))
    ]
    return sorted(t for t in (0, step.seconds - 10, step.seconds, high, *ticks) if t < until_s)


def check(notes, clocks, begun_s, due):
    """No cue is missing and none is more than 50 ms from its time, but the first: it answers the hand."""
    assert len(clocks) > 5
    offset = min(real - audio for real, audio in clocks)  # the audio clock is told late, never early
    worst = max(real - audio for real, audio in clocks[len(clocks) // 2 :]) - min(
        real - audio for real, audio in clocks[len(clocks) // 2 :]
    )
    at = sorted(n["at"] + offset - begun_s for n in notes if n["stopped"] is None or n["stopped"] > n["at"])
    for t in due:
        near = min((abs(a - t) for a in at), default=99.0)
        assert near <= (2.0 if t == 0 else LATE_S), (t, near, worst, at)


def test_throttled_offline_and_the_server_dead(chromium, server):
    context = chromium.new_context(viewport=PHONE)
    page = context.new_page()
    page.add_init_script(LISTEN)
    page.goto(f"http://localhost:{server.port}/trays/SH0R")
    page.wait_for_selector("html[data-ready]")
    cdp = context.new_cdp_session(page)
    page.click("#begin")
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": 6})
    page.wait_for_timeout(1500)
    context.set_offline(True)
    server.kill()
    step = SHORT.steps[0]
    page.wait_for_timeout(1000 * (step.seconds + 3))
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    notes, clocks, begun_s = page.evaluate("window.notes"), page.evaluate("window.clocks"), page.evaluate(BEGUN)
    check(notes, clocks, begun_s, due_of(step, step.seconds + 2))
    assert page.inner_text("#noticed-sound") == ""
    page.hover("#act")
    page.mouse.down()
    page.wait_for_selector("#act:has-text('Into the stop')")
    page.mouse.up()
    page.wait_for_selector("#book:has-text('waiting for the book')")
    context.close()


def test_a_frozen_page_shows_the_true_time_when_it_wakes(chromium, server):
    context = chromium.new_context(viewport=PHONE)
    page = context.new_page()
    page.add_init_script(LISTEN)
    page.goto(f"http://localhost:{server.port}/trays/K7QD")
    page.wait_for_selector("html[data-ready]")
    cdp = context.new_cdp_session(page)
    page.click("#begin")
    page.wait_for_timeout(1000)
    cdp.send("Page.setWebLifecycleState", {"state": "frozen"})
    page.wait_for_timeout(6000)
    cdp.send("Page.setWebLifecycleState", {"state": "active"})
    page.wait_for_timeout(600)
    shown, gone = page.evaluate(
        f"""async () => {{ const begun = await ({BEGUN})(); const t = document.getElementById("time").textContent;
        return [t, performance.now() / 1000 - begun]; }}"""
    )
    minutes, seconds = shown.split(":")
    assert gone > 7
    assert 60 * int(minutes) + int(seconds) == pytest.approx(120 - gone, abs=1.5)
    context.close()


def test_a_hidden_tab_goes_on_sounding(server, tmp_path):
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    reason = why_not() or ("" if path else "no Chromium")
    if reason:
        pytest.skip(reason)
    display = Display()
    browser = Piped(path, tmp_path / "profile", display)
    try:
        page = browser.tab()
        browser.send("Page.enable", page)
        browser.send("Page.addScriptToEvaluateOnNewDocument", page, source=LISTEN)
        browser.send("Page.navigate", page, url=f"http://localhost:{server.port}/trays/SH0R")
        browser.until(page, "document.documentElement?.dataset.ready === 'yes'")
        assert browser.run(page, "document.hidden") is False
        browser.run(page, "document.getElementById('begin').click()")
        browser.until(page, "window.clocks.length > 3")
        browser.tab()  # another tab before it
        browser.until(page, "document.hidden")
        step = SHORT.steps[0]
        browser.until(page, f"({BEGUN})().then((b) => performance.now() / 1000 - b > {step.seconds + 3})", 40)
        assert browser.run(page, "document.hidden") is True
        notes, clocks = browser.run(page, "window.notes"), browser.run(page, "window.clocks")
        check(notes, clocks, browser.run(page, f"({BEGUN})()"), due_of(step, step.seconds + 2))
    finally:
        browser.close()
        display.close()
