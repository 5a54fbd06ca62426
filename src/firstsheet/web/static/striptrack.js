// A strip or a sheet led by ear: the sound is fetched whole, then the page goes black and the sound runs alone. While a sheet's sound runs,
// a held touch anywhere, or a held key, marks what was just told. It compares and takes away times; every moment is in the page.

import { makeSound } from "./cues.js";
import { held } from "./held.js";
import { openOutbox } from "./outbox.js";

const one = (name) => document.querySelector(`[data-${name}]`);
const button = one("track");
const told = one("told");
const source = document.getElementById("sound-data");
const data = source ? JSON.parse(source.textContent) : null;
const hold = data?.hold_ms ?? { mark: 600, let_go: 600, wake: 2000, forget: 12000 };
const sound = new Audio();
const confirm = data ? makeSound(data.tones, 0, () => 0) : null;
const remembered = data ? `firstsheet sound ${data.code} ${button.dataset.track}` : null;
let black = null;
let box = null;

const say = (words, where = told) => { if (where && where.textContent !== words) where.textContent = words; };

// --- marks ---------------------------------------------------------------------------------------------------------

const marked = (m) => box.all().some((k) => k.kind === m.kind && k.step === m.step);
const momentAt = (at_s) => data?.moments.find((m) => m.from_s <= at_s && at_s < m.to_s && !marked(m)) ?? null;
const passed = () => data.moments.filter((m) => m.at_s <= sound.currentTime && !marked(m));

function keep(kind, step, at_s) {
  // the lens from the beginning of the sound, a run from its first liquid
  const from_s = ["opened", "capped"].includes(kind) ? 0 : data.first_s;
  const ago_ms = (sound.currentTime - at_s) * 1000;
  return box.add(kind, step, Math.max(0, Math.round((at_s - from_s) * 1000) / 1000), Math.round(Date.now() - ago_ms));
}

function begun() {
  if (!data || data.first_s === null || sound.currentTime < data.first_s || box.all().some((k) => k.kind === "begun")) return;
  keep("begun", "", data.first_s);
}

// A foot switch or a button on a cord that speaks as the keys of a player do: it works with the screen off, and it stops nothing.
function byPlayersKeys() {
  const pressed = () => {
    if (!data || sound.paused) return;
    const at_s = sound.currentTime;
    const moment = momentAt(at_s);
    confirm.confirm(moment ? "kept" : "early");
    if (moment) keep(moment.kind, moment.step, at_s);
  };
  for (const action of ["play", "pause", "nexttrack", "previoustrack"]) {
    try { navigator.mediaSession?.setActionHandler(action, pressed); } catch { /* this browser knows no such key */ }
  }
}

function stayAwake() {
  if (data?.awake && !sound.paused && !document.hidden) navigator.wakeLock?.request("screen").catch(() => {});
}

function asTold() {
  begun();
  for (const m of passed()) keep(m.kind, m.step, m.at_s);
  show();
}

function show() {
  if (!data) return;
  const what = data.moments.filter(marked).map((m) => m.words).join(", ");
  say(what ? data.texts.marked.replace("{what}", what) : data.texts.none, one("marked"));
  one("rest").hidden = passed().length === 0;
  one("onward").hidden = !sound.ended;
}

function bookWords({ waiting, total, memory }) {
  const words = total === 0 ? "" : waiting ? data.texts.waits.replace("{n}", waiting) : data.texts.sent;
  say(memory ? `${words} ${data.texts.memory}` : words, one("kept"));
}

// --- the black screen ----------------------------------------------------------------------------------------------

function uncover() {
  black?.remove();
  black = null;
  document.body.classList.remove("under");
  show();
  button.focus();
}

function cover() {
  // what comes back after this is red, whatever it was before
  document.documentElement.dataset.light = "red";
  black = document.createElement("button");
  black.className = "covered";
  black.setAttribute("aria-label", data
    ? "The screen is black while the sound runs. Hold and let go to mark what was told; hold six seconds and let go to see the page in red."
    : "The screen is black while the sound runs. Hold two seconds and let go to see the page in red.");
  let moment = null;
  let at_s = 0;
  let timers = [];
  const clear = () => { timers.forEach(clearTimeout); timers = []; };
  held(black, {
    start() {
      moment = null;
      at_s = sound.currentTime;
      if (!data || sound.ended) return;
      confirm.start();
      const at = (ms, todo) => timers.push(setTimeout(todo, ms));
      at(hold.mark, () => { moment = momentAt(at_s); confirm.confirm(moment ? "kept" : "early"); });
      at(hold.let_go, () => { if (moment) confirm.confirm("early"); moment = null; });
      at(hold.wake, () => confirm.confirm("ready"));
    },
    end(ms) {
      clear();
      if (moment) keep(moment.kind, moment.step, at_s);
      else if ((ms >= hold.wake && ms < hold.forget) || (ms >= hold.mark && sound.ended)) uncover();
      moment = null;
    },
    cancel: clear,
  });
  black.addEventListener("keydown", (e) => { if (e.key === "Escape") uncover(); });
  document.body.append(black);
  document.body.classList.add("under");
  black.focus();
}

// --- the sound -----------------------------------------------------------------------------------------------------

// Where the sound should be by the clock [s], for a page that was lost while it ran; null where it does not run.
function ranTo() {
  const since = remembered && Number(localStorage.getItem(remembered));
  const at_s = since ? (Date.now() - since) / 1000 : 0;
  return at_s > 0 && at_s < data.total_s ? at_s : null;
}

function stopped(words) {
  sound.pause();
  if (one("volume")) one("volume").disabled = false;
  if (remembered) localStorage.removeItem(remembered);
  button.textContent = button.dataset.says;
  say(words);
}

async function begin() {
  button.disabled = true;
  if (one("volume")) one("volume").disabled = true;
  say("The sound is fetched.");
  confirm?.start();
  const from_s = ranTo();
  try {
    const answer = await fetch(button.dataset.track);
    if (!answer.ok) throw new Error(String(answer.status));
    sound.src = URL.createObjectURL(await answer.blob());
    await sound.play();
    if (from_s !== null) sound.currentTime = ranTo() ?? 0;
    else if (remembered) localStorage.setItem(remembered, String(Date.now()));
  } catch {
    button.disabled = false;
    stopped("The sound could not be played here. Take it as a file.");
    return;
  }
  button.disabled = false;
  button.textContent = button.dataset.stops;
  say("The sound runs.");
  cover();
  byPlayersKeys();
  stayAwake();
}

if (button) {
  if (data) {
    box = await openOutbox(`${data.code} sound`, data.marks_url, [], bookWords);
    held(one("rest"), { end: (ms) => { if (ms >= hold.mark) asTold(); }, tap: asTold });
    sound.addEventListener("timeupdate", begun);
    document.addEventListener("visibilitychange", stayAwake);
    const volume = one("volume");
    const trial = new Audio();
    volume.addEventListener("click", () => {
      trial.src = volume.dataset.volume;
      trial.play().then(() => say(volume.dataset.asks, one("heard")), () => say("It could not be played here.", one("heard")));
    });
  }
  button.textContent = data && ranTo() !== null ? data.texts.go_on : button.dataset.says;
  button.hidden = false;
  // a touch begins it; no drop of water stops it: that is held, or a key
  let justStopped = false;
  const stop = () => stopped("Stopped. It begins anew.");
  held(button, { keys: false, end(ms) {
    justStopped = !sound.paused && ms >= hold.mark;
    if (justStopped) stop();
  } });
  button.addEventListener("click", (e) => {
    if (sound.paused && !justStopped) begin();
    else if (!sound.paused && e.detail === 0) stop();
    justStopped = false;
  });
  sound.addEventListener("ended", () => { begun(); stopped("The sound is over."); show(); });
  document.documentElement.dataset.ready = "yes";
}
