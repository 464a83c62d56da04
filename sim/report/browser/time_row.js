// A slider over instants with buttons to step and to play. `clock` gives the words beside it,
// `said` those that a screen reader speaks; both for an instant's index.
const timeRow = (id, instants, clock, said) => {
  const slider = byId(`${id}-time`), play = byId(`${id}-play`);
  const playWords = play.textContent;
  let timer = 0;
  const stop = () => {
    clearInterval(timer);
    timer = 0;
    play.textContent = playWords;
  };
  const go = (index) => hour.set(instants[Math.max(0, Math.min(instants.length - 1, index))]);
  const step = (by) => go(Number(slider.value) + by);
  slider.addEventListener('input', () => {
    stop();
    go(Number(slider.value));
  });
  byId(`${id}-earlier`).addEventListener('click', () => { stop(); step(-1); });
  byId(`${id}-later`).addEventListener('click', () => { stop(); step(1); });
  play.addEventListener('click', () => {
    if (timer) return stop();
    if (Number(slider.value) >= instants.length - 1) go(0);
    play.textContent = 'Stop';
    timer = setInterval(() => {
      step(1);
      if (Number(slider.value) >= instants.length - 1) stop();
    }, Math.max(40, 15000 / instants.length));
  });
  hour.follow((at) => {
    const index = nearest(instants, at);
    slider.value = index;
    slider.setAttribute('aria-valuetext', said(index));
    byId(`${id}-clock`).textContent = clock(index);
  });
};
