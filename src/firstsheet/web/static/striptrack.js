// A strip led by ear: the sound is fetched whole, then the page goes black and the sound runs alone.

const HOLD_MS = 2000;
const button = document.querySelector("[data-track]");
const told = document.querySelector("[data-told]");
const sound = new Audio();
let black = null;

function say(words) {
  told.textContent = words;
}

function uncover() {
  black?.remove();
  black = null;
  document.body.classList.remove("under");
  button.focus();
}

function cover() {
  // what comes back after this is red, whatever it was before
  document.documentElement.dataset.light = "red";
  black = document.createElement("button");
  black.className = "covered";
  black.setAttribute("aria-label", "The screen is black while the sound runs. Hold two seconds to see the page in red.");
  let waiting = 0;
  const begin = () => { clearTimeout(waiting); waiting = setTimeout(uncover, HOLD_MS); };
  const end = () => clearTimeout(waiting);
  black.addEventListener("pointerdown", begin);
  for (const kind of ["pointerup", "pointercancel", "pointerleave"]) black.addEventListener(kind, end);
  black.addEventListener("keydown", (e) => { if (e.key === "Escape") uncover(); });
  black.addEventListener("contextmenu", (e) => e.preventDefault());
  document.body.append(black);
  document.body.classList.add("under");
  black.focus();
}

function stopped(words) {
  sound.pause();
  button.textContent = button.dataset.says;
  say(words);
}

async function begin() {
  button.disabled = true;
  say("The sound is fetched.");
  try {
    const answer = await fetch(button.dataset.track);
    if (!answer.ok) throw new Error(String(answer.status));
    sound.src = URL.createObjectURL(await answer.blob());
    await sound.play();
  } catch {
    button.disabled = false;
    stopped("The sound could not be played here. Take it as a file.");
    return;
  }
  button.disabled = false;
  button.textContent = button.dataset.stops;
  say("The sound runs.");
  cover();
}

if (button) {
  button.textContent = button.dataset.says;
  button.hidden = false;
  button.addEventListener("click", () => (sound.paused ? begin() : stopped("Stopped. It begins anew.")));
  sound.addEventListener("ended", () => stopped("The sound is over."));
}
