// What the report promises to anyone who opens it: silent, without network, legible, accessible.
import assert from 'node:assert/strict';
import {statSync} from 'node:fs';
import {attributes, clipped, finish, open, overlapping, pagePath, spoilt, test, violations} from './page.mjs';

test('the file is at most 700 kB', async () => assert.ok(statSync(pagePath).size <= 7e5, `${statSync(pagePath).size} bytes`));

for (const scheme of ['light', 'dark'])
  for (const width of [1280, 820, 390])
    test(`${scheme} at ${width}: silent, without network, axe clean, nothing cut off`, async () => {
      const faults = await open({width, scheme}, async (page) => {
        await page.$$eval('details', (all) => all.forEach((d) => { d.open = true; }));
        assert.deepEqual(await violations(page), []);
        await page.$$eval('details', (all) => all.forEach((d) => { d.open = false; }));
        assert.deepEqual(await clipped(page), []);
        assert.deepEqual(await overlapping(page), []);
        assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= width, 'the page scrolls sideways');
      });
      assert.deepEqual(faults, []);
    });

for (const width of [1280, 390])
  test(`scripts off at ${width}: answer, maps at four hours, still curves and tables, nothing cut off`, async () => {
    const faults = await open({scripts: false, width}, async (page) => {
      assert.ok(await page.isVisible('.answer .lead'));
      assert.ok(await page.isVisible('section[aria-labelledby=dry] svg'));
      assert.equal(await page.isVisible('#film-live'), false);
      assert.equal(await page.isVisible('#day-live'), false);
      assert.equal(await page.locator('section[aria-labelledby=film] .four svg:visible').count(), 8);
      assert.ok(await page.locator('section[aria-labelledby=day] .panel svg:visible').count() >= 8);
      await page.locator('section[aria-labelledby=dry] summary').click();
      assert.ok(await page.locator('section[aria-labelledby=dry] details table').isVisible());
      assert.ok(await page.isVisible('section[aria-labelledby=cautions] li:last-child'));
    });
    assert.deepEqual(faults, []);
  });

test('the map of dry minutes is not uniform', () => open({}, async (page) => {
  const colours = new Set(await attributes(page, 'section[aria-labelledby=dry] .cell', 'fill'));
  assert.ok(colours.size >= 5, `${colours.size} colours`);
}));

test('the answer comes first and says yes or not', () => open({}, async (page) => {
  const first = await page.$eval('main > *', (element) => element.textContent);
  assert.match(first.trim(), /^(YES\.|YES, BUT|NOT YET\.)/);
}));

test('every picture has a name and every figure a sentence with a number', () => open({}, async (page) => {
  assert.equal(await page.$$eval('svg', (all) => all.filter((s) => !s.getAttribute('aria-label') && !s.getAttribute('aria-hidden')).length), 0);
  const captions = await page.$$eval('figcaption', (all) => all.map((c) => c.textContent));
  assert.ok(captions.length >= 18);
  assert.deepEqual(captions.filter((c) => !/\d/.test(c)), []);
}));

test('every link of the contents leads to a heading', () => open({}, async (page) => {
  const links = await attributes(page, 'nav a', 'href');
  assert.ok(links.length >= 12);
  for (const link of links) assert.equal(await page.locator(`h2${link}`).count(), 1, link);
}));

test('it is drawn within a second and a half of being opened', () => open({}, async (page) => {
  const ready = await page.evaluate(() => performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd);
  console.log(`   drawn after ${Math.round(ready)} ms`);
  assert.ok(ready < 1500, `${ready} ms`);
}));

test('the policy lets nothing in but the page\'s own style and script', () => open({}, async (page) => {
  const policy = await page.getAttribute('meta[http-equiv=Content-Security-Policy]', 'content');
  assert.match(policy, /^default-src 'none'; script-src 'sha256-[^']+'; style-src 'sha256-[^']+';/);
  assert.doesNotMatch(policy, /unsafe/);
  const tried = await page.evaluate(async () => {
    const refused = [];
    addEventListener('securitypolicyviolation', (event) => refused.push(event.effectiveDirective));
    const image = new Image();
    image.src = 'http://example.invalid/a.png';
    await fetch('http://example.invalid/').catch(() => {});
    const script = document.createElement('script');
    try {
      script.textContent = 'window.broken = true';
      document.body.append(script);
    } catch {
      refused.push('text of a script');
    }
    await new Promise((done) => setTimeout(done, 200));
    return {refused, broken: window.broken};
  });
  assert.equal(tried.broken, undefined);
  assert.ok(tried.refused.includes('connect-src') && tried.refused.includes('img-src'), tried.refused.join());
}));

test('a script changed by one letter is refused by the policy', async () => {
  const faults = await spoilt((text) => text.replace('box.hidden = false', 'box.hidden = !1'), async (page) => {
    assert.equal(await page.isVisible('#film-live'), false);
  });
  assert.ok(faults.some((fault) => /Content Security Policy/.test(fault)));
});

test('a picture from elsewhere is noticed', async () => {
  const faults = await spoilt((text) => text.replace('<main>', '<main><img alt="" src="http://example.invalid/a.png">'));
  assert.ok(faults.length > 0);
});

test('a control without a name is noticed', () => spoilt((text) => text.replace('<label for="film-time">Time of day</label>', ''), async (page) => {
  assert.ok((await violations(page)).some((violation) => violation.startsWith('label')));
}));

test('words that leave their picture are noticed', () => spoilt((text) => text.replace(/<text x="[\d.]+"/, '<text x="455"'), async (page) => {
  assert.ok((await clipped(page)).length > 0);
}));

test('words on one another are noticed', () => spoilt((text) => text.replace(/(<text [^>]*>[^<]*<\/text>)/, '$1$1'), async (page) => {
  assert.ok((await overlapping(page)).length > 0);
}));

await finish();
