// The page of a run. It shows; it does not compute: times, texts and tones are in the page, marks say what happened,
// and all that is done here is comparing and taking away times. Once loaded it needs no server.

import { makeSound } from "./cues.js";
import { openOutbox } from "./outbox.js";
import { ENDS, where } from "./standing.js";

const run = JSON.parse(document.getElementById("run-data").textContent);
const texts = run.texts;
const el = (id) => document.getElementById(id);
const root = document.documentElement;

// --- time: the wall clock at an anchor, performance.now() from there on ------------------------------------------

let anchor = { wall_ms: Date.now(), tick_ms: performance.now() };
let lookedAt = performance.now();
let slept = document.hidden;
let notes = { missed: 0, clock: false };
const wallNow = () => anchor.wall_ms + (performance.now() - anchor.tick_ms);

function watchClock() {
  const away = Date.now() - wallNow();
  if (Math.abs(away) > 1000) {
    const gap = performance.now() - lookedAt > 5000;
    if (!slept && !gap) notes.clock = true; // a sleep nobody announced, or somebody set the clock: it is said
    // a sleep stops the tick, so a wall clock that is ahead is believed; one that went back was set: the tick is right
    if (slept || gap || away > 0) anchor = { wall_ms: Date.now(), tick_ms: performance.now() };
  }
  lookedAt = performance.now();
  slept = document.hidden;
}

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

// A wet hand and a stray drop: only what is held counts. A key (a foot switch is a key) is held like a finger.
const HELD_KEYS = ["Enter", " ", "PageDown"];
const holds = new Map();
function onHold(node, done) {
  let timer = 0;
  const start = () => {
    if (timer || node.disabled) return;
    node.classList.add("held");
    timer = setTimeout(() => { cancel(); done(); }, run.hold_ms);
  };
  const cancel = () => { clearTimeout(timer); timer = 0; node.classList.remove("held"); };
  node.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    node.releasePointerCapture?.(event.pointerId); // so that sliding off the button is noticed
    start();
  });
  for (const kind of ["pointerup", "pointercancel", "pointerleave", "blur"]) node.addEventListener(kind, cancel);
  node.addEventListener("contextmenu", (event) => event.preventDefault());
  node.addEventListener("click", (event) => { if (event.detail === 0 && event.isTrusted && !timer && !keyed) done(); });
  holds.set(node, { start, cancel });
}
let keyed = null;
addEventListener("keydown", (event) => {
  if (!HELD_KEYS.includes(event.key) || event.altKey || event.ctrlKey || event.metaKey) return;
  const node = event.target.closest?.("button, a, #dark");
  if (node && !holds.has(node)) return; // links and "begin" work as everywhere
  event.preventDefault();
  if (event.repeat || keyed) return;
  keyed = dark() ? holds.get(el("dark")) : holds.get(node ?? el("act"));
  keyed?.start();
});
addEventListener("keyup", (event) => {
  if (!HELD_KEYS.includes(event.key) || !keyed) return;
  event.preventDefault();
  keyed.cancel();
  keyed = null;
});

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

// --- the run -------------------------------------------------------------------------------------------------------

let box = null;
const nowS = () => {
  const begun = box.all().find((m) => m.kind === "begun");
  return begun ? (wallNow() - begun.wall_ms) / 1000 + begun.elapsed_s : 0;
};
const standing = () => where(run.steps, box.all(), nowS());
const sound = makeSound(run.tones, run.ahead_s, () => nowS());
const track = el("track");
const going = (s) => s.begun !== null && !ENDS.includes(s.state);

function mark(kind, step = "", wall_ms = wallNow(), elapsed_s = nowS()) {
  notes.missed = 0;
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
  if (s.state !== "draining") return [];
  const next = run.steps[s.number];
  return next ? shift(next) : [{ at_s: s.since_s, kind: "drain_end", number: s.number }];
}

function act() {
  const s = standing();
  if (s.state === "in") { sound.confirm("kept"); mark("lifted", s.step.key); }
  else if (s.state === "done") { sound.confirm("kept"); mark("finished"); }
}
function takeBack() {
  const s = standing();
  if (s.lift) { sound.confirm("kept"); mark("taken_back", run.steps[s.lift.at].key); }
}
async function byTrack() {
  const begun = box.all().find((m) => m.kind === "begun");
  for (const lift of run.dark.lifts) await mark("lifted", lift.step, begun.wall_ms + lift.at_s * 1000, lift.at_s);
}

// In the dark the whole screen is one button. Too early: one low note, and only a longer hold lifts all the same.
// A hold of six seconds brings the page back, because then the lights are on.
function darkButton(pane) {
  let timers = [];
  const over = (s) => (s.step && s.step.light !== "dark" && s.state !== "draining") || !s.step
    || (!s.lift && nowS() > run.dark.over_s) || ENDS.includes(s.state);
  const wake = () => { track.pause(); show("sun"); scrollTo(0, 0); sound.clear(); draw(); };
  const start = () => {
    if (timers.length) return;
    if (track.paused && !track.ended) { track.currentTime = Math.max(0, nowS() + run.dark.lead_s); track.play().catch(() => {}); }
    sound.start();
    let early = false;
    const at = (ms, todo) => timers.push(setTimeout(todo, ms));
    at(run.hold_ms, () => {
      const s = standing();
      if (over(s)) return wake();
      early = s.state !== "in" || s.elapsed_s < s.step.live_s;
      sound.confirm(early ? "early" : "kept");
      if (!early) mark("lifted", s.step.key);
    });
    at(run.early_hold_ms, () => {
      const s = standing();
      if (early && s.state === "in" && s.elapsed_s > 0) { sound.confirm("kept"); mark("lifted", s.step.key); }
    });
    at(run.wake_hold_ms, () => { if (dark()) { mark("lights_on"); wake(); } });
  };
  const cancel = () => { timers.forEach(clearTimeout); timers = []; };
  pane.addEventListener("pointerdown", (event) => { event.preventDefault(); start(); });
  for (const kind of ["pointerup", "pointercancel"]) pane.addEventListener(kind, cancel);
  pane.addEventListener("contextmenu", (event) => event.preventDefault());
  holds.set(pane, { start, cancel });
}

// --- drawing -------------------------------------------------------------------------------------------------------

function drawTrays(s) {
  const at = s.step ? numberOf(s.step.key) : s.begun ? run.steps.length : -1;
  for (const item of el("trays").children) {
    const own = numberOf(item.dataset.step);
    const here = own === at && !ENDS.includes(s.state);
    if (here) item.setAttribute("aria-current", "step"); else item.removeAttribute("aria-current");
    item.classList.toggle("draining", here && s.state === "draining");
    item.classList.toggle("past", own < at);
    item.querySelector(".here").hidden = !here;
  }
}

// The dark part is over by the sound and no lift was marked: both hands were full.
const unmarked = (s) => run.dark && s.state === "in" && !s.lift && nowS() > run.dark.over_s;

function noticedOf(s) {
  if (s.state === "done") return run.afterwards;
  if (unmarked(s)) return "";
  if (s.state === "in" && s.elapsed_s > s.step.high_s) return texts.late;
  if (s.lights.length) return fill(texts.lights, { time: passed(s.lights.at(-1)) });
  if (!s.lift) return "";
  const left = run.steps[s.lift.at];
  const before = box.all().filter((m) => m.kind === "lifted" && numberOf(m.step) === s.lift.at - 1).at(-1);
  const from_s = before ? before.elapsed_s + run.steps[s.lift.at - 1].drain_s : s.begun.elapsed_s;
  if (s.lift.at > 0 && !before) return "";
  return fill(texts.lifted, { tray: capital(left.tray), time: passed(s.lift.s - from_s) });
}

function soundNote() {
  if (notes.clock) return texts.clock;
  if (!sound.possible()) return texts.no_sound;
  if (!sound.running()) return texts.silent;
  if (notes.missed) return notes.missed === 1 ? texts.missed_one : fill(texts.missed, { n: notes.missed });
  return "";
}

function drawAction(s) {
  const button = el("act");
  const live = s.state === "done" || (s.state === "in" && s.elapsed_s >= s.step.live_s);
  const next = run.steps[s.number];
  const text = s.state === "in" ? (live ? texts.lift : texts.lift_early)
    : s.state === "draining" ? (next ? fill(texts.draining, { tray: next.tray }) : texts.draining_last)
    : texts.close;
  say(button, text);
  button.disabled = !["in", "done"].includes(s.state);
  button.classList.toggle("ended", ENDS.includes(s.state));
  button.classList.toggle("live", live);
  button.classList.toggle("early", s.state === "in" && !live);
  const row = el("back");
  const canBack = going(s) && s.lift !== null && nowS() - s.lift.s <= run.take_back_s;
  const canTrack = unmarked(s);
  const canWhite = root.dataset.light === "red" && (!s.step || (s.step.light === "sun" && s.state !== "draining"));
  row.dataset.does = canBack ? "back" : canTrack ? "track" : canWhite ? "white" : "";
  row.disabled = row.dataset.does === "";
  if (!row.disabled) say(row, canBack ? texts.back : canTrack ? texts.by_track : texts.white);
}

function draw() {
  const s = standing();
  el("before").hidden = s.state !== "waiting";
  el("during").hidden = s.state === "waiting";
  el("ends").hidden = !going(s);
  if (el("onward")) el("onward").hidden = !ENDS.includes(s.state);
  drawTrays(s);
  if (s.state === "waiting") return s;
  const open = (s.state === "in" && !unmarked(s)) || s.state === "draining";
  const over = s.state === "in" && s.left_s <= 0;
  say(el("light-words"), s.step ? s.step.light_words : run.steps.at(-1).light_words);
  const inside = s.state === "in" && (unmarked(s) ? texts.track_over : s.elapsed_s < run.enter_s ? s.step.entering : s.step.doing);
  say(el("doing"), inside || (s.state === "draining" ? s.step.drain_doing : texts[s.state]));
  say(el("time"), open ? (over ? passed(-s.left_s) : clock(s.left_s)) : "");
  say(el("time-words"), open ? (s.state === "draining" ? texts.drain_left : over ? texts.over : texts.left) : "");
  say(el("window"), open && s.state === "in" ? fill(texts.at_most, { time: s.step.high_words }) : "");
  say(el("noticed"), noticedOf(s));
  say(el("noticed-sound"), going(s) ? soundNote() : "");
  drawAction(s);
  return s;
}

function look() {
  watchClock();
  const s = draw();
  if (going(s) && !dark()) notes.missed += sound.look(cuesNow(s));
  else if (!going(s)) sound.clear();
}

function bookWords({ waiting, total, refused, memory }) {
  const n = waiting === 1 ? texts.book_waits_one : fill(texts.book_waits, { n: waiting });
  const words = total === 0 ? "" : waiting === 0 ? texts.book_all : refused ? fill(texts.book_refused, { n: waiting }) : n;
  say(el("book"), memory ? `${words} ${texts.book_memory}` : words);
}

// --- the page without its server ------------------------------------------------------------------------------------

let reloadable = false;
async function keepPage() {
  if (!window.isSecureContext || !navigator.serviceWorker) return;
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
onHold(el("act"), act);
onHold(el("back"), () => ({ back: takeBack, track: byTrack, white: () => { show("sun"); draw(); } })[el("back").dataset.does]?.());
onHold(el("stop"), () => mark("stopped"));
onHold(el("abandon"), () => mark("abandoned"));
if (run.dark) darkButton(el("dark"));
el("begin").addEventListener("click", begin);
el("begin").disabled = false;
el("wrong").addEventListener("click", () => { if (going(standing())) mark("lights_on"); el("lights-on").focus(); });
for (const kind of ["pointerdown", "keydown"]) {
  addEventListener(kind, () => { if (going(standing()) && !sound.running()) sound.start().then(look); }, { capture: true });
}
document.addEventListener("visibilitychange", () => { look(); if (going(standing())) stayAwake(); });
addEventListener("pageshow", look);

const first = standing();
if (run.dark) {
  const hidden = going(first) && (first.state === "draining" || first.state === "in") && first.step.light === "dark";
  show(hidden ? "dark" : "sun");
  el("dark").hidden = !hidden;
}
look();
setInterval(look, 250);
root.dataset.ready = "yes";
keepPage();
