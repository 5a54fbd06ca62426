// Moves the chair of the plan along the places that came with the page; the board follows as the place says. Nothing is reckoned here
// but which place lies nearest to the finger, and nothing is kept: what is let go of stands in the form.
(function () {
  "use strict";
  const plan = document.getElementById("chair-plan"), told = document.getElementById("chair-said");
  const field = document.getElementById("f-subject"), other = document.getElementById("f-board");
  const svg = plan && plan.querySelector("svg"), places = plan && JSON.parse(plan.dataset.places);
  if (!svg || !told || !field || places.length < 2) return;
  const chair = svg.querySelector(".chair-moves"), board = svg.querySelector(".board-moves"), stays = document.querySelectorAll(".stands");
  const handle = document.createElement("div");
  let at = Number(plan.dataset.at);
  handle.className = "handle";
  handle.id = "chair";
  handle.tabIndex = 0;
  for (const [name, value] of [["role", "slider"], ["aria-label", "The chair"], ["aria-orientation", "horizontal"],
    ["aria-valuemin", "0"], ["aria-valuemax", String(places.length - 1)]]) handle.setAttribute(name, value);
  handle.style.top = plan.dataset.top + "%";
  plan.append(handle);
  document.getElementById("chair-how").hidden = false;

  const show = (i, moved) => {
    at = Math.max(0, Math.min(places.length - 1, i));
    const p = places[at];
    handle.style.left = p.left + "%";
    handle.setAttribute("aria-valuenow", String(at));
    handle.setAttribute("aria-valuetext", p.said);
    if (!moved) return;
    chair.setAttribute("transform", "translate(" + p.chair + " 0)");
    board.setAttribute("transform", "translate(" + p.board + " 0)");
    for (const one of stays) one.classList.add("past");
    if (!told.style.minHeight) told.style.minHeight = told.offsetHeight + "px"; // a shorter sentence must not pull the plan up under the finger
    told.textContent = p.said;
    document.getElementById("fig-board_mm").textContent = p.board_said;
    document.getElementById("fig-subject_mm").textContent = p.subject_said;
    field.value = p.field;
    if (other) other.value = "";
  };
  const nearest = (x) => {
    const box = svg.getBoundingClientRect(), here = (x - box.left) / box.width * 100;
    let best = 0;
    places.forEach((p, i) => { if (Math.abs(p.left - here) < Math.abs(places[best].left - here)) best = i; });
    return best;
  };
  let held = false;
  handle.addEventListener("pointerdown", (e) => { held = true; handle.setPointerCapture(e.pointerId); handle.focus(); e.preventDefault(); });
  handle.addEventListener("pointermove", (e) => { if (held) show(nearest(e.clientX), true); });
  handle.addEventListener("pointerup", () => { held = false; });
  handle.addEventListener("pointercancel", () => { held = false; });
  handle.addEventListener("keydown", (e) => {
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10, Home: -places.length, End: places.length }[e.key];
    if (by) { show(at + by, true); e.preventDefault(); }
  });
  show(at, false);
})();
