// The report on paper: A4 and US Letter, nothing cut, nothing lost. Reads the PDF by pdfinfo and
// pdftotext of poppler-utils.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {finish, open, spoilt, test} from './page.mjs';

// Width and height in 1/72 inch; ISO 216, and ANSI/ASME Y14.1 size A.
const papers = {A4: [595.3, 841.9], Letter: [612, 792]};
const margin_px = 13 / 25.4 * 96;
const flat = (text) => text.replace(/[\s\u00a0]+/g, ' ').trim();

/** The page on paper: its size, and the words of each sheet. */
const printed = async (page, format) => {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-'));
  try {
    const path = join(folder, 'report.pdf');
    await page.pdf({format, path});
    const size = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(execFileSync('pdfinfo', [path], {encoding: 'utf8'}));
    // In the order of the page: columns side by side stay apart.
    const sheets = execFileSync('pdftotext', ['-raw', path, '-'], {encoding: 'utf8', maxBuffer: 1e8}).split('\f').slice(0, -1);
    return {size: [Number(size[1]), Number(size[2])], sheets: sheets.map(flat)};
  } finally {
    rmSync(folder, {recursive: true});
  }
};

/** Figures and rows taller than a sheet, which no rule could keep whole. */
const tooTall = async (page, format) => {
  const [wide, tall] = papers[format].map((points) => points / 72 * 96 - 2 * margin_px);
  await page.setViewportSize({width: Math.floor(wide), height: Math.floor(tall)});
  await page.emulateMedia({media: 'print'});
  const found = await page.$$eval('figure, figure svg, .beside, tr', (all, limit) => all.filter((e) => e.getBoundingClientRect().height > limit)
    .map((e) => `${e.tagName} of ${Math.round(e.getBoundingClientRect().height)}`), tall);
  const wider = await page.$$eval('figure svg, figcaption, td, th, p', (all, limit) => all.filter((e) => e.getBoundingClientRect().right > limit + 1)
    .map((e) => e.textContent.slice(0, 40)), wide);
  return [...found, ...wider];
};

for (const format of Object.keys(papers))
  for (const scripts of [true, false])
    test(`${format} with scripts ${scripts ? 'on' : 'off'}: every heading and caption and the last caution are on paper`, async () => {
      const faults = await open({scheme: 'dark', scripts}, async (page) => {
        const wanted = (await page.$$eval('h2, .still figcaption, figure:not(.live-map) figcaption, .short, main li', (all) => all
          .filter((e) => !e.closest('nav, .live, .live-curve, .key')).map((e) => e.textContent))).map(flat).filter((words) => words);
        assert.ok(wanted.length > 40, `${wanted.length} texts`);
        const {size, sheets} = await printed(page, format);
        for (const i of [0, 1]) assert.ok(Math.abs(size[i] - papers[format][i]) < 1.5, size.join(' x '));
        console.log(`   ${format}: ${sheets.length} sheets`);
        assert.ok(sheets.length >= 5 && sheets.length <= 10, `${sheets.length} sheets`);
        // A hyphen at a line's end and a line's end look alike in a PDF's text.
        const bare = (text) => text.replace(/[\s\u00ad-]+/g, '');
        const all = bare(sheets.join(' '));
        assert.deepEqual(wanted.filter((words) => !all.includes(bare(words))), []);
        assert.ok(bare(sheets.slice(-2).join(' ')).includes(bare('Local codes, standards and licensed practice go before')));
        assert.deepEqual(sheets.map((words, i) => [i, words.length]).filter(([, length]) => length < 40), [], 'an empty sheet');
      });
      assert.deepEqual(faults, []);
    });

for (const format of Object.keys(papers))
  test(`${format}: no figure is cut: each picture's first words stand on the sheet of its caption`, () => open({}, async (page) => {
    const figures = await page.$$eval('figure:not(.live-map)', (all) => all.map((f) => ({
      caption: f.querySelector('figcaption').textContent,
      words: [...f.querySelectorAll('svg:not(.sample) text')].map((text) => text.textContent).filter((text) => text.length > 12)})));
    const {sheets: printedSheets} = await printed(page, format);
    const bare = (text) => text.replace(/[\s\u00a0-]+/g, '');
    const sheets = printedSheets.map(bare);
    const cut = [];
    let judged = 0;
    for (const {caption, words} of figures) {
      const on = sheets.findIndex((sheet) => sheet.includes(bare(caption)));
      if (on < 0) cut.push(caption);
      for (const word of words) {
        ++judged;
        if (on >= 0 && !sheets[on].includes(bare(word))) cut.push(`${word} | ${caption}`);
      }
    }
    assert.ok(judged > 20, `${judged} words`);
    assert.deepEqual(cut, []);
    assert.deepEqual(await tooTall(page, format), []);
  }));

test('paper is white and its ink dark, whatever the screen', () => open({scheme: 'dark'}, async (page) => {
  await page.emulateMedia({media: 'print'});
  assert.deepEqual(await page.evaluate(() => [getComputedStyle(document.body).color, getComputedStyle(document.body).backgroundColor]),
    ['rgb(29, 35, 32)', 'rgb(255, 255, 255)']);
  assert.equal(await page.locator('.live-curve:visible, .time-row:visible, button:visible').count(), 0);
  assert.equal(await page.locator('section[aria-labelledby=film] .four svg:visible').count(), 8);
}));

test('a figure taller than the sheet is noticed', () => spoilt((text) => text.replace('<figure class="wide"><svg viewBox="0 0 460 ', '<figure class="wide"><svg viewBox="0 0 460 9'), async (page) => {
  assert.ok((await tooTall(page, 'A4')).length > 0);
}));

await finish();
