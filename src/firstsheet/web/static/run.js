// The page of a run. It shows; it does not compute: times, texts and tones are in the page, marks say what happened,
// and all that is done here is comparing and taking away times. Once loaded it needs no server.

import { makeSound } from "./cues.js";
import { darkPane } from "./darkpane.js";
import { makeHolds } from "./hold.js";
import { openOutbox } from "./outbox.js";
import { ENDS, where } from "./standing.js";
import { makeTime } from "./time.js";

const run = JSON.parse(document.getElementById("run-data").textContent);
const texts = run.texts;
const el = (id) => document.getElementById(id);
const root = document.documentElement;
const card = run.marks_url === ""; // a file without a server

const time = makeTime(document.hidden);
let notes = { missed: [], clock: false };
const wallNow = time.now;
const numberOf = (key) => run.steps.findIndex((s) => s.key === key);

// --- small helpers -------------------------------------------------------------------------------------------------

const fill = (text, words) => text.replace(/\{(\w+)\}/g, (_, key) => words[key]);
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
function say(node, text) { if (node.textContent !== text) node.textContent = text; }
function clock(seconds) {
  const whole = Math.max(0, Math.ceil(seconds - 0.001));
  return `${Math.trunc(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
const passed = (seconds) => clock(Math.floor(seconds + 0.001));

// --- light ---------------------------------------------------------------------------------------------------------

function show(light) {
  if (root.dataset.light === light) return;
  root.dataset.light = light;
  document.querySelector("meta[name=color-scheme]").content = light === "sun" ? "light" : "only dark";
  document.querySelector("meta[name=theme-color]").content = light === "sun" ? "#fbfaf6" : "#000000";
  el("dark").hidden = light !== "dark";
  if (light === "dark") el("dark").focus({ preventScroll: true });
}
const dark = () => root.dataset.light === "dark";
const holds = makeHolds(run.hold_ms, (node) => (dark() ? el("dark") : node ?? el("act")));

// --- the run -------------------------------------------------------------------------------------------------------

let box = null;
const nowS = () => {
  const begun = box.all().find((m) => m.kind === "begun");
  return begun ? (wallNow() - begun.wall_ms) / 1000 + begun.elapsed_s : 0;
};
function watchClock() {
  const set = time.watch(document.hidden);
  const begun = box.all().find((m) => m.kind === "begun");
  const latest = Math.max(0, ...box.all().map((m) => m.elapsed_s).filter(Number.isFinite));
  // the lead of a dark run lies ahead and is no fault of the clock
  const back = begun && latest > 0 && time.notBefore(begun.wall_ms + (latest - begun.elapsed_s) * 1000);
  notes.clock = notes.clock || set || Boolean(back);
}
const standing = () => where(run.steps, box.all(), nowS());
const sound = makeSound(run.tones, run.ahead_s, () => nowS());
const track = el("track");
const going = (s) => s.begun !== null && !ENDS.includes(s.state);

function mark(kind, step = "", wall_ms = wallNow(), elapsed_s = nowS()) {
  notes.missed = [];
  const stored = box.add(kind, step, Math.round(elapsed_s * 1000) / 1000, Math.round(wall_ms));
  draw();
  return stored;
}

async function begin() {
  el("begin").disabled = true;
  let begin_ms = wallNow();
  const heard = sound.start();
  if (run.dark) {
    try {
      await track.play();
    } catch {
      el("begin").disabled = false;
      say(el("book"), texts.no_sound);
      return;
    }
    begin_ms = wallNow() + (run.dark.lead_s - track.currentTime) * 1000;
  }
  mark("begun", "", begin_ms, 0);
  scrollTo(0, 0);
  if (run.dark) show("dark");
  else stayAwake();
  await heard;
  draw();
}

function stayAwake() {
  if (!document.hidden && !dark()) navigator.wakeLock?.request("screen").catch(() => {});
}

function cuesNow(s) {
  const shift = (step) => step.cues.filter((c) => c.kind !== "drain_end").map((c) => ({ ...c, at_s: c.at_s + s.since_s }));
  if (s.state === "in") return shift(s.step);
  if (s.state === "paused") {
    const until_s = (s.step.pause === "waits" ? s.paused_s : s.since_s) + s.step.pause_most_s;
    return [{ at_s: until_s - run.ready_s, kind: "ready", number: s.number }, { at_s: until_s, kind: "late", number: s.number }];
  }
  if (s.state !== "draining") return [];
  const next = run.steps[s.number];
  return next ? shift(next) : [{ at_s: s.since_s, kind: "drain_end", number: s.number }];
}

// Two short notes say that it is noted, so they sound when it is on the phone's own store.
const noted = (stored) => stored.then((made) => { sound.confirm("kept"); return made; });
const kept = (kind, step) => noted(mark(kind, step));
function act() {
  const s = standing();
  if (s.state === "in") kept("lifted", s.step.key);
  else if (s.state === "paused") kept("resumed", s.step.key);
  else if (s.state === "aside") { const { on } = answerOf(s); kept(on ? "resumed" : "abandoned", on); }
  else if (s.state === "done") kept("finished");
}
function takeBack() {
  const s = standing();
  if (s.lift) kept("taken_back", run.steps[s.lift.at].key);
}
// The step the sheet should be in, or goes into next.
const dueOf = (s) => (s.state === "draining" ? run.steps[s.number] : s.step) ?? null;
const answerOf = (s) => run.wrong[s.step.key]?.[s.aside.key] ?? { means: "", do: s.step.entering, on: s.step.key, stays: false };
const unsafe = (s) => s.lit_s !== null && Boolean(s.step?.lit_means);
async function wentInto(key) {
  const s = standing();
  const due = dueOf(s);
  if (!due || !going(s)) return;
  const { stays, on } = run.wrong[due.key]?.[key] ?? {};
  const wall_ms = wallNow();
  const at_s = nowS();
  const marked = noted(mark("wrong_tray", key, wall_ms, at_s));
  if (stays) mark("resumed", on, wall_ms, at_s);
  else scrollTo(0, 0);
  await marked;
}
function lampOff() {
  kept("lights_off");
  const s = standing();
  if (run.dark && (s.step?.light === "dark")) { show("dark"); followTrack(); draw(); }
}
async function byTrack() {
  const begun = box.all().find((m) => m.kind === "begun");
  for (const lift of run.dark.lifts) await mark("lifted", lift.step, begun.wall_ms + lift.at_s * 1000, lift.at_s);
}

function followTrack() {
  if (track.paused && !track.ended) { track.currentTime = Math.max(0, nowS() + run.dark.lead_s); track.play().catch(() => {}); }
}

// --- drawing -------------------------------------------------------------------------------------------------------

function drawTrays(s) {
  const lies = s.aside ?? s.step;
  const at = lies ? numberOf(lies.key) : s.begun ? run.steps.length : -1;
  for (const item of el("trays").children) {
    const own = numberOf(item.dataset.step);
    const here = own === at && !ENDS.includes(s.state);
    if (here) item.setAttribute("aria-current", "step"); else item.removeAttribute("aria-current");
    item.classList.toggle("draining", here && s.state === "draining");
    item.classList.toggle("past", own < (s.aside ? numberOf(s.step.key) : at));
    item.querySelector(".here").hidden = !here;
  }
}

// The dark part is over by the sound and no lift was marked: both hands were full.
const unmarked = (s) => run.dark && s.state === "in" && !s.lift && nowS() > run.dark.over_s;

function noticedOf(s) {
  if (s.state === "aside") return answerOf(s).means;
  if (going(s) && unsafe(s)) return `${fill(texts.lit, { time: passed(s.lit_s) })} ${s.step.lit_means}`;
  if (s.state === "done") return run.afterwards;
  if (s.state === "paused") {
    if (pauseLeft(s) < 0) return texts.waited_long;
    return s.step.pause === "waits" ? fill(texts.own_left, { time: clock(s.left_s) }) : fill(texts.own_on, { time: passed(s.elapsed_s) });
  }
  if (unmarked(s)) return "";
  if (s.state === "in" && s.elapsed_s > s.step.high_s) return texts.late;
  if (s.state === "in" && s.shown_s !== null) {
    const { seconds, low_s, high_s } = s.step;
    const words = { time: passed(s.shown_s), total: clock(seconds), low: clock(low_s), high: clock(high_s) };
    return fill(run.steps[s.number].seconds === seconds ? texts.showed_only : texts.showed, words);
  }
  if (s.state === "in" && s.stayed_from) return run.wrong[s.stayed_from]?.[s.step.key]?.means ?? "";
  if (s.lights.length) return fill(texts.lights, { time: passed(s.lights.at(-1)) });
  const changed = s.state === "in" && s.step.changed ? `${capital(s.step.changed)}.` : "";
  if (!s.lift || s.lifted_from?.left !== s.lift.at || (changed && nowS() - s.lift.s > run.take_back_s + run.enter_s)) return changed;
  return fill(texts.lifted, { tray: capital(run.steps[s.lift.at].tray), time: passed(s.lift.s - s.lifted_from.since_s) });
}
const pauseLeft = (s) => (s.step.pause === "waits" ? s.step.pause_most_s - s.broken_s : s.step.pause_most_s - s.elapsed_s);

function soundNote() {
  if (notes.clock) return texts.clock;
  if (!sound.possible()) return texts.no_sound;
  if (!sound.running()) return texts.silent;
  if (notes.missed.length) return fill(texts.missed, { what: notes.missed.slice(-4).map((kind) => run.sounds[kind]).join(", ") });
  return "";
}

// What the row under the action does now; the first that fits. Each is held.
const ROWS = {
  not_so: { when: (s) => s.state === "aside" && s.broken_s <= run.take_back_s, text: texts.not_so, does: (s) => kept("taken_back", s.aside.key) },
  back: { when: (s) => s.lift !== null && s.state !== "aside" && nowS() - s.lift.s <= run.take_back_s, text: texts.back, does: takeBack },
  track: { when: (s) => unmarked(s), text: texts.by_track, does: () => byTrack() },
  lamp: { when: (s) => unsafe(s), text: texts.lamp_off, does: lampOff },
  shows: { when: (s) => s.state === "in" && s.step.sees && s.shown_s === null, text: texts.shows, does: (s) => kept("appeared", s.step.key) },
  shows_back: {
    when: (s) => s.state === "in" && s.shown_s !== null && s.elapsed_s - s.shown_s <= run.take_back_s, text: texts.shows_back,
    does: (s) => kept("taken_back", s.step.key),
  },
  white: {
    when: (s) => root.dataset.light === "red" && (!s.step || (s.step.light === "sun" && s.state !== "draining")), text: texts.white,
    does: () => { show("sun"); draw(); }, also: true,
  },
  pause: { when: (s) => mayPause(s), text: texts.pause, does: pause },
};
const mayPause = (s) => s.state === "in" && s.step.pause !== "no" && !unmarked(s);
function pause() {
  const s = standing();
  if (mayPause(s)) kept("paused", s.step.key);
}

function actWords(s, live) {
  if (s.state === "in") return live ? texts.lift : texts.lift_early;
  if (s.state === "paused") return texts.go_on;
  if (s.state === "aside") {
    const { on } = answerOf(s);
    return on ? fill(texts.it_is_in, { tray: run.steps[numberOf(on)].tray }) : texts.lost;
  }
  if (s.state !== "draining") return texts.close;
  const next = run.steps[s.number];
  return next ? fill(texts.draining, { tray: next.tray }) : texts.draining_last;
}

function drawAction(s) {
  const button = el("act");
  const live = ["done", "paused", "aside"].includes(s.state) || (s.state === "in" && s.elapsed_s >= s.step.live_s);
  say(button, actWords(s, live));
  button.disabled = !["in", "done", "paused", "aside"].includes(s.state);
  button.classList.toggle("ended", ENDS.includes(s.state));
  button.classList.toggle("live", live);
  button.classList.toggle("early", s.state === "in" && !live);
  const row = el("back");
  const does = Object.keys(ROWS).find((name) => (going(s) || ROWS[name].also) && ROWS[name].when(s)) ?? "";
  row.dataset.does = does;
  row.disabled = does === "";
  if (does) say(row, ROWS[does].text);
}

function drawInterrupted(s) {
  el("interrupted").hidden = !going(s);
  if (!going(s)) return;
  const due = dueOf(s);
  el("pause").disabled = !mayPause(s);
  say(el("pause-words"), s.state === "in" ? s.step.pause_words : "");
  el("lamp").disabled = s.lit_s !== null;
  for (const button of el("wrong-trays").children) button.hidden = !due || button.dataset.step === due.key;
}

function doingWords(s) {
  if (s.state === "aside") return answerOf(s).do;
  if (s.state === "stopped") return s.step ? s.step.stopped_words : texts.stopped;
  if (ENDS.includes(s.state) || s.state === "done") return texts[s.state];
  if (unsafe(s)) return s.step.lit_do;
  if (s.state === "paused") return s.step.pause_words;
  if (s.state === "draining") return s.step.drain_doing;
  if (unmarked(s)) return texts.track_over;
  return s.elapsed_s < run.enter_s ? s.step.entering : s.step.doing;
}

// The large figure and its word.
function figureOf(s) {
  if (s.state === "aside") return [passed(s.broken_s), texts.lies_in];
  if (s.state === "paused") return pauseLeft(s) < 0 ? [passed(-pauseLeft(s)), texts.over] : [clock(pauseLeft(s)), texts.may_wait];
  if (s.state === "draining") return [clock(s.left_s), texts.drain_left];
  if (s.state !== "in" || unmarked(s)) return ["", ""];
  return s.left_s <= 0 ? [passed(-s.left_s), texts.over] : [clock(s.left_s), texts.left];
}

function draw() {
  const s = standing();
  el("before").hidden = s.state !== "waiting";
  el("during").hidden = s.state === "waiting";
  el("ends").hidden = !going(s);
  // saving a file may open a white window: not before the end, unless the page is white already
  if (card) el("handin").hidden = s.begun === null || !(ENDS.includes(s.state) || root.dataset.light === "sun");
  if (el("onward")) el("onward").hidden = !ENDS.includes(s.state);
  drawTrays(s);
  drawInterrupted(s);
  if (s.state === "waiting") return s;
  say(el("light-words"), s.step ? s.step.light_words : run.steps.at(-1).light_words);
  const words = doingWords(s);
  say(el("doing"), words);
  el("doing").classList.toggle("long", words.length > run.long_words);
  const [figure, unit] = figureOf(s);
  say(el("time"), figure);
  el("time").classList.toggle("wide", figure.length > 4);
  say(el("time-words"), unit);
  const inside = s.state === "in" && !unmarked(s);
  say(el("window"), inside ? `${fill(texts.at_most, { time: clock(s.step.high_s) })}` : "");
  say(el("noticed"), noticedOf(s));
  say(el("noticed-sound"), going(s) ? soundNote() : "");
  drawAction(s);
  return s;
}

function look() {
  watchClock();
  const s = draw();
  if (going(s) && (!dark() || track?.ended)) notes.missed.push(...sound.look(cuesNow(s)));
  else if (!going(s)) sound.clear();
}

// A card keeps its marks until they are handed in, all of them each time: what the book has it does not take twice.
function showMarks(all) {
  const text = JSON.stringify({ form: run.hand_in_form, sheet: run.code,
    marks: all.map(({ id, kind, step, elapsed_s, wall_ms }) => ({ id, kind, step, elapsed_s, wall_ms })) });
  el("marks-text").value = text;
  el("save").href = `data:application/json;charset=utf-8,${encodeURIComponent(text)}`;
}

function bookWords({ waiting, total, refused, memory, all }) {
  const n = waiting === 1 ? texts.book_waits_one : fill(texts.book_waits, { n: waiting });
  if (card) showMarks(all);
  const onCard = waiting === 1 ? texts.card_marks_one : fill(texts.card_marks, { n: waiting });
  const words = total === 0 ? "" : card && waiting ? onCard : waiting === 0 ? texts.book_all : refused ? fill(texts.book_refused, { n: waiting }) : n;
  say(el("book"), memory ? `${words} ${texts.book_memory}` : words);
}

// --- the page without its server ------------------------------------------------------------------------------------

let reloadable = card;
async function keepPage() {
  if (card || !window.isSecureContext || !navigator.serviceWorker) return;
  try {
    navigator.serviceWorker.onmessage = (event) => {
      reloadable = event.data.kept === event.data.of;
      if (reloadable) say(el("alone"), texts.alone);
    };
    await navigator.serviceWorker.register(document.body.dataset.worker);
    const ready = await navigator.serviceWorker.ready;
    const files = [...document.querySelectorAll("head link[href], head script[src]")].map((n) => n.href || n.src);
    const urls = [location.href.split("#")[0], ...files, ...(track ? [track.src] : [])];
    ready.active.postMessage({ keep: [...new Set(urls)] });
  } catch { /* the page still runs; it only cannot be reloaded */ }
}

addEventListener("beforeunload", (event) => {
  if (box && going(standing()) && !reloadable) event.preventDefault();
});

box = await openOutbox(run.code, run.marks_url, run.marks, bookWords);
holds.onHold(el("act"), act);
holds.onHold(el("back"), () => ROWS[el("back").dataset.does]?.does(standing()));
holds.onHold(el("pause"), pause);
holds.onHold(el("lamp"), () => { kept("lights_on", standing().step?.key ?? ""); scrollTo(0, 0); });
for (const button of el("wrong-trays").children) holds.onHold(button, () => wentInto(button.dataset.step));
holds.onHold(el("stop"), () => mark("stopped"));
holds.onHold(el("abandon"), () => mark("abandoned"));
if (run.dark) {
  const wake = (light) => { track.pause(); show(light); scrollTo(0, 0); sound.clear(); draw(); };
  holds.add(el("dark"), darkPane(el("dark"), { run, sound, standing, nowS, dark, followTrack, kept, mark, wake }));
}
el("begin").addEventListener("click", begin);
el("begin").disabled = false;
el("wrong").addEventListener("click", () => { if (going(standing())) mark("lights_on"); el("lights-on").focus(); });
el("broken").addEventListener("click", () => el("interrupted").focus());
for (const kind of ["pointerdown", "keydown"]) {
  addEventListener(kind, () => { if (going(standing()) && !sound.running()) sound.start().then(look); }, { capture: true });
}
document.addEventListener("visibilitychange", () => { look(); if (going(standing())) stayAwake(); });
addEventListener("pageshow", look);

watchClock();
const first = standing();
if (run.dark) {
  const hidden = going(first) && (first.state === "draining" || first.state === "in") && first.step.light === "dark";
  const open = going(first) && first.step?.light === "dark"; // it lies in the dark part, if not where it should
  show(hidden ? "dark" : first.begun === null || open ? "red" : "sun"); // before the run, the exposed sheet waits beside it
  el("dark").hidden = !hidden;
}
look();
setInterval(look, 250);
root.dataset.ready = "yes";
keepPage();
