/* The moment: one sample, shown everywhere, told in words. */
const state = { moment: 0, range: [FIRST, LAST], span: null, box: null };
const slider = document.getElementById("moment");
const clock = document.querySelector('[data-part="clock"]');
const parts = readout.map((part) => ({ ...part, box: document.querySelector(`[data-part="${part.name}"]`) }));
const aloud = document.getElementById("said-aloud");
let waiting = 0;

slider.max = String((LAST - FIRST) / 1000);

const clockWords = (time) => `${new Date(time).toISOString().slice(11, 19)}Z`;
const momentWords = (at) => parts.map((part) => part.words[part.codes[at]]).filter(Boolean);

function showMoment(at, { spoken = true } = {}) {
  const bounded = Math.max(0, Math.min(series.times.length - 1, at));
  state.moment = bounded;
  const time = series.times[bounded];
  clock.textContent = clockWords(time);
  for (const part of parts) {
    const words = part.words[part.codes[bounded]];
    if (part.box.textContent !== words) part.box.textContent = words;
  }
  slider.value = String((time - FIRST) / 1000);
  slider.setAttribute("aria-valuetext", [clockWords(time), ...momentWords(bounded)].join(", "));
  placeAll();
  clearTimeout(waiting);
  if (spoken) waiting = setTimeout(() => { aloud.textContent = [clockWords(series.times[state.moment]), ...momentWords(state.moment)].join(", "); }, 900);
}

slider.addEventListener("input", () => showMoment(nearest(FIRST + Number(slider.value) * 1000), { spoken: false }));

function step(key, shifted) {
  const minute = (by) => nearest(series.times[state.moment] + by * 60_000);
  const by = shifted ? 10 : 1;
  switch (key) {
    case "ArrowRight": case "ArrowUp": return state.moment + by;
    case "ArrowLeft": case "ArrowDown": return state.moment - by;
    case "PageUp": return minute(1);
    case "PageDown": return minute(-1);
    case "Home": return nearest(state.range[0]);
    case "End": return nearest(state.range[1]);
    default: return null;
  }
}

document.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  const onSlider = event.target === slider;
  const scrolls = event.target instanceof Element && event.target.closest(".scroll, input:not(#moment)");
  if (!onSlider && (scrolls || !["ArrowLeft", "ArrowRight"].includes(event.key))) return;
  const to = step(event.key, event.shiftKey);
  if (to === null) return;
  event.preventDefault();
  showMoment(to, { spoken: !onSlider });
});

/* Pointing at a picture moves the moment; a picture along time by time, the others by the nearest place flown. */
function pointed(chart, event) {
  const layout = chart.gd._fullLayout;
  if (!layout) return null;
  const frame = chart.gd.getBoundingClientRect();
  const x = event.clientX - frame.left - layout.xaxis._offset;
  const y = event.clientY - frame.top - layout.yaxis._offset;
  if (x < 0 || x > layout.xaxis._length || y < 0 || y > layout.yaxis._length) return null;
  if (chart.timed) return nearest(layout.xaxis.p2l(x));
  const across = chart === plan ? series.east : toGo[chart.name];
  const up = chart === plan ? series.north : series.altitude;
  const scale = (axis) => Math.abs(axis.l2p(1) - axis.l2p(0));
  return nearestPlace(across, up, layout.xaxis.p2l(x), layout.yaxis.p2l(y), scale(layout.xaxis), scale(layout.yaxis));
}

let frameAsked = 0;
for (const chart of charts) {
  const move = (event) => {
    if (event.pointerType === "mouse" && event.buttons) return;
    cancelAnimationFrame(frameAsked);
    frameAsked = requestAnimationFrame(() => {
      const at = pointed(chart, event);
      if (at !== null && at >= 0) showMoment(at);
    });
  };
  chart.gd.addEventListener("pointermove", move);
  chart.gd.addEventListener("pointerdown", move);
}
