// The strip of fans, vents, shade and bursts: the still picture itself, with the shared cursor laid
// over it and the state at the hour in words.
const countWords = (row, count) => count === 0 ? row.none : count === 1 ? row.one : row.many.replace('#', count);

/** Index of the last of rising instants that is not later than one given; -1 before the first. */
const lastBefore = (instants, at) => {
  let index = -1;
  while (index + 1 < instants.length && instants[index + 1] <= at + 1e-9) ++index;
  return index;
};

const startSwitches = (data) => {
  const picture = document.querySelector('[data-panel="switches"] svg');
  if (!picture) return;
  const area = picture.querySelector('.plot-area');
  const number = (name) => Number(area.getAttribute(name));
  const line = picture.appendChild(makeSvg('line',
    {'class': 'cursor-line', y1: number('y'), y2: number('y') + number('height')}));
  const words = make('p', 'key state');
  picture.after(words);
  hour.follow((at) => {
    const x = number('x') + number('width') * at / data.end;
    line.setAttribute('x1', x);
    line.setAttribute('x2', x);
    const parts = data.switches.map((row) => {
      const index = lastBefore(row.from, at);
      return countWords(row, index < 0 ? 0 : row.count[index]);
    });
    const burst = lastBefore(data.bursts, at);
    parts.push(burst < 0 ? 'no burst yet' : `last burst at ${clockWords(data, data.bursts[burst])}`);
    words.textContent = `${clockWords(data, at)}: ${parts.join('; ')}`;
  });
  picture.addEventListener('pointermove', (event) => {
    const box = area.getBoundingClientRect();
    const share = (event.clientX - box.left) / box.width;
    if (share >= 0 && share <= 1) hour.set(data.at[nearest(data.at, share * data.end)]);
  });
};
