// Bench maps that follow the hour: one path a colour, redrawn from a letter a cell.
const startMaps = (data) => {
  const box = byId('film-live');
  const maps = data.maps.map((map) => {
    const figure = box.querySelector(`[data-map="${map.id}"]`);
    const cells = figure.querySelector('.cells');
    const paths = map.colours.map((fill) => cells.appendChild(makeSvg('path', {fill, 'class': 'cell'})));
    return {...map, paths, numbers: [...figure.querySelectorAll('.third')],
      said: figure.querySelector('.said'), short: figure.querySelector('.short')};
  });
  const corner = data.x.map((x, i) => `M${x} ${data.y[i]}h${data.edge}v${data.edge}h-${data.edge}z`);
  const show = (map, frame) => {
    const shapes = map.colours.map(() => '');
    const letters = map.levels[frame];
    for (let i = 0; i < letters.length; ++i) shapes[letters.charCodeAt(i) - 65] += corner[i];
    map.paths.forEach((path, level) => path.setAttribute('d', shapes[level]));
    map.numbers.forEach((number, i) => { number.textContent = map.thirds[frame][i]; });
    map.said.textContent = `${data.clock[frame]}: ${map.words[frame]}`;
    map.short.textContent = map.shorts[frame];
  };
  timeRow('film', data.at, (frame) => data.clock[frame],
    (frame) => `${data.clock[frame]}: ${data.maps.map((map) => map.words[frame]).join(' ')}`);
  hour.follow((at) => {
    const frame = nearest(data.at, at);
    for (const map of maps) show(map, frame);
  });
  box.hidden = false;
};
