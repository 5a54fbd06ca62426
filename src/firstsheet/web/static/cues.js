// Sound: each cue is put on the audio clock up to `aheadS` before it is due, so a throttled page still sounds in time.
// Times of cues are seconds of the run; `now()` gives the run's own time. The shapes of the tones are data.

export function makeSound(tones, aheadS, now) {
  let context = null;
  let planned = new Map(); // key of a cue -> { at_s, nodes }
  let last = null; // { run_s, audio_s } at the last look

  const running = () => context !== null && context.state === "running";

  function play(kind, number, delayS) {
    const shape = tones[kind === "start" ? `start ${number}` : kind] ?? tones.tick;
    const first = context.currentTime + Math.max(0, delayS);
    return shape.map((note) => {
      const oscillator = context.createOscillator();
      const volume = context.createGain();
      const begin = first + note.at_s;
      const end = begin + note.for_s;
      oscillator.frequency.value = note.hz;
      volume.gain.setValueAtTime(0, begin);
      volume.gain.linearRampToValueAtTime(note.gain, begin + 0.002);
      volume.gain.setValueAtTime(note.gain, end - 0.002);
      volume.gain.linearRampToValueAtTime(0, end);
      oscillator.connect(volume).connect(context.destination);
      oscillator.start(begin);
      oscillator.stop(end + 0.01);
      return oscillator;
    });
  }

  function clear() {
    for (const { nodes } of planned.values()) {
      for (const node of nodes) { try { node.stop(); } catch { /* it has ended by itself */ } }
    }
    planned = new Map();
  }

  return {
    running,
    possible: () => typeof AudioContext !== "undefined",
    // Only from a touch or a key: browsers give no sound without one.
    async start() {
      if (typeof AudioContext === "undefined") return false;
      context ??= new AudioContext({ latencyHint: "interactive" });
      if (context.state !== "running") { try { await context.resume(); } catch { /* said as "silent" */ } }
      return running();
    },
    confirm(kind) { if (running()) play(kind, 1, 0); },
    clear,
    plannedKinds: () => [...planned.values()].map((p) => p.kind),
    // Cues: [{at_s, kind, number}] in run time. Returns how many cues a sleep of the sound has eaten since the last look.
    look(cues) {
      if (!context || (!last && !running())) return 0; // it has not begun to sound
      const run_s = now();
      const audio_s = context.currentTime;
      let missed = 0;
      if (last) {
        const slept = run_s - last.run_s - (audio_s - last.audio_s);
        if (Math.abs(slept) > 0.25) {
          missed = cues.filter((c) => c.kind !== "tick" && c.at_s > last.run_s && c.at_s < run_s).length;
          clear();
        }
      }
      last = { run_s, audio_s };
      if (!running()) return missed;
      const wanted = new Set();
      for (const cue of cues) {
        const delay = cue.at_s - run_s;
        const key = `${cue.at_s} ${cue.kind}`;
        wanted.add(key);
        // the first pip answers the touch that began the run, also where the sound takes a moment to wake
        if (delay < (cue.kind === "start" ? -1 : -0.05) || delay > aheadS || planned.has(key)) continue;
        planned.set(key, { kind: cue.kind, at_s: cue.at_s, nodes: play(cue.kind, cue.number, delay) });
      }
      for (const [key, { at_s, nodes }] of planned) {
        if (wanted.has(key)) continue;
        if (at_s > run_s) for (const node of nodes) { try { node.stop(); } catch { /* over */ } }
        planned.delete(key);
      }
      return missed;
    },
  };
}
