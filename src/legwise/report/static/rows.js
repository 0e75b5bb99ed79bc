/* Rows that lead to their place in the flight, the switch for a retelling, themes, sizes, and paper. */
const shown = document.getElementById("shown");
const calm = window.matchMedia("(prefers-reduced-motion: reduce)");
let row = null;

/* The frame of the plan view that holds a stretch with some room about it. */
function boxOf(span) {
  const { x, y } = chosenTrack(span);
  const known = (values) => [...values].filter(Number.isFinite);
  const [across, up] = [known(x), known(y)];
  if (across.length === 0) return null;
  const [west, east, south, north] = [Math.min(...across), Math.max(...across), Math.min(...up), Math.max(...up)];
  const room = Math.max(0.25 * Math.max(east - west, north - south), 0.4);
  return [west - room, east + room, south - room, north + room];
}

function choose(span, at, name, from) {
  for (const other of document.querySelectorAll("[aria-current]")) if (other !== from) other.removeAttribute("aria-current");
  row = from;
  state.span = span;
  shown.hidden = span === null;
  if (span === null) {
    showRange(FIRST, LAST);
    showBox(null);
  } else {
    if (from) from.setAttribute("aria-current", "true");
    document.getElementById("shown-name").textContent = `Shown: ${name}`;
    document.getElementById("back").hidden = !from;
    /* What is over in a moment is seen with a minute before and after it. */
    const length = span.to - span.from;
    const room = length < 60_000 ? 60_000 : Math.max(0.15 * length, 20_000);
    showRange(span.from - room, span.to + room);
    showBox(boxOf(span));
    showMoment(nearest(at));
  }
  showChosen(span);
}

document.addEventListener("click", (event) => {
  const from = event.target.closest("[data-from]");
  if (!from || !(event.target.closest(".go") || event.target.closest("tr[data-from]"))) return;
  const span = { from: Number(from.dataset.from), to: Number(from.dataset.to) };
  const name = from.dataset.name ?? from.querySelector("th .go, .go").lastChild.textContent;
  choose(span, Number(from.dataset.at), name, from);
  const flight = document.getElementById("flight");
  flight.focus({ preventScroll: true });
  flight.scrollIntoView({ behavior: calm.matches ? "auto" : "smooth", block: "start" });
});

document.getElementById("whole").addEventListener("click", () => choose(null));
document.getElementById("back").addEventListener("click", () => {
  const button = row?.querySelector(".go");
  if (!button) return;
  button.focus({ preventScroll: true });
  row.scrollIntoView({ behavior: calm.matches ? "auto" : "smooth", block: "center" });
});

const timeline = charts.find((chart) => chart.name === "timeline");
timeline?.gd.addEventListener("click", (event) => {
  const at = pointed(timeline, event);
  if (at === null) return;
  const time = series.times[at];
  const stretch = data.stretches.find((item) => item.from <= time && time <= item.to);
  if (stretch) choose({ from: stretch.from, to: stretch.to }, time, stretch.label, null);
});
for (const chart of charts) chart.gd.addEventListener("dblclick", () => choose(null));

const retell = document.getElementById("retell");
retell.addEventListener("click", () => {
  told = !told;
  retell.setAttribute("aria-pressed", String(told));
  retell.textContent = told ? "Show the verdicts" : "Hide the verdicts: tell it yourself first";
  document.body.classList.toggle("told", told);
  document.querySelector(".retelling").hidden = !told;
  drawAll();
});

/* On a phone what kept its limit is folded away at first, and the stretches, unlabelled there, are listed. */
const phone = window.matchMedia("(max-width: 40rem)");
const calmRows = document.querySelectorAll("#findings tr.calm").length;
const more = document.getElementById("calm");
if (more && calmRows > 3) {
  document.getElementById("findings").classList.add("folded");
  more.hidden = false;
  more.addEventListener("click", () => {
    document.getElementById("findings").classList.remove("folded");
    more.hidden = true;
    document.querySelector("#findings tr.calm .go").focus();
  });
}
const stretches = document.getElementById("stretches");
if (phone.matches && data.stretches.length <= 20) stretches.open = true;

document.getElementById("print").addEventListener("click", () => window.print());
window.addEventListener("beforeprint", () => { printing = true; drawAll(); });
window.addEventListener("afterprint", () => { printing = false; drawAll(); });
dark.addEventListener("change", drawAll);
touch.addEventListener("change", drawAll);

let sizing = 0;
const sizes = new ResizeObserver(() => {
  if (printing) return;
  cancelAnimationFrame(sizing);
  sizing = requestAnimationFrame(() => {
    for (const chart of charts) {
      const { clientWidth: width, clientHeight: height } = chart.gd;
      if (chart.gd._fullLayout && (chart.gd._fullLayout.width !== width || chart.gd._fullLayout.height !== height)) {
        Plotly.relayout(chart.gd, { width, height }).then(() => place(chart));
      }
    }
  });
});

drawAll().then(() => {
  for (const chart of charts) {
    follow(chart);
    sizes.observe(chart.gd);
  }
  showMoment(0, { spoken: false });
  document.documentElement.dataset.ready = "true";
});
