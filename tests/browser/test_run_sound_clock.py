"""The sound on a wrong clock: cues.js held against a made-up audio clock that drifts, stands still, is told in steps and late.

No real time passes, so a busy machine changes nothing. A cue is heard when the audio clock reaches what it was set to.
"""

import pytest

from firstsheet.trays.process import process_for
from firstsheet.trays.runpage import run_page
from tests.browser.test_run_page import chromium, open_page, server

pytestmark = pytest.mark.browser
assert chromium
assert open_page
assert server  # fixtures
LONG = process_for("paper_negative", "paper", "blue", "fibre")  # an hour's wash
TOLD_S = 0.050

# Runs one step on a made-up machine. ppm: how wrong the audio clock goes; stands: [[from, until], ...] in which it stands
# still; away: [[from, until], ...] in which the page is not looked at (frozen, hidden); every: seconds between looks.
MACHINE = """async ([tones, cues, ahead, until, ppm, stands, away, every, lag]) => {
  const { makeSound } = await import("/static/cues.js");
  let real = 0;
  let seed = 7;
  const chance = () => { seed = (seed * 16807) % 2147483647; return seed / 2147483647; };
  const stood = (t) => stands.reduce((sum, [a, b]) => sum + Math.max(0, Math.min(t, b) - a), 0);
  const audio = (t) => (t - stood(t)) * (1 + ppm * 1e-6) + 3.5;
  const nodes = [];
  const param = () => ({ value: 0, setValueAtTime() {}, linearRampToValueAtTime() {} });
  window.AudioContext = class {
    state = "running";
    destination = {};
    // told in steps of a buffer, and late, never early
    get currentTime() { return Math.floor((audio(real) - lag * chance()) / 0.0107) * 0.0107; }
    async resume() {}
    createGain() { return { gain: param(), connect: (x) => x }; }
    createOscillator() {
      const node = { frequency: param(), connect: (x) => x, set_s: null, made: real, stopped: Infinity,
        start(at) { this.set_s = at; }, stop(at) { if (at === undefined) this.stopped = real; } };
      nodes.push(node);
      return node;
    }
  };
  const sound = makeSound(tones, ahead, () => real);
  await sound.start();
  const missed = [];
  const heard = [];
  for (let look = 0; real < until; look += 1) {
    if (!away.some(([a, b]) => real >= a && real < b)) missed.push(...sound.look(cues));
    real += every;
  }
  // when each tone that was not taken back came out, in real time
  for (const node of nodes) {
    let lo = node.made;
    let hi = until;
    if (audio(hi) < node.set_s) continue;
    while (hi - lo > 1e-5) { const mid = (lo + hi) / 2; if (audio(mid) < node.set_s) lo = mid; else hi = mid; }
    if (node.stopped <= hi) continue;
    heard.push([hi, node.frequency.value]);
  }
  return { missed, heard: heard.sort((a, b) => a[0] - b[0]) };
}"""


def inside(step):
    """The cues while the sheet lies in the step: the end of a drain comes after a lift."""
    return [c for c in step["cues"] if c["kind"] != "drain_end"]


def heard_in(page, step, tones, until_s, ppm=0.0, stands=(), away=(), every=0.25, lag=0.02):
    given = [tones, inside(step), 150.0, until_s, ppm, list(stands), list(away), every, lag]
    return page.evaluate(MACHINE, given)


def onsets(step, tones, until_s):
    """When each note is due, and its pitch: by the step's cues and the shapes of the tones."""
    out = []
    for cue in inside(step):
        shape = tones[f"start {cue['number']}" if cue["kind"] == "start" else cue["kind"]]
        out += [(cue["at_s"] + n["at_s"], n["hz"]) for n in shape]
    return sorted(o for o in out if o[0] < until_s - 1)


@pytest.mark.parametrize("ppm", [200.0, -200.0, 0.0])
@pytest.mark.parametrize("every", [0.25, 1.0, 60.0], ids=["in sight", "hidden", "throttled to a minute"])
def test_an_hour_on_a_wrong_audio_clock(open_page, ppm, every):
    page = open_page()
    run = run_page(LONG, "K7QD", "")
    wash = run["steps"][-1]
    assert wash["seconds"] == 3600
    found = heard_in(page, wash, run["tones"], 3700.0, ppm, every=every)
    due = onsets(wash, run["tones"], 3700.0)
    heard = [h for h in found["heard"] if h[0] < 3699]
    assert [hz for _, hz in heard] == [hz for _, hz in due]  # every one, each once
    assert found["missed"] == []
    assert max(abs(h[0] - d[0]) for h, d in zip(heard, due, strict=True)) <= TOLD_S


@pytest.mark.parametrize("ppm", [200.0, -200.0])
def test_the_sound_stands_still_once(open_page, ppm):
    """From 100 s to 123 s no sound came out: “ready” at 110 s and “lift” at 120 s are told as missed, all others are in time."""
    page = open_page()
    run = run_page(process_for("paper_negative", "paper", "blue"), "K7QD", "")
    developer = run["steps"][0]
    assert developer["seconds"] == 120
    found = heard_in(page, developer, run["tones"], 250.0, ppm, stands=[[100.0, 123.0]])
    assert found["missed"] == ["ready", "lift"]
    due = [o for o in onsets(developer, run["tones"], 250.0) if not 99.9 <= o[0] < 123.5]
    heard = [h for h in found["heard"] if not 99.9 <= h[0] < 123.5 and h[0] < 249]
    assert [hz for _, hz in heard] == [hz for _, hz in due]
    assert max(abs(h[0] - d[0]) for h, d in zip(heard, due, strict=True)) <= TOLD_S


def test_a_page_away_for_longer_than_was_set_ahead_says_what_was_missed(open_page):
    """Nobody looks from 10 s to 3500 s: what was set ahead still sounds; the rest is told, and only “lift” and “late” come after."""
    page = open_page()
    run = run_page(LONG, "K7QD", "")
    wash = run["steps"][-1]
    found = heard_in(page, wash, run["tones"], 3595.0, away=[[10.0, 3592.0]])
    assert found["missed"] == ["ready"]
    assert heard_in(page, wash, run["tones"], 3650.0, away=[[10.0, 3610.0]])["missed"] == ["ready", "lift"]


TIME = """async ([steps]) => {
  const { makeTime } = await import("/static/time.js");
  let wall = 1e12;
  let tick = 0;
  const oldDate = Date.now;
  const oldTick = performance.now;
  Date.now = () => wall;
  performance.now = () => tick;
  try {
    const time = makeTime(false);
    return steps.map(([wall_by, tick_by, hidden, not_before]) => {
      wall += wall_by; tick += tick_by;
      let told = time.watch(hidden);
      if (not_before !== null) told = time.notBefore(1e12 + not_before) || told;
      return [time.now() - 1e12, told];
    });
  } finally { Date.now = oldDate; performance.now = oldTick; }
}"""


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        # in step
        ([(250, 250, False, None)] * 3, [(250, False), (500, False), (750, False)]),
        # set back by an hour: time goes on, and it is told once
        ([(250, 250, False, None), (-3_600_000 + 250, 250, False, None), (250, 250, False, None)], [(250, False), (500, True), (750, False)]),
        # set forward, or a sleep that nobody announced: the wall clock is believed, and it is told
        ([(250, 250, False, None), (60_000, 250, False, None), (250, 250, False, None)], [(250, False), (60_250, True), (60_500, False)]),
        # a sleep of a hidden page, in which the tick stood: believed
        ([(250, 250, True, None), (60_000, 10, False, None)], [(250, False), (60_250, False)]),
        # back from a reload on a clock that was set back: never before what has happened
        ([(250, 250, False, 90_000), (250, 250, False, 90_000)], [(90_000, True), (90_250, False)]),
    ],
)  # fmt: skip
def test_a_wrong_wall_clock(open_page, steps, expected):
    page = open_page(clock=False)
    told = page.evaluate(TIME, [steps])
    assert [(pytest.approx(at), said) for at, said in told] == expected
