// Opens the report from disk in headless Chromium and holds it to what it promises. Needs playwright-core and
// axe-core in the folder MISTWRIGHT_NODE_MODULES and the page's path in MISTWRIGHT_PAGE.
import assert from 'node:assert/strict';
import {mkdtempSync, readFileSync, rmSync, statSync, writeFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const modules = process.env.MISTWRIGHT_NODE_MODULES;
const pagePath = process.env.MISTWRIGHT_PAGE;
if (!modules || !pagePath) {
  console.error('set MISTWRIGHT_NODE_MODULES and MISTWRIGHT_PAGE');
  process.exit(2);
}
const require = createRequire(join(resolve(modules), 'x.js'));
const {chromium} = require('playwright-core');
const axeSource = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const html = readFileSync(pagePath, 'utf8');
const browser = await chromium.launch({
  executablePath: process.env.MISTWRIGHT_CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--disable-background-networking', '--disable-component-update',
    '--disable-sync', '--host-resolver-rules=MAP * ~NOTFOUND'],
});

/** Opens a page and gives it to `look`; anything said on the console or asked of a network is a fault. */
async function open(options, look, path = pagePath) {
  const {width = 1000, scheme = 'light', scripts = true} = options;
  const context = await browser.newContext({viewport: {width, height: 900}, colorScheme: scheme, javaScriptEnabled: scripts,
    isMobile: width < 600, hasTouch: width < 600});
  const page = await context.newPage();
  const faults = [];
  page.on('console', (message) => faults.push(`console: ${message.text()}`));
  page.on('pageerror', (error) => faults.push(`error: ${error}`));
  page.on('request', (request) => /^(file|data|blob):/.test(request.url()) || faults.push(`request: ${request.url()}`));
  await page.goto(pathToFileURL(resolve(path)).href);
  try {
    await look(page);
    return faults;
  } finally {
    await context.close();
  }
}

const violations = async (page) => {
  await page.evaluate(axeSource);
  return page.evaluate(async () => (await axe.run(document)).violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(' ')}`));
};

/** Words cut off: text that leaves its picture, and boxes narrower than what they hold. */
const clipped = (page) => page.evaluate(() => {
  const cut = [];
  for (const svg of document.querySelectorAll('svg')) {
    const box = svg.getBoundingClientRect();
    if (box.width === 0) continue;
    for (const text of svg.querySelectorAll('text')) {
      const t = text.getBoundingClientRect();
      if (t.left < box.left - 1 || t.right > box.right + 1 || t.top < box.top - 2 || t.bottom > box.bottom + 2)
        cut.push(`${svg.getAttribute('aria-label')}: ${text.textContent}`);
    }
  }
  for (const element of document.querySelectorAll('h1,h2,h3,p,dt,dd,figcaption,summary,th,td,li,output,label'))
    if (element.clientWidth > 0 && element.scrollWidth > element.clientWidth + 1) cut.push(element.textContent.slice(0, 60));
  return cut;
});

/** Words of one picture that lie on one another. */
const overlapping = (page) => page.evaluate(() => {
  const pairs = [];
  for (const svg of document.querySelectorAll('svg')) {
    const texts = [...svg.querySelectorAll('text')].map((t) => [t, t.getBoundingClientRect()]).filter(([, b]) => b.width > 0);
    texts.forEach(([t, a], i) => texts.slice(i + 1).forEach(([u, b]) => {
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left), high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (wide > 2 && high > 4) pairs.push(`${svg.getAttribute('aria-label')}: "${t.textContent}" on "${u.textContent}"`);
    }));
  }
  return pairs;
});

const fills = (page, selector) => page.$$eval(selector, (cells) => cells.map((cell) => cell.getAttribute('fill')));

const tests = {};
const test = (name, body) => { tests[name] = body; };

test('the file is at most 3 MB', async () => assert.ok(statSync(pagePath).size <= 3e6, `${statSync(pagePath).size} bytes`));

for (const scheme of ['light', 'dark'])
  for (const width of [1000, 768, 360])
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

test('the map of dry minutes is not uniform', () => open({}, async (page) => {
  const colours = new Set(await fills(page, 'section[aria-labelledby=dry] .cell'));
  assert.ok(colours.size >= 5, `${colours.size} colours`);
}));

test('the answer comes first and says yes or not', () => open({}, async (page) => {
  const first = await page.$eval('main > *', (element) => element.textContent);
  assert.match(first.trim(), /^(YES\.|YES, BUT|NOT YET\.)/);
}));

test('every picture has a name and every figure a sentence with a number', () => open({}, async (page) => {
  assert.equal(await page.$$eval('svg', (all) => all.filter((s) => !s.getAttribute('aria-label')).length), 0);
  const captions = await page.$$eval('figcaption', (all) => all.map((c) => c.textContent));
  assert.ok(captions.length >= 10);
  assert.deepEqual(captions.filter((c) => !/\d/.test(c)), []);
}));

test('the slider moves the film map by mouse and by key', async () => {
  const faults = await open({}, async (page) => {
    const look = async () => [(await fills(page, '#film-live .cells rect')).join(), await page.textContent('#film-said')];
    const [before, saidBefore] = await look();
    assert.ok(new Set(before.split(',')).size > 1);
    await page.focus('#film-time');
    for (let i = 0; i < 8; ++i) await page.keyboard.press('ArrowLeft');
    const [after, saidAfter] = await look();
    assert.notEqual(after, before);
    assert.notEqual(saidAfter, saidBefore);
    assert.equal(await page.getAttribute('#film-time', 'aria-valuetext'), saidAfter);
  });
  assert.deepEqual(faults, []);
});

test('it reads with scripts off: answer, maps, curves and tables', async () => {
  const faults = await open({scripts: false}, async (page) => {
    assert.ok(await page.isVisible('.answer .lead'));
    assert.ok(await page.isVisible('section[aria-labelledby=dry] svg'));
    assert.equal(await page.isVisible('#film-live'), false);
    assert.equal(await page.locator('section[aria-labelledby=film] .four svg').count(), 4);
    await page.locator('section[aria-labelledby=dry] summary').click();
    assert.ok(await page.isVisible('section[aria-labelledby=dry] table'));
  });
  assert.deepEqual(faults, []);
});

test('it prints on A4', () => open({scheme: 'dark'}, async (page) => {
  const pdf = await page.pdf({preferCSSPageSize: true});
  // A4 is 210 mm by 297 mm; a PDF counts in 1/72 inch.
  const box = /\/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]/.exec(pdf.toString('latin1'));
  assert.ok(box, 'no page size found');
  assert.ok(Math.abs(Number(box[1]) - 595.3) < 1.5 && Math.abs(Number(box[2]) - 841.9) < 1.5, box[0]);
  await page.emulateMedia({media: 'print'});
  assert.equal(await page.evaluate(() => getComputedStyle(document.body).color), 'rgb(29, 35, 32)');
}));

// Each check is shown to catch what it is for, on a spoilt copy.
const spoilt = async (change, look) => {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-'));
  try {
    const copy = join(folder, 'spoilt.html');
    const changed = change(html);
    assert.notEqual(changed, html);
    writeFileSync(copy, changed);
    return await open({}, look ?? (async () => {}), copy);
  } finally {
    rmSync(folder, {recursive: true});
  }
};

test('a script changed by one letter is refused by the policy', async () => {
  const faults = await spoilt((text) => text.replace("box.hidden = false", "box.hidden = !1"), async (page) => {
    assert.equal(await page.isVisible('#film-live'), false);
  });
  assert.ok(faults.some((fault) => /Content Security Policy/.test(fault)));
});

test('a picture from elsewhere is noticed', async () => {
  const faults = await spoilt((text) => text.replace('<main>', '<main><img alt="" src="http://example.invalid/a.png">'));
  assert.ok(faults.length > 0);
});

test('a control without a name is noticed', () => spoilt((text) => text.replace('<label for="film-time">Hour of the day</label>', ''), async (page) => {
  assert.ok((await violations(page)).some((violation) => violation.startsWith('label')));
}));

test('words that leave their picture are noticed', () => spoilt((text) => text.replace(/<text x="[\d.]+"/, '<text x="455"'), async (page) => {
  assert.ok((await clipped(page)).length > 0);
}));

let passed = 0, failed = 0;
for (const [name, body] of Object.entries(tests)) {
  try {
    await body();
    ++passed;
  } catch (error) {
    ++failed;
    console.log(`FAILED ${name}\n  ${String(error.message).split('\n').slice(0, 12).join('\n  ')}`);
  }
}
await browser.close();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
