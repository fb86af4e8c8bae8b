// Fields drawn on plain paper. The sheet is in feet or meters, its middle at 0,0; the area comes from the server.
import { t } from "./text.js";

const sheet = document.getElementById("sheet");
const paper = document.getElementById("sheet-paper");
const says = document.getElementById("sheet-says");
const row = document.getElementById("sheet-row");
const size = document.getElementById("sheet-size");
const unit = sheet.dataset.unit;
const NS = "http://www.w3.org/2000/svg";
const blank = (number) => document.querySelector(`[data-corners="${number}"]`);
const corners = new Map(); // row -> [[east, north], ...]
let pencil = [0, 0];

/** One square of the sheet, and the step of an arrow key: a fixed choice for each size of sheet. */
const STEPS = { 1200: [100, 20], 3000: [250, 50], 6000: [500, 100], 400: [50, 5], 1000: [100, 20], 2000: [200, 50] };
const here = () => corners.get(row.value) ?? [];

const put = (name, attributes, parent = paper) => {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  parent.append(made);
  return made;
};

function draw() {
  const wide = Number(size.value);
  const [square] = STEPS[wide];
  const left = -wide / 2;
  const top = -wide / 3;
  paper.setAttribute("viewBox", `${left} ${top} ${wide} ${-2 * top}`);
  paper.replaceChildren();
  for (let x = 0; x <= -left; x += square) for (const at of [x, -x]) put("path", { class: x === 0 ? "bold" : "fine", d: `M${at} ${top}V${-top}` });
  for (let y = 0; y <= -top; y += square) for (const at of [y, -y]) put("path", { class: y === 0 ? "bold" : "fine", d: `M${left} ${at}H${-left}` });
  document.getElementById("sheet-scale").textContent = t("one square is {0} {1}", square, unit);
  const points = here().map(([east, north]) => `${east},${-north}`);
  if (points.length > 1) put(points.length > 2 ? "polygon" : "polyline", { class: "outline", points: points.join(" ") });
  for (const [east, north] of here()) put("circle", { class: "corner", cx: east, cy: -north, r: wide / 150 });
  const arm = wide / 90;
  put("path", { class: "pencil", d: `M${pencil[0] - arm} ${-pencil[1]}h${2 * arm}M${pencil[0]} ${-pencil[1] - arm}v${2 * arm}` });
}

async function tell() {
  const number = row.value;
  const points = here();
  const written = points.map((point) => point.join(",")).join(" ");
  blank(number).value = points.length > 2 ? written : "";
  if (points.length < 3) {
    says.textContent = points.length ? t("{0} corners; three make a field", points.length) : "";
    document.getElementById(`drawn-${number}`).textContent = "";
    return;
  }
  const answer = await fetch(`/start/area?${new URLSearchParams({ corners: written, unit })}`).catch(() => null);
  if (!answer?.ok) return;
  const area = await answer.json();
  says.textContent = area.says;
  document.getElementById(`drawn-${number}`).textContent = area.known ? t("Drawn: {0}", area.says) : area.says;
}

function set(point) {
  corners.set(row.value, [...here(), point]);
  pencil = point;
  draw();
  tell();
}
function back() {
  corners.set(row.value, here().slice(0, -1));
  draw();
  tell();
}

const [, firstStep] = STEPS[size.value];
let step = firstStep;
const snap = (value) => Math.round(value / (step / 2)) * (step / 2);

paper.addEventListener("pointerdown", (event) => {
  if (event.button !== 0) return;
  event.preventDefault();
  paper.focus();
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(paper.getScreenCTM().inverse());
  set([snap(at.x), snap(-at.y)]);
});
paper.addEventListener("keydown", (event) => {
  const far = event.shiftKey ? 5 * step : step;
  const move = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, far], ArrowDown: [0, -far] }[event.key];
  if (move) {
    event.preventDefault();
    pencil = [pencil[0] + move[0], pencil[1] + move[1]];
    draw();
    says.textContent = t("pencil at {0} east, {1} north", pencil[0], pencil[1]);
  } else if (event.key === "Enter") {
    event.preventDefault();
    set([...pencil]);
  } else if (event.key === "Backspace") {
    event.preventDefault();
    back();
  }
});
size.addEventListener("change", () => {
  [, step] = STEPS[size.value];
  draw();
});
row.addEventListener("change", () => {
  says.textContent = "";
  draw();
});
document.getElementById("sheet-back").addEventListener("click", back);
document.getElementById("sheet-clear").addEventListener("click", () => {
  corners.set(row.value, []);
  draw();
  tell();
});

const where = document.getElementById("sheet-here");
if ("geolocation" in navigator && isSecureContext) {
  where.hidden = false;
  where.addEventListener("click", () => {
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        document.getElementById("sheet-latitude").value = coords.latitude.toFixed(6);
        document.getElementById("sheet-longitude").value = coords.longitude.toFixed(6);
      },
      () => { says.textContent = t("The position is not known; type it, or leave it."); },
    );
  });
}

for (const filled of document.querySelectorAll("[data-corners]")) {
  if (filled.value) corners.set(filled.dataset.corners, filled.value.split(" ").map((pair) => pair.split(",").map(Number)));
}
sheet.hidden = false;
if (corners.size) {
  sheet.open = true;
  tell();
}
draw();
