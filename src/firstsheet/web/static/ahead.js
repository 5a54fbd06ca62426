// The sliders of the sheet ahead: while a frame is under way the newest wish waits, so that the picture follows the finger.
// What each step is called came with the page; picture, curve and words are made by the server.
(function () {
  "use strict";
  const form = document.getElementById("slide");
  const image = document.getElementById("ahead");
  if (!form || !image) return;
  const still = [["curve", "/curve.svg?"], ["five", "/five.jpg?"]];
  let wanted = null;
  let busy = false;
  let resting = 0;
  function ask() {
    if (busy || wanted === null) return;
    busy = true;
    const next = wanted;
    wanted = null;
    image.src = form.dataset.base + "/sheet.jpg?" + next;
  }
  function done() {
    busy = false;
    ask();
  }
  function rested(query) {
    for (const [id, path] of still) {
      const one = document.getElementById(id);
      if (one) one.src = form.dataset.base + path + query;
    }
    fetch(form.dataset.base + "/said.json?" + query).then((r) => r.json()).then((found) => {
      if (!found.first) return;
      document.getElementById("said").textContent = found.first;
      for (const one of document.querySelectorAll("[data-figure]")) one.textContent = found.figures[one.dataset.figure] || one.textContent;
      const notes = document.getElementById("notes");
      notes.replaceChildren(...found.notes.map((words) => {
        const p = document.createElement("p");
        p.className = "help";
        p.textContent = words;
        return p;
      }));
    }).catch(() => {});
  }
  image.addEventListener("load", done);
  image.addEventListener("error", done);
  form.addEventListener("input", (event) => {
    const said = document.getElementById(event.target.id + "-words");
    const step = said && document.querySelector("#" + event.target.id + '-list option[value="' + event.target.value + '"]');
    if (step) said.textContent = step.label;
    if (event.target.closest("[data-still]")) return;
    const query = new URLSearchParams(new FormData(form)).toString();
    wanted = query;
    ask();
    clearTimeout(resting);
    resting = setTimeout(rested, 250, query);
  });
})();
