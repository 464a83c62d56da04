// Bench maps that follow the hour: one path a colour, redrawn from a letter a cell ("A3B" is AAAB).
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
    let cell = 0;
    for (const [, letter, count] of map.levels[frame].matchAll(/([A-X])(\d*)/g))
      for (const end = cell + Number(count || 1); cell < end; ++cell)
        shapes[letter.charCodeAt(0) - 65] += corner[cell];
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
