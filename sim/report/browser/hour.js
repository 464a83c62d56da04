// The hour that the whole page looks at, in hours since the run's start. Sliders and curves tell it
// and follow it, so that maps, curves and words always speak of the same instant.
const hour = (() => {
  const followers = [];
  let now = null;
  return {
    follow(act) {
      followers.push(act);
    },
    set(at) {
      if (at === now) return;
      now = at;
      for (const act of followers) act(at);
    },
    now: () => now,
  };
})();

/** Index of the instant nearest to one given; instants rise. */
const nearest = (instants, at) => {
  let low = 0, high = instants.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (instants[middle] <= at) low = middle;
    else high = middle;
  }
  return at - instants[low] <= instants[high] - at ? low : high;
};

const byId = (id) => document.getElementById(id);
const dataOf = (id) => {
  const block = byId(id);
  return block ? JSON.parse(block.textContent) : null;
};
const make = (name, className, text) => {
  const element = document.createElement(name);
  if (className) element.className = className;
  if (text) element.textContent = text;
  return element;
};
const makeSvg = (name, attributes) => {
  const element = document.createElementNS(document.querySelector('svg').namespaceURI, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
};
