// Sound: each cue is put on the audio clock up to `aheadS` before it is due, so a throttled page still sounds in time.
// Times of cues are seconds of the run; `now()` gives the run's own time. The shapes of the tones are data.
// The audio clock goes a little wrong: cues that were put on it are set anew when the two clocks have drifted apart.

const JUMP_S = 0.25; // the sound stood still, or the page's time was set
const DRIFT_S = 0.015;
const LOOKS_S = 3; // the audio clock is told in steps and late, never early: the least of the last looks is right
const TORN_S = 0.004; // the two clocks are read one after the other; between them the machine may have been elsewhere

export function makeSound(tones, aheadS, now) {
  let context = null;
  let planned = new Map(); // key of a cue -> { kind, at_s, audio_s, nodes }
  let offsets = []; // { run_s, offset }: run time less audio time, at the last looks
  let last_s = null; // run time at the last look
  let last_audio_s = 0;

  const running = () => context !== null && context.state === "running";

  const least = () => Math.min(...offsets.map((o) => o.offset));

  function offsetNow() {
    let found = 0;
    for (let tries = 0; tries < 4; tries += 1) {
      const before = now();
      found = before - context.currentTime;
      if (now() - before < TORN_S) return found;
    }
    return found;
  }

  function play(kind, number, first) {
    const shape = tones[kind === "start" ? `start ${number}` : kind] ?? tones.tick;
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

  function hush(nodes) {
    for (const node of nodes) { try { node.stop(); } catch { /* it has ended by itself */ } }
  }

  function clear() {
    for (const { nodes } of planned.values()) hush(nodes);
    planned = new Map();
  }

  // Which cues of the time since the last look were not heard: the sound stood still, or the page was away too long.
  function missed(cues, run_s, whole) {
    const passed = cues.filter((c) => c.kind !== "tick" && c.at_s > last_s && c.at_s <= run_s);
    return passed.filter((c) => !whole || !planned.has(`${c.at_s} ${c.kind}`)).map((c) => c.kind);
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
    confirm(kind) { if (running()) play(kind, 1, context.currentTime); },
    clear,
    // Cues: [{at_s, kind, number}] in run time. Returns the kinds of those that were missed since the last look.
    look(cues) {
      if (!context || (last_s === null && !running())) return []; // it has not begun to sound
      const offset = offsetNow();
      const run_s = now();
      const jumped = offsets.length > 0 && Math.abs(offset - least()) > JUMP_S;
      const audio_s = run_s - offset;
      const stood = last_s !== null && run_s - last_s > 0.1 && audio_s - last_audio_s < (run_s - last_s) / 2;
      const gone = last_s === null ? [] : missed(cues, run_s, running() && !jumped && !stood);
      last_s = run_s;
      last_audio_s = audio_s;
      if (jumped) { clear(); offsets = []; }
      if (!running()) return gone;
      offsets = [...offsets.filter((o) => run_s - o.run_s < LOOKS_S), { run_s, offset }];
      const true_s = least();
      const wanted = new Set();
      for (const cue of cues) {
        const delay = cue.at_s - run_s;
        const key = `${cue.at_s} ${cue.kind}`;
        const old = planned.get(key);
        wanted.add(key);
        if (old) {
          if (delay < 0.2 || Math.abs(cue.at_s - true_s - old.audio_s) < DRIFT_S) continue;
          hush(old.nodes);
        } else if (delay < (cue.kind === "start" ? -1 : -0.05) || delay > aheadS) continue;
        // the first pip answers the touch that began the run, also where the sound takes a moment to wake
        const first_s = Math.max(cue.at_s - true_s, context.currentTime);
        planned.set(key, { kind: cue.kind, at_s: cue.at_s, audio_s: first_s, nodes: play(cue.kind, cue.number, first_s) });
      }
      for (const [key, { at_s, nodes }] of planned) {
        if (wanted.has(key)) continue;
        if (at_s > run_s) hush(nodes);
        planned.delete(key);
      }
      return gone;
    },
  };
}
