// Counts a scrap: hold as it goes into the light, hold again as it matches. Both holds last as long, so the count is right.
import { makeHolds } from "./hold.js";

const HOLD_MS = 400;
const box = document.querySelector("[data-count]");
const button = box?.querySelector("button");
if (button) {
  box.hidden = false;
  let began = null;
  let shown = 0;
  const { onHold } = makeHolds(HOLD_MS, () => button);
  onHold(button, () => {
    if (began === null) {
      began = performance.now();
      shown = setInterval(() => { button.textContent = `${button.dataset.matches} (${Math.floor((performance.now() - began) / 1000)}${button.dataset.runs})`; }, 250);
      button.textContent = button.dataset.matches;
      return;
    }
    const counted = ((performance.now() - began) / 1000).toFixed(1);
    clearInterval(shown);
    began = null;
    button.textContent = button.dataset.begins;
    for (const field of document.querySelectorAll("input[name=seconds][type=text]")) field.value = field.value ? `${field.value}; ${counted} s` : `${counted} s`;
  });
}
