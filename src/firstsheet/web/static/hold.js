// A wet hand and a stray drop: only what is held counts. A key (a foot switch is a key) is held like a finger.

const HELD_KEYS = ["Enter", " ", "PageDown"];

// keyTarget(node): the element that a key held on `node` (a button, a link, or null) stands for.
export function makeHolds(hold_ms, keyTarget) {
  const holds = new Map();
  let keyed = null;
  function onHold(node, done) {
    let timer = 0;
    const start = () => {
      if (timer || node.disabled) return;
      node.classList.add("held");
      timer = setTimeout(() => { cancel(); done(); }, hold_ms);
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
  addEventListener("keydown", (event) => {
    if (!HELD_KEYS.includes(event.key) || event.altKey || event.ctrlKey || event.metaKey) return;
    const node = event.target.closest?.("button, a, #dark");
    if (node && !holds.has(node)) return; // links and "begin" work as everywhere
    event.preventDefault();
    if (event.repeat || keyed) return;
    keyed = holds.get(keyTarget(node));
    keyed?.start();
  });
  addEventListener("keyup", (event) => {
    if (!HELD_KEYS.includes(event.key) || !keyed) return;
    event.preventDefault();
    keyed.cancel();
    keyed = null;
  });

  return { onHold, add: (node, hold) => holds.set(node, hold) };
}
