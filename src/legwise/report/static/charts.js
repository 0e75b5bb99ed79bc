/* The pictures: drawn light or dark, all along one time axis, each with a mark for the moment and a shade for what is chosen. */
const TIMED = new Set(["timeline", "lateral", "vertical", "altitude", "speed"]);
const dark = window.matchMedia("(prefers-color-scheme: dark)");
const touch = window.matchMedia("(pointer: coarse)");
/* On paper: sizes in CSS pixels that fit both A4 and Letter. */
const PAPER = {
  timeline: [690, 58], plan: [300, 340], lateral: [376, 80], vertical: [376, 80], altitude: [376, 92], speed: [376, 62], approach: [680, 146],
};
const PAPER_SCALE = 0.77;
let printing = false;
let told = false;

const charts = [...document.querySelectorAll(".drawing[data-figure]")].map((gd) => {
  const name = gd.dataset.figure;
  const add = (css) => {
    const mark = document.createElement("div");
    mark.className = css;
    mark.hidden = true;
    gd.parentElement.append(mark);
    return mark;
  };
  return { name, gd, timed: TIMED.has(name), mark: TIMED.has(name) ? add("hair") : add("dot"), shade: TIMED.has(name) ? add("shade") : null };
});
const timedCharts = charts.filter((chart) => chart.timed);
const plan = charts.find((chart) => chart.name === "plan");

/* A chosen stretch's own part of the track, for the plan view. */
function chosenTrack(span) {
  const from = span ? nearest(span.from) : 0;
  const to = span ? nearest(span.to) + 1 : 0;
  return { x: series.east.slice(from, to), y: series.north.slice(from, to) };
}

function fit(chart) {
  const { style } = chart.gd;
  const [width, height] = PAPER[chart.name] ?? PAPER.approach;
  style.width = printing ? `${width}px` : "";
  style.minHeight = printing ? "0" : "";
  style.height = printing ? `${height}px` : "";
}

/* Every letter and mark of a figure in the size of paper. */
function onPaper({ data: traces, layout }) {
  const fonts = [layout.font, layout.xaxis?.title?.font, ...traces.map((trace) => trace.textfont), ...(layout.annotations ?? []).map((note) => note.font)];
  for (const font of fonts) if (font?.size) font.size *= PAPER_SCALE;
  for (const note of layout.annotations ?? []) if (note.ax !== undefined) { note.ax *= PAPER_SCALE; note.ay *= PAPER_SCALE; note.borderpad = 1; }
  for (const { marker } of traces) {
    if (Array.isArray(marker?.size)) marker.size = marker.size.map((size) => size * PAPER_SCALE);
    else if (marker?.size) marker.size *= PAPER_SCALE;
  }
  /* A small needle's scale keeps its ends and its middle. */
  if (layout.yaxis.tickvals?.length === 5) {
    for (const ticks of ["tickvals", "ticktext"]) layout.yaxis[ticks] = layout.yaxis[ticks].filter((_, at) => at % 2 === 0);
  }
  if (layout.uniformtext) layout.uniformtext.minsize = 8;
  if (layout.margin.l > 40) Object.assign(layout.margin, { l: 60, b: layout.margin.b > 40 ? 36 : 22 });
}

function draw(chart) {
  fit(chart);
  const spec = prepared(data.figures[chart.name], dark.matches && !printing ? data.dark : {});
  for (const trace of spec.data) {
    if (trace.meta?.verdict && told) trace.visible = false;
    if (trace.meta?.chosen) Object.assign(trace, chosenTrack(printing ? null : state.span));
  }
  if (touch.matches) spec.layout.dragmode = false;
  if (printing) onPaper(spec);
  if (chart.timed && !printing) spec.layout.xaxis.range = [...state.range];
  if (chart.name === "plan" && state.box && !printing) {
    spec.layout.xaxis.range = state.box.slice(0, 2);
    spec.layout.yaxis.range = state.box.slice(2);
  }
  if (chart.timed) spec.layout.xaxis.nticks = Math.max(3, Math.min(8, Math.floor(chart.gd.clientWidth / 68)));
  spec.layout.width = chart.gd.clientWidth;
  spec.layout.height = chart.gd.clientHeight;
  return Plotly.react(chart.gd, spec.data, spec.layout, { displayModeBar: false, doubleClick: false, showTips: false });
}

function drawAll() {
  return Promise.all(charts.map(draw)).then(showGrid).then(placeAll);
}

/* Where the moment and the chosen stretch stand in a picture. */
function place(chart) {
  const layout = chart.gd._fullLayout;
  if (!layout) return;
  const { xaxis, yaxis } = layout;
  const put = (mark, left, top, width, height) => {
    mark.style.left = `${left}px`;
    mark.style.top = `${top}px`;
    if (width !== null) mark.style.width = `${width}px`;
    if (height !== null) mark.style.height = `${height}px`;
  };
  if (chart.timed) {
    const at = xaxis.l2p(series.times[state.moment]);
    chart.mark.hidden = at < 0 || at > xaxis._length;
    put(chart.mark, xaxis._offset + at, yaxis._offset, null, yaxis._length);
    chart.shade.hidden = !state.span;
    if (state.span) {
      const from = Math.max(0, xaxis.l2p(state.span.from));
      const to = Math.min(xaxis._length, xaxis.l2p(state.span.to));
      chart.shade.hidden = to <= 0 || from >= xaxis._length;
      put(chart.shade, xaxis._offset + from, yaxis._offset, Math.max(to - from, 2), yaxis._length);
    }
    return;
  }
  const [across, up] = chart === plan ? [series.east, series.north] : [toGo[chart.name], series.altitude];
  const x = xaxis.l2p(across[state.moment]);
  const y = yaxis.l2p(up[state.moment]);
  const inside = x >= 0 && x <= xaxis._length && y >= 0 && y <= yaxis._length;
  chart.mark.hidden = !inside;
  if (inside) put(chart.mark, xaxis._offset + x, yaxis._offset + y, null, null);
}

function placeAll() {
  for (const chart of charts) place(chart);
}

/* One range of time for every picture along time. */
function showRange(from, to) {
  const least = 20_000;
  const middle = (from + to) / 2;
  const half = Math.max(to - from, least) / 2;
  const range = [Math.max(FIRST, middle - half), Math.min(LAST, middle + half)];
  state.range = range[1] > range[0] ? range : [FIRST, LAST];
  return Promise.all(timedCharts.map(({ gd }) => Plotly.relayout(gd, { "xaxis.range": [...state.range] }))).then(placeAll);
}

function showBox(box) {
  state.box = box;
  if (!plan) return Promise.resolve();
  const layout = data.figures.plan.layout;
  const [x, y] = box ? [box.slice(0, 2), box.slice(2)] : [layout.xaxis.range, layout.yaxis.range];
  return Plotly.relayout(plan.gd, { "xaxis.range": [...x], "yaxis.range": [...y] }).then(showGrid).then(placeAll);
}

/* The grid of the plan view keeps whole miles, or parts of one, whatever part of it is seen. */
function showGrid() {
  if (!plan || printing) return;
  const layout = plan.gd._fullLayout;
  const span = (axis) => Math.abs(axis.range[1] - axis.range[0]);
  const reach = Math.max(span(layout.xaxis), span(layout.yaxis));
  const grid = data.grids.find(({ side }) => reach / side <= 8) ?? data.grids.at(-1);
  if (layout.xaxis.dtick === grid.side) return;
  Plotly.relayout(plan.gd, { "xaxis.dtick": grid.side, "yaxis.dtick": grid.side, [`annotations[${layout.annotations.length - 1}].text`]: grid.words });
}

function showChosen(span) {
  if (!plan) return;
  const { x, y } = chosenTrack(span);
  const last = plan.gd.data.length - 1;
  Plotly.restyle(plan.gd, { x: [x], y: [y] }, [last]);
}

/* A drag in one picture zooms them all; the changes we make ourselves come back the same and are let be. */
function follow(chart) {
  chart.gd.on("plotly_relayout", (change) => {
    const from = change["xaxis.range[0]"];
    const to = change["xaxis.range[1]"];
    if (chart.timed && from !== undefined && to !== undefined) {
      const number = (value) => (typeof value === "number" ? value : Date.parse(`${String(value).replace(" ", "T")}Z`));
      showRange(number(from), number(to));
    } else {
      if (chart === plan && from !== undefined) showGrid();
      placeAll();
    }
  });
}
