// Four corners on a strip's picture, moved by finger, mouse or arrow keys; the form's own field carries them.

const svg = document.querySelector(".outlines");
const field = document.getElementById("f-corners");
const outline = document.getElementById("outline");
const handles = [...document.querySelectorAll(".corner")];
const { width, height } = svg.viewBox.baseVal;
const STEP = 0.002;
const places = outline.getAttribute("points").trim().split(/\s+/).map((p) => p.split(",").map(Number));

document.querySelector(".scripted").hidden = false;

function show() {
  outline.setAttribute("points", places.map((p) => p.join(",")).join(" "));
  handles.forEach((g, k) => {
    const [x, y] = places[k];
    const across = Math.round((100 * x) / width);
    g.setAttribute("transform", `translate(${x} ${y})`);
    g.setAttribute("aria-valuenow", across);
    g.setAttribute("aria-valuetext", `${across} % from the left, ${Math.round((100 * y) / height)} % from the top`);
  });
}

function move(k, x, y) {
  places[k] = [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)];
  field.value = places.map(([a, b]) => `${(a / width).toFixed(4)},${(b / height).toFixed(4)}`).join("  ");
  document.querySelector(".beside").classList.add("changed");
  show();
}

function onPicture(event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [at.x, at.y];
}

handles.forEach((g, k) => {
  let from = null;
  g.addEventListener("pointerdown", (event) => {
    const [x, y] = onPicture(event);
    from = [places[k][0] - x, places[k][1] - y];
    g.setPointerCapture(event.pointerId);
    event.preventDefault();
    g.focus();
  });
  g.addEventListener("pointermove", (event) => {
    if (!from) return;
    const [x, y] = onPicture(event);
    move(k, x + from[0], y + from[1]);
  });
  for (const end of ["pointerup", "pointercancel"]) g.addEventListener(end, () => { from = null; });
  g.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!by) return;
    event.preventDefault();
    const far = (event.shiftKey ? 10 : 1) * STEP * Math.max(width, height);
    move(k, places[k][0] + by[0] * far, places[k][1] + by[1] * far);
  });
});

field.addEventListener("change", () => {
  const said = (field.value.match(/-?\d*\.?\d+/g) ?? []).map(Number);
  if (said.length !== 8) return;
  for (let k = 0; k < 4; k += 1) places[k] = [said[2 * k] * width, said[2 * k + 1] * height];
  show();
});
