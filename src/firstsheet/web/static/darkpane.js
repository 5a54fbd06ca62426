// In the dark the whole screen is one button. Too early: one low note, and only a longer hold lifts all the same.
// A hold of six seconds brings the page back, in red: then the lights are on, or the hand was slow.

import { ENDS } from "./standing.js";

export function darkPane(pane, { run, sound, standing, nowS, dark, followTrack, kept, mark, wake }) {
  let timers = [];
  const over = (s) => (s.step && s.step.light !== "dark" && s.state !== "draining") || !s.step
    || (!s.lift && nowS() > run.dark.over_s) || ENDS.includes(s.state);
  const start = () => {
    if (timers.length) return;
    followTrack();
    sound.start();
    let early = false;
    let lifted = ""; // what this very hold has marked: held on for the lights, it was no lift
    const lift = (key) => { lifted = key; kept("lifted", key); };
    const at = (ms, todo) => timers.push(setTimeout(todo, ms));
    at(run.hold_ms, () => {
      const s = standing();
      if (over(s)) return wake("sun");
      early = s.state !== "in" || s.elapsed_s < s.step.live_s;
      if (early) sound.confirm("early");
      else lift(s.step.key);
    });
    at(run.early_hold_ms, () => {
      const s = standing();
      if (early && s.state === "in" && s.elapsed_s > 0) lift(s.step.key);
    });
    at(run.wake_hold_ms, () => {
      if (!dark()) return;
      if (lifted) mark("taken_back", lifted);
      mark("lights_on");
      wake("red"); // it may have been a slow wet hand, and no lights at all
    });
  };
  const cancel = () => { timers.forEach(clearTimeout); timers = []; };
  pane.addEventListener("pointerdown", (event) => { event.preventDefault(); start(); });
  for (const kind of ["pointerup", "pointercancel"]) pane.addEventListener(kind, cancel);
  pane.addEventListener("contextmenu", (event) => event.preventDefault());
  return { start, cancel };
}
