// The page's time: the wall clock at an anchor, performance.now() from there on. It is never set back, and where it had
// to be set at all that is told.

export function makeTime(startHidden) {
  let anchor = { wall_ms: Date.now(), tick_ms: performance.now() };
  let behind_ms = 0; // by so much the wall clock is behind what has happened already
  let lookedAt = performance.now();
  let slept = startHidden;
  const now = () => anchor.wall_ms + (performance.now() - anchor.tick_ms);

  return {
    now,
    // At every look; true where a sleep nobody announced, or somebody, has set the clock.
    watch(hidden) {
      let told = false;
      const wall_ms = Date.now() + behind_ms;
      const away = wall_ms - now();
      if (Math.abs(away) > 1000) {
        const gap = performance.now() - lookedAt > 5000;
        told = !slept && !gap;
        // a sleep stops the tick, so a wall clock that is ahead is believed; one that went back was set: the tick is right
        if (away > 0) anchor = { wall_ms, tick_ms: performance.now() };
        else { behind_ms -= away; told = true; }
      }
      lookedAt = performance.now();
      slept = hidden;
      return told;
    },
    // Nothing happens before what has happened already, `at_ms`: a clock that was set back meanwhile is pushed on, and it is told.
    notBefore(at_ms) {
      const behind = at_ms - now();
      if (!(behind > 1000)) return false;
      anchor = { ...anchor, wall_ms: anchor.wall_ms + behind };
      behind_ms += behind;
      return true;
    },
  };
}
