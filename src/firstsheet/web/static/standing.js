// Where the sheet is: the same rules as firstsheet.trays.progress, held against it by a test. A begun mark counts at once,
// also while its moment lies ahead (the lead of a dark run).

const KINDS = ["begun", "lifted", "lights_on", "taken_back", "stopped", "finished", "abandoned"];
export const ENDS = ["stopped", "finished", "abandoned"];

export function where(steps, marks, now_s) {
  const numberOf = (key) => steps.findIndex((s) => s.key === key);
  const known = marks.filter((m) => KINDS.includes(m.kind) && Number.isFinite(m.elapsed_s));
  known.sort((a, b) => a.elapsed_s - b.elapsed_s || KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind)
    || (a.step < b.step ? -1 : a.step > b.step ? 1 : 0));
  let begun = null;
  let end = null;
  const lifts = [];
  const lights = [];
  for (const mark of known) {
    const top = lifts.at(-1);
    if (mark.kind === "begun") begun ??= mark;
    else if (mark.kind === "lifted") {
      const at = numberOf(mark.step);
      if (begun && at > (top ? top.at : -1)) lifts.push({ at, s: mark.elapsed_s });
    } else if (mark.kind === "taken_back") {
      if (top && (!mark.step || numberOf(mark.step) === top.at)) lifts.pop();
    } else if (mark.kind === "lights_on") lights.push(mark.elapsed_s);
    else { end = mark; break; }
  }
  const at_s = end ? end.elapsed_s : now_s;
  const lift = lifts.at(-1) ?? null;
  const told = { begun, lift, lights, number: 0, since_s: begun ? begun.elapsed_s : 0, elapsed_s: 0, left_s: 0 };
  if (!begun) return { ...told, state: end ? end.kind : "waiting", step: null };
  if (lift) {
    const left = steps[lift.at];
    told.number = lift.at + 1;
    told.since_s = lift.s + left.drain_s;
    if (at_s < told.since_s) {
      return { ...told, state: end ? end.kind : "draining", step: left, elapsed_s: at_s - lift.s, left_s: told.since_s - at_s };
    }
  }
  const step = steps[told.number] ?? null;
  if (!step) return { ...told, state: end ? end.kind : "done", step };
  const elapsed_s = at_s - told.since_s;
  return { ...told, state: end ? end.kind : "in", step, elapsed_s, left_s: step.seconds - elapsed_s };
}
