// A touch or a key that is held and let go: a drop of water is too short, and one that lies there is never let go.
// A foot switch is a key. `start` when it begins, `end(ms)` when it is let go after so long, `cancel` when it slid away. With `keys` false a
// key clicks as everywhere. `tap` is for what presses a button without finger or key, such as a screen reader.

const KEYS = ["Enter", " ", "PageDown"];

export function held(node, { start, end, cancel = () => {}, tap, keys = true }) {
  let since = null;
  const begin = () => {
    if (since !== null || node.disabled) return;
    since = performance.now();
    node.classList.add("held");
    start?.();
  };
  const stop = (how) => () => {
    if (since === null) return;
    const ms = performance.now() - since;
    since = null;
    node.classList.remove("held");
    how(ms);
  };
  const over = stop(end);
  node.addEventListener("pointerdown", (e) => {
    if (e.button !== 0) return;
    node.releasePointerCapture?.(e.pointerId); // so that sliding off it is noticed
    begin();
  });
  node.addEventListener("pointerup", over);
  for (const kind of ["pointercancel", "pointerleave", "blur"]) node.addEventListener(kind, stop(cancel));
  node.addEventListener("contextmenu", (e) => e.preventDefault());
  if (tap) node.addEventListener("click", (e) => { if (e.detail === 0 && e.isTrusted && since === null) tap(); });
  if (!keys) return;
  node.addEventListener("keydown", (e) => {
    if (!KEYS.includes(e.key) || e.altKey || e.ctrlKey || e.metaKey) return;
    e.preventDefault();
    if (!e.repeat) begin();
  });
  node.addEventListener("keyup", (e) => {
    if (!KEYS.includes(e.key)) return;
    e.preventDefault();
    over();
  });
}
