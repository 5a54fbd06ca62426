// Where the sheet is: the same rules as firstsheet.trays.progress, held against it by a test. A begun mark counts at once,
// also while its moment lies ahead (the lead of a dark run).

const KINDS = ["begun", "lifted", "appeared", "lights_on", "lights_off", "wrong_tray", "paused", "resumed", "taken_back", "stopped",
  "finished", "abandoned"];
export const ENDS = ["stopped", "finished", "abandoned"];

// A step with its times as the image's first appearance makes them: a row of its table, [appeared, seconds, low, high, live, cues].
export function timed(step, shown_s) {
  const row = shown_s === null ? undefined : (step.appears ?? []).find((r) => r[0] === Math.floor(shown_s));
  if (!row) return step;
  const [, seconds, low_s, high_s, live_s, cues] = row;
  return { ...step, seconds, low_s, high_s, live_s, cues };
}

// steps: each { key, seconds, drain_s, pause ("no", "goes_on", "waits"), appears }
export function where(steps, marks, now_s) {
  const numberOf = (key) => steps.findIndex((s) => s.key === key) + 1;
  const known = marks.filter((m) => KINDS.includes(m.kind) && Number.isFinite(m.elapsed_s));
  known.sort((a, b) => a.elapsed_s - b.elapsed_s || KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind)
    || (a.step < b.step ? -1 : a.step > b.step ? 1 : 0));
  let begun = null;
  let end = null;
  let lit_s = null;
  const visits = []; // since it left step `left` (0: before the first), going into the next one at `since_s`
  const visit = (left, since_s, lifted_s) => ({ left, since_s, lifted_s, shown: [], paused_s: null, aside: null, from: null });
  const lights = [];
  for (const mark of known) {
    const at_s = mark.elapsed_s;
    if (ENDS.includes(mark.kind)) { end = mark; break; }
    if (mark.kind === "lights_on") { lights.push(at_s); lit_s ??= at_s; continue; }
    if (mark.kind === "lights_off") { lit_s = null; continue; }
    if (mark.kind === "begun") { if (!begun) { begun = mark; visits.push(visit(0, at_s, null)); } continue; }
    const here = visits.at(-1);
    if (!here) continue;
    const step = steps[here.left] ?? null;
    const inside = step !== null && here.since_s <= at_s && here.aside === null;
    const named = step !== null && mark.step === step.key;
    const number = numberOf(mark.step);
    if (mark.kind === "lifted") {
      if (number > here.left) visits.push(visit(number, at_s + steps[number - 1].drain_s, at_s));
    } else if (mark.kind === "taken_back") {
      if (here.aside) {
        if (!mark.step || mark.step === here.aside.key) here.aside = null;
      } else if (here.shown.length && (named || !mark.step)) here.shown.pop();
      else if (here.lifted_s !== null && (!mark.step || mark.step === steps[here.left - 1].key)) visits.pop();
    } else if (mark.kind === "appeared") {
      if (inside && named && here.paused_s === null) here.shown.push(at_s - here.since_s);
    } else if (mark.kind === "wrong_tray") {
      if (number) here.aside = { key: mark.step, at_s };
    } else if (mark.kind === "paused") {
      if (inside && (named || !mark.step) && step.pause !== "no") here.paused_s ??= at_s;
    } else if (mark.kind === "resumed") {
      if (here.aside !== null && number) {
        // it goes on where it lies: the step it was due in is kept, for what that means
        const from = here.aside.key === mark.step && step && !named ? step.key : null;
        visits.push({ ...visit(number - 1, at_s, null), from });
      }
      else if (here.aside === null && here.paused_s !== null && step) {
        if (step.pause === "waits") here.since_s += at_s - here.paused_s;
        here.paused_s = null;
      }
    }
  }
  const at_s = end ? end.elapsed_s : now_s;
  const here = visits.at(-1) ?? visit(0, 0, null);
  const told = {
    begun, lights, lit_s: lit_s === null ? null : at_s - lit_s, number: here.left, since_s: here.since_s,
    lift: here.lifted_s === null ? null : { at: here.left - 1, s: here.lifted_s }, lifted_from: visits.at(-2) ?? null, stayed_from: here.from,
    shown_s: null, broken_s: 0, aside: null, elapsed_s: 0, left_s: 0, at_s,
  };
  const now = (state) => (end ? end.kind : state);
  if (!begun) return { ...told, state: now("waiting"), step: null };
  const next = steps[here.left] ?? null;
  if (here.aside) {
    const broken_s = at_s - here.aside.at_s;
    const aside = steps[numberOf(here.aside.key) - 1];
    return { ...told, state: now("aside"), step: next ?? aside, aside, elapsed_s: broken_s, broken_s };
  }
  if (here.lifted_s !== null && at_s < here.since_s) {
    const left = steps[here.left - 1];
    return { ...told, state: now("draining"), step: left, elapsed_s: at_s - here.lifted_s, left_s: here.since_s - at_s };
  }
  if (!next) return { ...told, state: now("done"), step: null };
  const shown_s = here.shown.at(-1) ?? null;
  const step = timed(next, shown_s);
  const paused = here.paused_s !== null;
  const elapsed_s = (paused && step.pause === "waits" ? here.paused_s : at_s) - here.since_s;
  return {
    ...told, state: now(paused ? "paused" : "in"), step, shown_s, elapsed_s, left_s: step.seconds - elapsed_s,
    broken_s: paused ? at_s - here.paused_s : 0, paused_s: here.paused_s,
  };
}
