// Times of the page as a person meets them: node bench.mjs PAGE
import { statSync } from 'node:fs';
import { TablePage, launched } from './table_page.mjs';

const file = process.argv[2];
const kStarts = 7, kTries = 30;

const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];
const row = (what, number, unit) => console.log(what.padEnd(52) + ' ' + number.toFixed(unit === 'MB' ? 2 : 0).padStart(7) + ' ' + unit);

/// Takes the time from a moment that `began` gives until a picture of the knitting that differs from the last one has
/// been handed over to be put on the screen: a message posted in a frame comes back when the frame was painted.
const watchKnitting = (page) => page.evaluate(() => {
  window.began = null;
  window.took = null;
  const canvas = document.querySelector('#knit-canvas');
  let before = canvas.toDataURL(), isAwaited = false, isInFrame = false;
  const nextFrame = window.requestAnimationFrame.bind(window);
  window.requestAnimationFrame = (does) => nextFrame((at) => {
    isInFrame = true;
    try { does(at); } finally { isInFrame = false; }
  });
  const painted = () => {
    const shown = performance.now(), now = canvas.toDataURL();
    isAwaited = false;
    if (window.began === null || window.took !== null || now === before) return;
    before = now;
    window.took = shown - window.began;
  };
  const atEndOfFrame = () => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = painted;
    port2.postMessage(null);
  };
  for (const name of ['putImageData', 'drawImage']) {
    const draws = CanvasRenderingContext2D.prototype[name];
    CanvasRenderingContext2D.prototype[name] = function (...inputs) {
      draws.apply(this, inputs);
      if (this.canvas !== canvas || isAwaited) return;
      isAwaited = true;
      if (isInFrame) atEndOfFrame();
      else nextFrame(atEndOfFrame);
    };
  }
});

async function timesOf(page, does) {
  const times = [];
  for (let i = 0; i < kTries; i += 1) {
    await page.evaluate(() => { window.took = window.began = null; });
    await does(i);
    await page.waitForFunction(() => window.took !== null);
    times.push(await page.evaluate(() => window.took));
    // The finer drawing and the work beside the page are done before the next one.
    await page.waitForTimeout(500);
  }
  return times;
}

const changeStitches = (page) => (i) => page.evaluate((more) => {
  const step = document.querySelectorAll('#panel-knitting .step')[more ? 1 : 0];
  window.began = performance.now();
  step.click();
}, i % 2 === 0);

const browser = await launched();
try {
  const starts = [], blanks = [];
  for (let i = 0; i < kStarts; i += 1) {
    const table = await TablePage.opened(browser, file);
    starts.push(await table.page.evaluate(() => window.readyAt));
    blanks.push(await table.page.evaluate(() => window.blankAt));
    await table.close();
  }
  console.log(`The dye table in Chromium, medians (${kStarts} starts, ${kTries} tries of the rest)`);
  row('from disk: blank and yarn on screen', median(blanks), 'ms');
  row('ready from disk: blank, yarn and socks on screen', median(starts), 'ms');

  const table = await TablePage.opened(browser, file), { page } = table;
  await table.openTab('knitting');
  await table.drawn();
  await watchKnitting(page);
  row('changed stitch count to new socks on screen', median(await timesOf(page, changeStitches(page))), 'ms');
  await page.click('[data-look="fabric"]');
  await table.drawn();
  row('changed stitch count to new fabric on screen', median(await timesOf(page, changeStitches(page))), 'ms');

  await page.click('#paint');
  await table.drawn();
  const blank = await table.box('#blank-canvas');
  await page.evaluate(() => document.querySelector('#blank-canvas').addEventListener('pointermove', (event) => { window.began ??= event.timeStamp; }, true));
  await page.mouse.move(blank.x + 10, blank.y + 10);
  await page.mouse.down();
  const stroke = (i) => page.mouse.move(blank.x + blank.width * (i % 2 ? 0.8 : 0.2), blank.y + 20 + i * (blank.height - 40) / kTries);
  row('piece of a brush stroke to yarn and fabric on screen', median(await timesOf(page, stroke)), 'ms');
  await page.mouse.up();
  const faults = await table.faults();
  if (faults.length) throw new Error(faults.join('\n'));
} finally {
  await browser.close();
}
row('the page, one file', statSync(file).size / 1e6, 'MB');
