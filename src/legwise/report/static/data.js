"use strict";
/* What the page was given: arrays unpacked once, shared by every picture. */
const data = JSON.parse(document.getElementById("debrief-data").textContent);
const KINDS = { f8: Float64Array, f4: Float32Array, i4: Int32Array, i2: Int16Array, i1: Int8Array, u1: Uint8Array, u2: Uint16Array, u4: Uint32Array };
const arrays = data.arrays.map(({ dtype, bdata }) => {
  const bytes = Uint8Array.from(atob(bdata), (letter) => letter.charCodeAt(0));
  return new KINDS[dtype](bytes.buffer);
});

/* A figure with its arrays in their places and its colours changed one for one. */
function prepared(value, colours) {
  if (typeof value === "string") return colours[value] ?? value;
  if (value === null || typeof value !== "object") return value;
  if (Array.isArray(value)) return value.map((item) => prepared(item, colours));
  if (value.array !== undefined && Object.keys(value).length === 1) return arrays[value.array];
  return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, prepared(item, colours)]));
}

const taken = (place) => arrays[place.array];
const series = {
  times: taken(data.times), recorded: taken(data.recorded), east: taken(data.east), north: taken(data.north),
  altitude: taken(data.altitude), lateral: taken(data.lateral), vertical: taken(data.vertical), speed: taken(data.speed),
};
const toGo = Object.fromEntries(Object.entries(data.toGo).map(([key, place]) => [key, taken(place)]));
const readout = data.readout.map(({ name, words, codes }) => ({ name, words, codes: taken(codes) }));
const FIRST = series.times[0];
const LAST = series.times[series.times.length - 1];

/* The drawn sample nearest a time. */
function nearest(time) {
  let low = 0;
  let high = series.times.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (series.times[middle] <= time) low = middle; else high = middle;
  }
  return time - series.times[low] <= series.times[high] - time ? low : high;
}

/* The sample nearest a place in a picture; NaN values never win. */
function nearestPlace(across, up, x, y, scaleX, scaleY) {
  let best = -1;
  let least = Infinity;
  for (let at = 0; at < across.length; at += 1) {
    const dx = (across[at] - x) * scaleX;
    const dy = (up[at] - y) * scaleY;
    const size = dx * dx + dy * dy;
    if (size < least) { least = size; best = at; }
  }
  return best;
}
