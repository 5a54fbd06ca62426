// The slider of the sheet ahead: while a frame is under way the newest wish waits, so that the picture follows the finger.
// What each step is called came with the page; the picture is drawn by the server.
(function () {
  "use strict";
  const form = document.getElementById("slide");
  const image = document.getElementById("ahead");
  const said = document.getElementById("stops-words");
  const range = form && form.elements.namedItem("stops");
  if (!form || !image || !range) return;
  const words = {};
  for (const option of document.querySelectorAll("#stop-words option")) words[option.value] = option.label;
  let wanted = null;
  let busy = false;
  function ask() {
    if (busy || wanted === null) return;
    busy = true;
    const next = wanted;
    wanted = null;
    image.src = form.dataset.base + "?" + next;
  }
  function done() {
    busy = false;
    ask();
  }
  image.addEventListener("load", done);
  image.addEventListener("error", done);
  range.addEventListener("input", () => {
    said.textContent = words[range.value] || "";
    wanted = new URLSearchParams(new FormData(form)).toString();
    ask();
  });
})();
