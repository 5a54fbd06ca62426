// Times how long a button is held and writes each time into the field that is sent; without it the times are typed.
(function () {
  "use strict";
  const button = document.getElementById("tap"), said = document.getElementById("tapped"), field = document.getElementById("f-taps");
  if (!button || !field) return;
  button.hidden = false;
  let began = null;
  const open = (e) => { e.preventDefault(); if (began === null) { began = e.timeStamp; said.textContent = "Open."; } };
  const shut = (e) => {
    if (began === null) return;
    const held = (e.timeStamp - began) / 1000;
    began = null;
    field.value = (field.value.trim() + " " + held.toFixed(2)).trim();
    said.textContent = held.toFixed(1) + " s; " + field.value.split(/\s+/).length + " of 10.";
  };
  button.addEventListener("pointerdown", open);
  button.addEventListener("pointerup", shut);
  button.addEventListener("pointercancel", () => { began = null; });
  button.addEventListener("keydown", (e) => { if (e.key === " " && !e.repeat) open(e); });
  button.addEventListener("keyup", (e) => { if (e.key === " ") shut(e); });
  button.addEventListener("contextmenu", (e) => e.preventDefault());
})();
