// A run whose benches, heads, fan, vents and house have names of markup: all of it stays text. The
// page is made by the program sample_page, which is built with the tests beside MISTWRIGHT_BIN.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {dirname, join} from 'node:path';
import {finish, open, test, violations} from './page.mjs';

const maker = join(dirname(process.env.MISTWRIGHT_BIN ?? '.'), 'tests/report/sample_page');

const hostile = async (options, look) => {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-'));
  try {
    const page = join(folder, 'hostile.html');
    execFileSync(maker, [page, join(folder, 'hostile.h5'), 'hostile']);
    return await open(options, look, page);
  } finally {
    rmSync(folder, {recursive: true});
  }
};

for (const scripts of [true, false])
  test(`names of markup stay text with scripts ${scripts ? 'on' : 'off'}`, async () => {
    const faults = await hostile({scripts}, async (page) => {
      assert.equal(await page.locator('img').count(), 0);
      assert.match(await page.textContent('h1'), /<img src=x onerror="window\.broken=1">.*\\u\{202e\} name/);
      const text = await page.locator('body').innerText();
      assert.ok(!text.includes('\u202e'));
      assert.ok(text.split('<img src=x').length > 5);
      assert.equal(await page.title().then((title) => title.includes('<img src=x')), true);
      if (scripts) assert.equal(await page.evaluate(() => window.broken), undefined);
    });
    assert.deepEqual(faults, []);
  });

test('the moving parts work beside hostile names and stay accessible', async () => {
  const faults = await hostile({}, async (page) => {
    await page.focus('#film-time');
    const before = await page.textContent('[data-map=film] .said');
    for (let i = 0; i < 6; ++i) await page.keyboard.press('ArrowLeft');
    const said = await page.textContent('[data-map=film] .said');
    assert.notEqual(said, before);
    assert.ok(said.includes('<img src=x'));
    assert.equal(await page.locator('img').count(), 0);
    assert.equal(await page.evaluate(() => window.broken), undefined);
    assert.deepEqual(await violations(page), []);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= 1000);
  });
  assert.deepEqual(faults, []);
});

await finish();
