// What moves on the report: the slider of the maps, and one cursor for all curves.
import assert from 'node:assert/strict';
import {attributes, clipped, finish, open, overlapping, spoilt, test, violations} from './page.mjs';

const look = async (page) => ({
  film: (await attributes(page, '[data-map=film] .cells path', 'd')).join('|'),
  bare: (await attributes(page, '[data-map=bare] .cells path', 'd')).join('|'),
  said: await page.textContent('[data-map=film] .said'),
  spoken: await page.getAttribute('#film-time', 'aria-valuetext'),
  clock: await page.textContent('#film-clock'),
  numbers: (await page.locator('[data-map=film] .third').allTextContents()).join(),
});

/** What every panel says at the cursor, and where the cursor stands, as a share of its plot. */
const cursors = (page) => page.evaluate(async () => {
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  return [...document.querySelectorAll('.live-curve')].map((box) => {
    const over = box.querySelector('.u-over').getBoundingClientRect();
    const line = box.querySelector('.u-cursor-x').getBoundingClientRect();
    return {values: [...box.querySelectorAll('.value')].map((value) => value.textContent), share: (line.left - over.left) / over.width};
  });
});
const together = (all) => {
  for (const {share, values} of all) {
    assert.ok(Math.abs(share - all[0].share) < 0.01, `${share} beside ${all[0].share}`);
    for (const value of values) assert.match(value, /^-?\d+(\.\d+)?\u00a0\S/);
  }
};

test('the slider moves both maps, their numbers and what is said, by key', async () => {
  const faults = await open({}, async (page) => {
    const before = await look(page);
    assert.match(before.clock, /^13:00$/);
    await page.focus('#film-time');
    for (let i = 0; i < 5; ++i) await page.keyboard.press('ArrowRight');
    const after = await look(page);
    for (const part of Object.keys(before)) assert.notEqual(after[part], before[part], part);
    assert.match(after.spoken, /^\d\d:\d\d: .*\d\u00a0mm of water/);
    assert.ok(after.spoken.startsWith(after.clock));
    await page.keyboard.press('Home');
    assert.match((await look(page)).clock, /^00:00$/);
    await page.keyboard.press('End');
    assert.match((await look(page)).clock, /^24:00$/);
  });
  assert.deepEqual(faults, []);
});

test('every cell is on the map at every hour, each in one colour', () => open({}, async (page) => {
  const cells = await page.evaluate(() => JSON.parse(document.getElementById('maps-data').textContent).x.length);
  for (const key of ['Home', 'PageUp', 'PageUp', 'End']) {
    await page.focus('#film-time');
    await page.keyboard.press(key);
    const {film} = await look(page);
    assert.equal(film.split('M').length - 1, cells);
  }
}));

test('buttons step an hour earlier and later, and play and stop', () => open({}, async (page) => {
  const start = await look(page);
  await page.click('#film-later');
  const later = await look(page);
  assert.notEqual(later.clock, start.clock);
  await page.click('#film-earlier');
  assert.equal((await look(page)).clock, start.clock);
  await page.click('#film-play');
  assert.equal(await page.textContent('#film-play'), 'Stop');
  await page.waitForFunction((clock) => document.getElementById('film-clock').textContent !== clock, later.clock, {timeout: 5000});
  await page.click('#film-play');
  assert.equal(await page.textContent('#film-play'), 'Play');
  const stopped = (await look(page)).clock;
  await page.waitForTimeout(700);
  assert.equal((await look(page)).clock, stopped);
}));

test('play ends at the end of the day by itself', () => open({}, async (page) => {
  await page.focus('#film-time');
  await page.keyboard.press('End');
  for (let i = 0; i < 2; ++i) await page.keyboard.press('ArrowLeft');
  await page.click('#film-play');
  await page.waitForFunction(() => document.getElementById('film-play').textContent === 'Play', null, {timeout: 5000});
  assert.match((await look(page)).clock, /^24:00$/);
}));

for (const width of [1280, 390])
  test(`at ${width} one cursor stands at the same hour in all curves, with values and units`, async () => {
    const faults = await open({width}, async (page) => {
      const start = await cursors(page);
      assert.ok(start.length >= 8, `${start.length} curves`);
      together(start);
      assert.ok(Math.abs(start[0].share - 13 / 24) < 0.01);
      await page.focus('#day-time');
      for (let i = 0; i < 24; ++i) await page.keyboard.press('ArrowRight');
      const moved = await cursors(page);
      together(moved);
      assert.ok(Math.abs(moved[0].share - 15 / 24) < 0.01);
      assert.notDeepEqual(moved.map((panel) => panel.values), start.map((panel) => panel.values));
      assert.match(await page.getAttribute('#day-time', 'aria-valuetext'), /^15:00: .*%; .*mm; .*\u00b0C; .*kPa$/);
      assert.match(await page.textContent('.key.state'), /^15:00: .*last burst at \d\d:\d\d$/);
      // The maps follow.
      assert.equal((await look(page)).clock, '15:00');
    });
    assert.deepEqual(faults, []);
  });

test('pointing at one curve moves the cursor of all, and leaving keeps it', () => open({width: 1280}, async (page) => {
  const plot = page.locator('[data-panel=temperature] .u-over');
  await plot.scrollIntoViewIfNeeded();
  const box = await plot.boundingBox();
  await page.mouse.move(box.x + box.width * 0.3, box.y + box.height - 10);
  await page.mouse.move(box.x + box.width * 0.25, box.y + box.height - 10);
  const pointed = await cursors(page);
  together(pointed);
  assert.ok(Math.abs(pointed[0].share - 0.25) < 0.01, `${pointed[0].share}`);
  assert.equal(await page.textContent('#day-clock'), '06:00');
  await page.mouse.move(5, 5);
  together(await cursors(page));
  assert.equal(await page.textContent('#day-clock'), '06:00');
}));

test('the values at the cursor are those of the record', () => open({width: 1280}, async (page) => {
  const wrong = await page.evaluate(() => {
    const data = JSON.parse(document.getElementById('curves-data').textContent);
    const index = Number(document.getElementById('day-time').value);
    return data.panels.flatMap((panel) => {
      const said = [...document.querySelectorAll(`[data-panel="${panel.id}"] .value`)].map((value) => parseFloat(value.textContent));
      return panel.series.filter((series, i) => Math.abs(series.values[index] - said[i]) > 0.51 * 10 ** -panel.decimals).map((series) => `${panel.id} ${series.label}`);
    });
  });
  assert.deepEqual(wrong, []);
}));

test('a narrower window keeps the cursor at its hour', () => open({width: 1280}, async (page) => {
  await page.setViewportSize({width: 700, height: 900});
  await page.waitForTimeout(300);
  const all = await cursors(page);
  together(all);
  assert.ok(Math.abs(all[0].share - 13 / 24) < 0.01, `${all[0].share}`);
}));

for (const scheme of ['light', 'dark'])
  for (const width of [1280, 820, 390])
    test(`${scheme} at ${width} with the slider moved: axe clean, nothing cut off`, async () => {
      const faults = await open({width, scheme}, async (page) => {
        await page.focus('#film-time');
        for (let i = 0; i < 7; ++i) await page.keyboard.press('ArrowRight');
        assert.deepEqual(await violations(page), []);
        assert.deepEqual(await clipped(page), []);
        assert.deepEqual(await overlapping(page), []);
      });
      assert.deepEqual(faults, []);
    });

test('curves change their ink with the colour scheme', () => open({width: 1280}, async (page) => {
  const picture = () => page.locator('[data-panel=sun] canvas').evaluate((canvas) => canvas.toDataURL());
  const light = await picture();
  await page.emulateMedia({colorScheme: 'dark'});
  await page.waitForTimeout(200);
  assert.notEqual(await picture(), light);
}));

test('a map that does not follow is noticed', async () => {
  // The same letters at every hour.
  await spoilt((text) => text.replace(/"levels":\["(\w+)"(?:,"\w+")+\]/, (all, first) =>
    `"levels":[${Array(all.split(',').length).fill(`"${first}"`).join()}]`), async (page) => {
    const before = await look(page);
    await page.focus('#film-time');
    await page.keyboard.press('Home');
    assert.equal((await look(page)).film, before.film);
    assert.notEqual((await look(page)).bare, before.bare);
  });
});

await finish();
