// The live maps of a field: cells of the ramp and, beside them, their doubt as dots. One ring marks
// the same spot on both; the mouse, a finger or the arrow keys move it. Shades, dots and ranges come
// from the desk; only places on the screen are worked out here.
import { t } from "./text.js";

const L = globalThis.L;
const boxes = [...document.querySelectorAll(".livemap")];
const said = document.getElementById("atring");
const style = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

if (L && boxes.length) {
  const answer = await fetch(boxes[0].dataset.cells, { credentials: "same-origin" });
  if (answer.ok) show(await answer.json());
}

/** @param {any} data */
function show(data) {
  const { cells } = data;
  const at = new Map();
  for (let i = 0; i < cells.mean.length; i++) at.set(`${cells.column[i]},${cells.row[i]}`, i);
  const corners = (i) => [
    [cells.lat_edges[cells.row[i]], cells.lon_edges[cells.column[i]]],
    [cells.lat_edges[cells.row[i] + 1], cells.lon_edges[cells.column[i] + 1]],
  ];
  const middle = (i) => {
    const [[south, west], [north, east]] = corners(i);
    return L.latLng((south + north) / 2, (west + east) / 2);
  };
  const [west, south, east, north] = cells.bounds;
  const rings = [];
  const maps = boxes.map((box) => {
    box.hidden = false;
    box.parentElement.querySelector(".still").hidden = true;
    const map = L.map(box, { attributionControl: false, zoomSnap: 0.25, preferCanvas: true, keyboard: false, zoomAnimation: false, fadeAnimation: false, zoomControl: false });
    L.control.zoom({ zoomInTitle: t("Closer"), zoomOutTitle: t("Farther") }).addTo(map);
    L.control.scale({ imperial: document.cookie.includes("units=metric") === false, metric: document.cookie.includes("units=metric") }).addTo(map);
    const compass = L.control({ position: "topright" });
    compass.onAdd = () => Object.assign(document.createElement("b"), { className: "north", textContent: t("N") + " \u2191" });
    compass.addTo(map);
    const paint = L.canvas({ padding: 0.3 });
    for (let i = 0; i < cells.mean.length; i++) {
      if (box.dataset.kind === "value") {
        L.rectangle(corners(i), { renderer: paint, stroke: false, fillOpacity: 1, fillColor: data.ramp[data.shade[i]], interactive: false }).addTo(map);
      } else {
        L.circle(middle(i), { renderer: paint, stroke: false, fillOpacity: 1, fillColor: style("--ink"), radius: (cells.cell_m / 2) * data.dot[i], interactive: false }).addTo(map);
      }
    }
    for (const ring of data.outline) L.polygon(ring, { renderer: paint, color: style("--ink"), weight: 2, fill: false, interactive: false }).addTo(map);
    // beside the buttons, so that they cover no cell
    map.fitBounds([[south, west], [north, east]], { paddingTopLeft: [66, 12], paddingBottomRight: [12, 12] });
    rings.push([
      L.circleMarker(map.getCenter(), { radius: 12, color: "#000", weight: 5, fill: false, interactive: false }).addTo(map),
      L.circleMarker(map.getCenter(), { radius: 12, color: "#fff", weight: 2, fill: false, interactive: false }).addTo(map),
    ]);
    return map;
  });
  boxes.forEach((box) => box.after(box.dataset.kind === "value" ? rampKey(data) : dotKey(data)));
  let here = null;
  const go = (i) => {
    if (i === undefined) return;
    here = i;
    for (const pair of rings) for (const ring of pair) ring.setLatLng(middle(i));
    const half = data.half[i];
    const value = cells.mean[i].toFixed(data.places);
    const unit = t(data.unit);
    said.textContent =
      half === null
        ? t("At the ring: {0} {1} by one point alone. Arrow keys move it.", value, unit)
        : t("At the ring: {0} {1} ±{2} by {3} points. Arrow keys move it.", value, unit, half.toFixed(data.places), cells.n[i]);
  };
  const find = (latlng) => {
    const column = cells.lon_edges.findIndex((edge) => edge > latlng.lng) - 1;
    const row = cells.lat_edges.findIndex((edge) => edge > latlng.lat) - 1;
    return at.get(`${column},${row}`);
  };
  const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  maps.forEach((map, which) => {
    map.on("mousemove click", (event) => go(find(event.latlng)));
    map.on("moveend", () => {
      const other = maps[1 - which];
      if (other && !other.getBounds().equals(map.getBounds())) other.setView(map.getCenter(), map.getZoom(), { animate: false });
    });
    boxes[which].addEventListener("keydown", (event) => {
      const step = keys[event.key];
      if (!step || here === null) return;
      event.preventDefault();
      let [column, row] = [cells.column[here], cells.row[here]];
      // over holes to the next cell that has points
      for (let n = 0; n < 400; n++) {
        column += step[0];
        row += step[1];
        const next = at.get(`${column},${row}`);
        if (next !== undefined) return go(next);
      }
    });
  });
  go(find(L.latLng((south + north) / 2, (west + east) / 2)) ?? 0);
}

/** The ramp with its values, as the picture for paper has it. @param {any} data */
function rampKey(data) {
  const key = document.createElement("div");
  key.className = "mapkey";
  const strip = document.createElement("canvas");
  strip.width = data.ramp.length;
  strip.height = 1;
  const brush = strip.getContext("2d");
  data.ramp.forEach((shade, at) => {
    brush.fillStyle = shade;
    brush.fillRect(at, 0, 1, 1);
  });
  const ticks = document.createElement("div");
  ticks.className = "ticks";
  ticks.append(...data.key.map((tick) => word(tick.text)));
  key.append(strip, ticks);
  return key;
}

/** Dots with what they mean. @param {any} data */
function dotKey(data) {
  const key = document.createElement("div");
  key.className = "mapkey dots";
  const svg = "http://www.w3.org/2000/svg";
  for (const tick of data.dot_key) {
    const picture = document.createElementNS(svg, "svg");
    picture.setAttribute("viewBox", "-1 -1 2 2");
    picture.setAttribute("aria-hidden", "true");
    const dot = document.createElementNS(svg, "circle");
    dot.setAttribute("r", tick.share);
    picture.append(dot);
    const one = word(tick.text);
    one.prepend(picture);
    key.append(one);
  }
  return key;
}

/** @param {string} text */
function word(text) {
  const out = document.createElement("span");
  out.textContent = text;
  return out;
}
