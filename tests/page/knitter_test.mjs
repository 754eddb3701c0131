// The page for the buyer of one blank, in a real browser: node knitter_test.mjs PROGRAM SAMPLES FOLDER
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { after, describe, it } from 'node:test';
import { TablePage, launched } from './table_page.mjs';

const [kProgram, kSamples, kFolder] = process.argv.slice(2);
if (!kFolder) {
  console.error('usage: node knitter_test.mjs PROGRAM SAMPLES FOLDER');
  process.exit(2);
}
mkdirSync(kFolder, { recursive: true });

const kTitle = 'Lanterns </script><b>at</b> the quay', kMaker = 'The <img src=x onerror=broken=1> dyehouse';
const kWords = 'Painted at dusk.\n\n<script>broken=2</script> & "two" strands.\n' + 'The lamps are dabbed on by hand. '.repeat(12).trim();
const kAddress = 'https://example.org/shop/lanterns?colour=harbour&blank=7';
const kStitches = 64, kStrandMm = 211000, kRows = 214, kBallG = 47;

/// One listing, its pictures as small as they may be: the page is not made of them.
function listed(name, more) {
  const folder = join(kFolder, name);
  execFileSync(kProgram, ['listing', join(kSamples, 'lanterns.png'), '-o', folder, '--pixels', '200', ...more], { stdio: 'pipe' });
  return join(folder, 'knitter.html');
}
const kPage = listed('told', ['--title', kTitle, '--maker', kMaker, '--words', kWords, '--address', kAddress, '--ball', kBallG + 'g']);
const kPlainPage = listed('plain', []);

const browser = await launched();
after(() => browser.close());

/// A test on a page of its own; it fails if the page complained of anything meanwhile.
function knitterTest(name, does, { file = kPage, ...more } = {}) {
  it(name, async () => {
    const table = await TablePage.opened(browser, file, more);
    try {
      await does(table, table.page);
      assert.deepEqual(await table.faults(), []);
    } finally {
      await table.close();
    }
  });
}

/// Yarn of a round: a stitch takes sqrt(23.1 / (stitches x rows per mm2)) [Munden 1959].
const roundMm = (stitches, across = 32, along = 42) => stitches * Math.sqrt(23.1 / (across / 100 * along / 100));
const roundsInARow = (mm) => 'One row of the blank is ' + Number((kStrandMm / kRows / mm).toFixed(1)) + ' round';
const wordsSay = (page, text) => page.waitForFunction((words) => document.querySelector('#sentence-more').textContent.includes(words), text);
const riskSays = (page, text) => page.waitForFunction((words) => document.querySelector('#risk-words').textContent.includes(words), text);
const leftOver = (page) => page.evaluate(() => [...document.querySelectorAll('#notes li')].map((note) => note.textContent).find((text) => /left over/.test(text)));

/// What lies on the blank, whatever is knitted from it.
const blankOf = ({ knitting, ...rest }) => rest;

async function typed(page, label, text) {
  await page.getByLabel(label, { exact: true }).fill(text);
  await page.keyboard.press('Tab');
}

describe('what the buyer sees', { concurrency: 2 }, () => {
  knitterTest('title, dyer and words stand there as text, with the code and the address', async (table, page) => {
    assert.equal(await page.textContent('h1:visible'), kTitle);
    assert.equal(await page.textContent('.reading-name p'), 'dyed by ' + kMaker);
    assert.equal(await page.textContent('#reading-words'), kWords);
    assert.equal(await page.textContent('.reading-code figcaption'), kAddress);
    assert.equal(await page.title(), kTitle);
    assert.equal(await page.evaluate(() => window.broken), undefined);
    assert.ok(await page.evaluate(() => document.querySelector('.reading-code img').naturalWidth > 50), 'no code');
    assert.equal(await page.inputValue('#weigh-full'), String(kBallG));
    assert.match(await table.sentence(), /^[A-Z][a-z].{8,}\.$/);
    await page.getByRole('button', { name: 'Read on' }).click();
    assert.ok(await page.evaluate(() => { const box = document.querySelector('#reading-words'); return box.scrollHeight <= box.clientHeight + 1; }), 'words are cut off');
  });

  knitterTest('a blank of which the dyer says nothing has neither words nor code', async (table, page) => {
    assert.equal(await page.textContent('h1:visible'), 'Lanterns');
    assert.equal(await page.locator('.reading-card, .reading-name p').count(), 0);
  }, { file: kPlainPage });

  it('the page is one file of less than 3 MB', () => assert.ok(statSync(kPage).size < 3e6, statSync(kPage).size + ' bytes'));

  knitterTest('stitches, yarn in a round and gauge change the words, the foot what is left, the heel the picture', async (table, page) => {
    await wordsSay(page, roundsInARow(roundMm(kStitches)));
    await riskSays(page, '(64 stitches)');
    await page.getByRole('button', { name: '4 fewer, Stitches in a round' }).click();
    await wordsSay(page, roundsInARow(roundMm(60)));
    await riskSays(page, '(60 stitches)');
    await typed(page, 'Stitches in 10 cm', '24');
    await wordsSay(page, roundsInARow(roundMm(60, 24)));
    await typed(page, 'Yarn in one round', '84.5');
    await wordsSay(page, roundsInARow(845));
    await riskSays(page, '84.5 cm');
    const before = { left: await leftOver(page), socks: await page.evaluate(() => table.pictures.views.knit.canvas.toDataURL()) };
    assert.match(before.left, /\d/);
    await page.getByRole('radio', { name: 'short rows' }).check();
    await table.drawn();
    assert.notEqual(await page.evaluate(() => table.pictures.views.knit.canvas.toDataURL()), before.socks);
    const heeled = await leftOver(page);
    await typed(page, 'Foot', '15');
    await page.waitForFunction((old) => ![...document.querySelectorAll('#notes li')].some((note) => note.textContent === old), heeled);
    assert.ok(parseFloat(await leftOver(page)) > parseFloat(heeled), `a short foot leaves ${await leftOver(page)}, a usual one ${heeled}`);
    await page.click('#reading-back');
    await wordsSay(page, roundsInARow(roundMm(kStitches)));
  });

  knitterTest('how sure the picture is is said, without what only the dyer could look up', async (table, page) => {
    await page.waitForFunction(() => table.sure.told() !== null);
    assert.match(await page.innerText('#look-sure'), /^The look: .* trials with other guesses/);
    const { look, pools } = await page.evaluate(() => table.sure.told());
    for (const said of [look, pools]) assert.ok(!/ravel|under Blank|under Knitting/.test(said.knitter), said.knitter);
    assert.equal(await page.innerText('#look-sure'), look.knitter);
    assert.equal(await page.textContent('#risk-sure'), pools.knitter);
  });

  knitterTest('inches turn every length, and back', async (table, page) => {
    await page.getByRole('button', { name: 'inches' }).click();
    await page.waitForFunction((text) => document.querySelector('#risk-chart').textContent.includes(text), 'yarn in one round, in');
    await typed(page, 'Yarn in one round', '30');
    assert.ok(Math.abs((await table.document()).knitting.yarn_per_round_cm - 30 * 2.54) < 1e-6);
  });

  knitterTest('a place on a sock is shown on the blank, and one on the blank in both socks', async (table, page) => {
    await table.drawn();
    const box = await table.box('#knit-canvas');
    const sock = await page.evaluate(() => { const { told, scale } = table.pictures.views.knit; const [a] = told.pieces; return { x: (a.x + 0.3 * a.from.width) / scale, y: (a.y + 0.3 * a.from.height) / scale }; });
    const first = await page.textContent('#pointed');
    await page.mouse.move(box.x + sock.x, box.y + sock.y);
    await page.waitForFunction((text) => /^row \d+ of 214.* in the (leg|cuff)/.test(document.querySelector('#pointed').textContent) && document.querySelector('#pointed').textContent !== text &&
      table.pictures.views.blank.marks.querySelectorAll('.mark').length > 0, first);
    const row = (await page.textContent('#pointed')).match(/^row \d+/)[0];
    const ring = await page.evaluate(() => { const { left, top, width, height } = table.pictures.views.blank.marks.querySelector('.mark circle').getBoundingClientRect(); return { x: left + width / 2, y: top + height / 2 }; });
    await page.mouse.move(10, 10);  // away from both
    await page.waitForFunction(() => table.pictures.views.knit.marks.querySelectorAll('.mark').length === 0);
    await page.mouse.move(ring.x, ring.y);
    await page.waitForFunction((text) => document.querySelector('#pointed').textContent.startsWith(text + ' of ') &&
      table.pictures.views.knit.marks.querySelectorAll('.mark').length === 2, row);
  });
});

// What changes the blank, keeps or opens designs; none of it belongs to a buyer.
const kDyers = '.tools *, .first *, #title, #undo, #redo, #open, #open-file, [data-take], .tabs *, [role="tabpanel"] *, #ways *, #mix *, #take *, dialog *, ' +
  'input[type="file"], input[type="color"], [data-empty], button[data-tool]';

describe('what the buyer cannot do', { concurrency: 2 }, () => {
  knitterTest('nothing that paints, opens, saves, lays, nudges or mixes is to be seen or reached by Tab', async (table, page) => {
    assert.deepEqual(await page.evaluate((dyers) => [...document.querySelectorAll(dyers)].filter((node) => node.getClientRects().length).map((node) => node.id || node.className || node.tagName), kDyers), []);
    await riskSays(page, 'knitters');
    await page.evaluate(() => { document.activeElement.blur(); for (const fold of document.querySelectorAll('details')) fold.open = true; });
    const reached = [];
    for (let i = 0; i < 80; i += 1) {
      await page.keyboard.press('Tab');
      const at = await page.evaluate((dyers) => {
        const node = document.activeElement;
        if (node === document.body) return null;
        return { id: node.id && !node.id.startsWith('field-') ? node.id : node.labels && node.labels.length ? node.labels[0].textContent : node.textContent, dyers: node.matches(dyers) };
      }, kDyers);
      if (at === null) break;
      reached.push(at);
    }
    assert.deepEqual(reached.filter((at) => at.dyers), []);
    for (const id of ['blank-canvas', 'knit-canvas', 'Stitches in a round', 'Foot', 'reading-back', 'risk-chart', 'weigh-grams']) assert.ok(reached.some((at) => at.id === id), id + ' is not reached by Tab: ' + JSON.stringify(reached));
  });

  knitterTest('no key, drag, drop or paste changes what is on the blank', async (table, page) => {
    const before = blankOf(await table.document());
    const box = await table.box('#blank-canvas');
    await page.mouse.move(box.x + 30, box.y + 60);
    await page.mouse.down();
    await page.mouse.move(box.x + 90, box.y + 160, { steps: 5 });
    await page.mouse.up();
    await page.focus('#blank-canvas');
    for (const key of [' ', 'Enter', 'Delete', 'Control+z', 'Control+y', 'b', 'm']) await page.keyboard.press(key);
    await table.drop([join(kSamples, 'nets.png')]);
    await page.evaluate(async () => {
      const data = new DataTransfer();
      const blob = await new Promise((done) => document.querySelector('#blank-canvas').toBlob(done));
      data.items.add(new File([blob], 'other.png', { type: 'image/png' }));
      document.body.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true }));
    });
    await table.drawn();
    assert.equal(await page.locator('dialog[open]').count(), 0);
    assert.deepEqual(blankOf(await table.document()), before);
  });
});

describe('what the browser keeps', () => {
  const store = (page) => page.evaluate(() => ({ ...localStorage }));
  const kDyersTable = join(kFolder, 'dyers-table.html');

  it('the dyer\'s own table and the buyer\'s page leave each other alone, and the buyer finds her figures again', async () => {
    execFileSync(kProgram, ['dyetable', join(kSamples, 'lanterns.png'), '-o', kDyersTable], { stdio: 'pipe' });
    const table = await TablePage.opened(browser, kDyersTable);
    try {
      const { page } = table;
      await page.fill('#title', 'secret harbour');
      await page.keyboard.press('Tab');
      await page.click('[data-empty]');
      await page.waitForFunction(() => Object.values(localStorage).some((text) => text.includes('secret harbour')));
      const dyers = await store(page);

      table.file = kPage;
      await table.load();
      assert.notEqual((await table.document()).title, 'secret harbour');
      assert.ok((await table.document()).picture, 'the blank of the page is gone');
      await page.getByRole('button', { name: '4 more, Stitches in a round' }).click();
      await page.waitForFunction((had) => Object.keys(localStorage).length > had, Object.keys(dyers).length);
      const both = await store(page), [key] = Object.keys(both).filter((one) => !(one in dyers));
      for (const [one, text] of Object.entries(dyers)) assert.equal(both[one], text);
      assert.deepEqual(Object.keys(JSON.parse(both[key])), ['knitting', 'units']);

      await table.load();
      assert.equal((await table.document()).knitting.stitches, kStitches + 4);
      for (const text of ['not JSON', '[]', '{"knitting":{"stitches":1e9,"heel":[]}}', '{"knitting":{"stitches":-1}}', '{"knitting":7}']) {
        await page.evaluate(([name, broken]) => localStorage.setItem(name, broken), [key, text]);
        await table.load();
        assert.equal((await table.document()).knitting.stitches, kStitches, text);
        assert.ok((await table.document()).picture, text);
      }
      assert.deepEqual(await table.faults(), []);
    } finally {
      await table.close();
    }
  });
});

describe('for everyone', { concurrency: 2 }, () => {
  const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

  for (const colorScheme of ['light', 'dark'])
    for (const width of [390, 1280])
      knitterTest(`axe finds nothing serious and nothing is cut off, ${colorScheme}, ${width} pixels wide`, async (table, page) => {
        await page.evaluate(axe);
        await page.locator('#weigh').scrollIntoViewIfNeeded();
        await page.waitForFunction(() => document.querySelector('#risk-progress').hidden);
        await page.evaluate(() => { for (const fold of document.querySelectorAll('details')) fold.open = true; });
        const found = await page.evaluate(async () => (await axe.run()).violations
          .filter((one) => one.impact === 'serious' || one.impact === 'critical')
          .map((one) => one.id + ': ' + one.nodes.slice(0, 3).map((node) => node.target.join(' ')).join(', ')));
        assert.deepEqual(found, []);
        assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'the page is wider than the window');
      }, { width, height: 844, colorScheme });
});
