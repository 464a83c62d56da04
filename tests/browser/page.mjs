// Opens the report from disk in headless Chromium, and what its tests share. Needs playwright-core
// and axe-core in the folder MISTWRIGHT_NODE_MODULES and the page's path in MISTWRIGHT_PAGE.
import {mkdtempSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import assert from 'node:assert/strict';
import {createRequire} from 'node:module';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const modules = process.env.MISTWRIGHT_NODE_MODULES;
export const pagePath = process.env.MISTWRIGHT_PAGE;
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
export async function open(options, look, path = pagePath) {
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

export const violations = async (page) => {
  await page.evaluate(axeSource);
  return page.evaluate(async () => (await axe.run(document)).violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(' ')}`));
};

/** Words cut off: text that leaves its picture, and boxes narrower than what they hold. */
export const clipped = (page) => page.evaluate(() => {
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
  for (const element of document.querySelectorAll('h1,h2,h3,p,dt,dd,figcaption,summary,th,td,li,output,label,button'))
    if (element.clientWidth > 0 && element.scrollWidth > element.clientWidth + 1) cut.push(element.textContent.slice(0, 60));
  return cut;
});

/** Words of one picture that lie on one another. */
export const overlapping = (page) => page.evaluate(() => {
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

export const attributes = (page, selector, name) =>
  page.$$eval(selector, (all, which) => all.map((element) => element.getAttribute(which)), name);

/** Looks at a spoilt copy: each check is shown to catch what it is for. */
export const spoilt = async (change, look, options = {}) => {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-'));
  try {
    const copy = join(folder, 'spoilt.html');
    const changed = change(html);
    assert.notEqual(changed, html);
    writeFileSync(copy, changed);
    return await open(options, look ?? (async () => {}), copy);
  } finally {
    rmSync(folder, {recursive: true});
  }
};

const tests = {};
export const test = (name, body) => { tests[name] = body; };

export async function finish() {
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
}
