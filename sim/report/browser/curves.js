// The day's curves, drawn by uPlot under one cursor; the still pictures stay for paper.
const ink = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
// As the still curves: told apart by colour and by dashes.
const dashes = [[], [7, 3], [2, 3], [9, 3, 2, 3], []];
const curveFont = '12px system-ui, "DejaVu Sans", sans-serif';

const hourTicks = (data, wide) => {
  const step = data.end > 30 ? 24 * Math.ceil(data.end / 24 / 8) : data.end > 12 ? (wide ? 3 : 6) : 2;
  const ticks = [];
  for (let at = Math.ceil(data.start / step - 1e-9) * step; at <= data.start + data.end + 1e-9; at += step)
    ticks.push(at - data.start);
  return ticks;
};
const tickWords = (data, at) =>
  data.end > 30 ? `day ${Math.round((data.start + at) / 24) + 1}` : clockWords(data, at).replace(/^24/, '24');

const valueRange = (zero) => (plot, low, high) => {
  if (low === null || high === null) return [0, 1];
  if (zero) return [Math.min(0, low * 1.05), high > 0 ? high * 1.06 : 1];
  const room = Math.max(1, high - low) * 0.06;
  return [low - room, high + room];
};

/** Small upright lines along the foot of a plot. */
const burstTicks = (data) => (plot) => {
  const {ctx, bbox} = plot;
  ctx.save();
  ctx.strokeStyle = ink('--quiet');
  ctx.lineWidth = uPlot.pxRatio;
  ctx.beginPath();
  for (const at of data.bursts) {
    const x = plot.valToPos(at, 'x', true);
    ctx.moveTo(x, bbox.top + bbox.height);
    ctx.lineTo(x, bbox.top + bbox.height - 7 * uPlot.pxRatio);
  }
  ctx.stroke();
  ctx.restore();
};

const options = (data, panel, width, settled) => {
  const fahrenheit = panel.words.includes('\u00b0F');
  return {
    width, height: 210, legend: {show: false}, padding: [8, 22, 0, 0],
    scales: {x: {time: false, range: [0, data.end]}, y: {range: valueRange(panel.zero)}},
    cursor: {y: false, drag: {x: false, y: false}, bind: {mouseleave: () => null}, points: {size: 8}},
    axes: [
      {stroke: () => ink('--quiet'), font: curveFont, size: 30, grid: {stroke: () => ink('--rule'), width: 1},
        ticks: {show: false}, splits: (plot) => hourTicks(data, plot.width > 520),
        values: (plot, ticks) => ticks.map((at) => tickWords(data, at))},
      {stroke: () => ink('--quiet'), font: curveFont, size: fahrenheit ? 70 : 50, ticks: {show: false},
        grid: {stroke: () => ink('--rule'), width: 1},
        values: (plot, ticks, axis, space, step) => ticks.map((tick) => {
          const words = tick.toFixed(Math.max(0, Math.min(3, -Math.floor(Math.log10(step) + 1e-9))));
          return fahrenheit ? `${words} (${Math.round(1.8 * tick + 32)})` : words;
        })},
    ],
    series: [{}, ...panel.series.map((series, i) => ({
      label: series.label, width: 2, stroke: () => ink(`--c${i + 1}`), dash: dashes[i], points: {show: false},
      paths: panel.stepped ? uPlot.paths.stepped({align: 1}) : uPlot.paths.linear(),
    }))],
    hooks: {
      draw: panel.bursts ? [burstTicks(data)] : [],
      ready: [settled],
      setSize: [settled],
    },
  };
};

/** Words above a plot: each curve's line, name and value under the cursor. */
const makeKey = (panel) => {
  const key = make('ul', 'key');
  const values = panel.series.map((series, i) => {
    const item = key.appendChild(make('li'));
    const sample = makeSvg('svg', {viewBox: '0 0 26 8', 'class': 'sample', 'aria-hidden': 'true'});
    sample.append(makeSvg('line', {x1: 0, y1: 4, x2: 26, y2: 4, 'class': `curve c${i + 1}`}));
    item.append(sample, make('span', '', series.label), make('b', 'value'));
    return item.lastChild;
  });
  if (panel.bursts) {
    const item = key.appendChild(make('li'));
    const sample = makeSvg('svg', {viewBox: '0 0 26 8', 'class': 'sample', 'aria-hidden': 'true'});
    for (const x of [5, 10, 15, 20]) sample.append(makeSvg('line', {x1: x, y1: 0, x2: x, y2: 8, 'class': 'tick-mark'}));
    item.append(sample, make('span', '', 'bursts'));
  }
  return {key, show: (index) => panel.series.forEach((series, i) => {
    values[i].textContent = numberWords(series.values[index], panel);
  })};
};

const startCurve = (data, panel) => {
  const place = document.querySelector(`[data-panel="${panel.id}"] figure`);
  if (!place) return null;
  const still = place.querySelector('svg');
  still.classList.add('still');
  const box = make('div', 'live-curve');
  const {key, show} = makeKey(panel);
  const canvas = make('div', 'plot');
  canvas.setAttribute('role', 'img');
  canvas.setAttribute('aria-label', still.getAttribute('aria-label'));
  box.append(make('p', 'axis-words', panel.words), key, canvas);
  place.insertBefore(box, still);
  let placed = false;
  const follow = (at) => {
    if (at === null) return;
    show(nearest(data.at, at));
    if (placed) plot.setCursor({left: plot.valToPos(at, 'x'), top: 1}, false);
  };
  // Places are known only when the library has laid itself out, which it does a moment later.
  const settled = () => queueMicrotask(() => {
    placed = true;
    follow(hour.now());
  });
  const plot = new uPlot(options(data, panel, canvas.clientWidth || 400, settled),
    [data.at, ...panel.series.map((series) => series.values)], canvas);
  hour.follow(follow);
  for (const what of ['pointermove', 'pointerdown'])
    plot.over.addEventListener(what, (event) => {
      const at = plot.posToVal(event.clientX - plot.over.getBoundingClientRect().left, 'x');
      hour.set(data.at[nearest(data.at, at)]);
      // The library follows the pointer itself, between the instants.
      requestAnimationFrame(() => follow(hour.now()));
    });
  new ResizeObserver(() => {
    if (canvas.clientWidth === 0 || canvas.clientWidth === plot.width) return;
    plot.setSize({width: canvas.clientWidth, height: plot.height});
  }).observe(canvas);
  return plot;
};

const startCurves = (data) => {
  const plots = data.panels.map((panel) => startCurve(data, panel)).filter((plot) => plot);
  const spoken = data.panels.filter((panel) => panel.spoken >= 0);
  timeRow('day', data.at, (index) => clockWords(data, data.at[index]),
    (index) => `${clockWords(data, data.at[index])}: ` + spoken.map((panel) => {
      const series = panel.series[panel.spoken];
      return `${panel.words.split(',')[0]} ${numberWords(series.values[index], panel)}`;
    }).join('; '));
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => plots.forEach((plot) => plot.redraw(false)));
  byId('day-live').hidden = false;
};
