// The dye table in a real browser: node page_test.mjs PAGE PROGRAM SAMPLES FOLDER
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { after, describe, it } from 'node:test';
import { greyPng } from './png.mjs';
import { TablePage, bare, launched } from './table_page.mjs';

const [kPage, kProgram, kSamples, kFolder] = process.argv.slice(2);
if (!kFolder) {
  console.error('usage: node page_test.mjs PAGE PROGRAM SAMPLES FOLDER');
  process.exit(2);
}
mkdirSync(kFolder, { recursive: true });
const sample = (name) => join(kSamples, name);
const inFolder = (name) => join(kFolder, name);
const kDesigns = ['tide-lines.png', 'nets.png', 'gulls.png', 'lanterns.png'];
const kStencils = ['lanterns-stencil-1.png', 'lanterns-stencil-2.png'];

const browser = await launched();
after(() => browser.close());

/// A test on a table of its own; it fails if the page complained of anything meanwhile.
function tableTest(name, does, options = {}) {
  it(name, async () => {
    const { file = kPage, ...more } = options;
    const table = await TablePage.opened(browser, typeof file === 'function' ? file() : file, more);
    try {
      await does(table, table.page);
      assert.deepEqual(await table.faults(), []);
    } finally {
      await table.close();
    }
  });
}

/// Yarn of a round on 64 stitches at 32 x 42 in 10 cm: a stitch takes sqrt(23.1 / (stitches x rows per mm2)) [Munden 1959].
const roundMm = (stitches) => stitches * Math.sqrt(23.1 / (0.32 * 0.42));
const kStartRowMm = 211000 / 214;  // of the start blank: 211 m a strand in 214 rows
const roundsInARow = (stitches) => 'One row of the blank is ' + Number((kStartRowMm / roundMm(stitches)).toFixed(1)) + ' round';

const wordsSay = (page, text) => page.waitForFunction((words) => document.querySelector('#sentence-more').textContent.includes(words), text);

/// After a fault the table goes on: four stitches more, and the words and the pictures follow.
async function goesOn(table) {
  const before = (await table.document()).knitting.stitches;
  await table.openTab('knitting');
  await table.page.click('.step >> nth=1');
  await table.until((doc, stitches) => doc.knitting.stitches === stitches, before + 4);
  await wordsSay(table.page, roundsInARow(before + 4));
  await table.drawn();
}

/// How alike the shown blank and a picture are in light and dark: the correlation of their means over 16 x 56 parts.
const likeness = (page, file, turned = false) => page.evaluate(async ([bytes, upsideDown]) => {
  const coarse = (source) => {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [16, 56];
    const context = canvas.getContext('2d');
    context.imageSmoothingQuality = 'high';
    context.drawImage(source, 0, 0, 16, 56);
    const { data } = context.getImageData(0, 0, 16, 56);
    return Array.from({ length: 16 * 56 }, (none, i) => data[4 * i] + 2 * data[4 * i + 1] + data[4 * i + 2]);
  };
  const raw = Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0));
  const wanted = coarse(await createImageBitmap(new Blob([raw])));
  if (upsideDown) wanted.reverse();
  const shown = coarse(document.querySelector('#blank-canvas'));
  const mean = (list) => list.reduce((sum, value) => sum + value, 0) / list.length;
  const [a, b] = [mean(wanted), mean(shown)];
  const products = (x, p, y, q) => x.reduce((sum, value, i) => sum + (value - p) * (y[i] - q), 0);
  return products(wanted, a, shown, b) / Math.sqrt(products(wanted, a, wanted, a) * products(shown, b, shown, b));
}, [readFileSync(file).toString('base64'), turned]);
const kAlike = 0.75;  // chosen: 0.79 and more the right way round, 0.62 and less turned or mirrored where that makes another picture

/// The pixels of the shown pictures, so that a change of them can be told.
const shownPixels = (page) => page.evaluate(() => ['blank', 'ribbons', 'knit'].map((name) => table.pictures.views[name].canvas.toDataURL()));

describe('opening', { concurrency: 2 }, () => {
  tableTest('the page opens from disk without a network, complains of nothing and says what it will look like', async (table) => {
    assert.match(await table.sentence(), /^[A-Z][a-z].{8,}\.$/);
    assert.match(await table.more(), new RegExp(roundsInARow(64)));
    for (const pixels of await shownPixels(table.page)) assert.ok(pixels.length > 10000, 'a picture is empty');
  });

  it('the page is one file of less than 3 MB', () => assert.ok(statSync(kPage).size < 3e6, statSync(kPage).size + ' bytes'));

  tableTest('the page may not ask the network for anything, even if a script wanted to', async (table, page) => {
    const answer = await page.evaluate(() => fetch('http://localhost/').then(() => 'let through', () => 'refused'));
    assert.equal(answer, 'refused');
    const refused = await page.evaluate(() => window.refused.splice(0));
    assert.equal(refused.length, 1);
    assert.match(refused[0], /connect-src/);
    table.complaints = table.complaints.filter((text) => !/localhost/.test(text));
  });

  for (const name of ['lanterns.png', 'lanterns.toml', 'harbour-photo.jpg'])
    tableTest(`loopread dyetable ${name} opens with that picture on the blank`, async (table, page) => {
      assert.equal((await table.document()).title, name.replace(/\.\w+$/, ''));
      assert.ok((await table.document()).picture, 'no picture');
      await table.drawn();
      assert.ok(await likeness(page, sample('lanterns.png')) > kAlike, await likeness(page, sample('lanterns.png')));
    }, { file: () => {
      const out = inFolder(name + '.html');
      execFileSync(kProgram, ['dyetable', sample(name), '-o', out]);
      return out;
    } });

  tableTest('loopread dyetable puts a hostile name into the page as text', async (table, page) => {
    assert.equal((await table.document()).title, '<!--<script><img src=x onerror=broken=1>');
    assert.equal(await page.inputValue('#title'), '<!--<script><img src=x onerror=broken=1>');
    assert.equal(await page.evaluate(() => window.broken), undefined);
  }, { file: () => {
    const name = inFolder('<!--<script><img src=x onerror=broken=1>.png');
    copyFileSync(sample('nets.png'), name);
    execFileSync(kProgram, ['dyetable', name, '-o', inFolder('hostile.html')]);
    return inFolder('hostile.html');
  } });
});

describe('pictures', { concurrency: 2 }, () => {
  for (const name of [...kDesigns, ...kStencils])
    tableTest(`${name} dropped on the page lies on the blank the right way up, and yarn and socks follow`, async (table, page) => {
      const before = await shownPixels(page);
      await table.layPicture(sample(name));
      await table.until((doc, wanted) => doc.picture && doc.picture.name === wanted, name);
      await table.drawn();
      assert.ok(await likeness(page, sample(name)) > kAlike, await likeness(page, sample(name)));
      const now = await shownPixels(page);
      for (const i of [0, 1, 2]) assert.notEqual(now[i], before[i]);
    });

  tableTest('a design that comes apart from its bottom edge lies turned by half', async (table, page) => {
    await table.drop([sample('tide-lines.png')]);
    await page.waitForSelector('#picture-set[open]');
    await page.check('input[name="set-ravel"][value="bottom"]', { force: true });
    await page.click('#picture-use');
    await table.until((doc) => doc.picture !== null);
    await table.drawn();
    assert.ok(await likeness(page, sample('tide-lines.png'), true) > kAlike);
    assert.ok(await likeness(page, sample('tide-lines.png')) < kAlike);
  });

  // Corners as `loopread_sample_photo` prints them when it draws the photo.
  const kTrueCorners = [485.4, 195.0, 1090.3, 216.3, 1014.6, 2405.0, 409.7, 2383.7];

  tableTest('a photo whose corners are dragged onto the blank is read as the design that was painted on it', async (table, page) => {
    await table.drop([sample('harbour-photo.jpg')]);
    await page.waitForSelector('#picture-set[open]');
    await page.check('input[name="set-kind"][value="photo"]', { force: true });
    const scale = (await table.box('#corner-canvas')).width / 1500;  // the photo is 1500 x 2600
    for (const i of [0, 1, 2, 3]) {
      const handle = await table.box(`.corner >> nth=${i}`), picture = await table.box('#corner-canvas');
      await page.mouse.move(handle.x + handle.width / 2, handle.y + handle.height / 2);
      await page.mouse.down();
      await page.mouse.move(picture.x + kTrueCorners[2 * i] * scale, picture.y + kTrueCorners[2 * i + 1] * scale, { steps: 5 });
      assert.ok(await page.isVisible('#loupe'));
      await page.mouse.up();
    }
    await page.click('#picture-use');
    await table.until((doc) => doc.picture && doc.picture.kind === 'photo');
    const { corners } = (await table.document()).picture;
    const kReach = 1.5 / scale;  // a pixel of the screen, and rounding to one of the photo
    corners.forEach((at, i) => assert.ok(Math.abs(at - kTrueCorners[i]) < kReach, `corner ${i}: ${at}, not ${kTrueCorners[i]}`));
    await table.drawn();
    assert.ok(await likeness(page, sample('lanterns.png')) > kAlike, await likeness(page, sample('lanterns.png')));
  });

  tableTest('arrow keys move a corner by one pixel of the photo, with shift by ten', async (table, page) => {
    await table.drop([sample('harbour-photo.jpg')]);
    await page.waitForSelector('#picture-set[open]');
    await page.check('input[name="set-kind"][value="photo"]', { force: true });
    const place = async () => (await page.getAttribute('.corner >> nth=2', 'aria-label')).match(/\d+/g).map(Number);
    await page.focus('.corner >> nth=2');
    const [x, y] = await place();
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('Shift+ArrowUp');
    assert.deepEqual(await place(), [x - 1, y - 10]);
    await page.click('#picture-use');
    await table.until((doc) => doc.picture && doc.picture.corners);
    assert.deepEqual((await table.document()).picture.corners.slice(4, 6), [x - 1, y - 10]);
  });

  tableTest('corners that cross are refused where they can be put right', async (table, page) => {
    await table.drop([sample('harbour-photo.jpg')]);
    await page.waitForSelector('#picture-set[open]');
    await page.check('input[name="set-kind"][value="photo"]', { force: true });
    const [first, second] = [await table.box('.corner >> nth=0'), await table.box('.corner >> nth=1')];
    await page.mouse.move(first.x + 22, first.y + 22);
    await page.mouse.down();
    await page.mouse.move(second.x + 62, second.y + 22, { steps: 4 });
    await page.mouse.up();
    await page.click('#picture-use');
    await page.waitForFunction(() => document.querySelector('#corner-fault').textContent.length > 10);
    assert.equal((await table.document()).picture, null);
  });
});

describe('painting', { concurrency: 2 }, () => {
  for (const kind of ['dip', 'bands', 'dots', 'motif'])
    tableTest(`the ${kind} tool puts a layer on the blank that is seen in blank, yarn and socks`, async (table, page) => {
      await page.click('[data-empty]');
      await table.until((doc) => doc.layers.length === 0);
      await table.drawn();
      const before = await shownPixels(page);
      await page.click(`[data-tool="${kind}"]`);
      await table.until((doc, wanted) => doc.layers.length === 1 && doc.layers[0].kind === wanted, kind);
      await table.drawn();
      const now = await shownPixels(page);
      for (const i of [0, 1, 2]) assert.notEqual(now[i], before[i]);
    });

  tableTest('a motif is put down where the blank is tapped', async (table, page) => {
    await page.click('[data-empty]');
    await page.click('[data-tool="motif"]');
    await page.click('.editor .pick:has-text("where I tap")');
    const blank = await table.box('#blank-canvas');
    await page.mouse.click(blank.x + blank.width / 4, blank.y + blank.height / 2);
    await table.until((doc) => doc.layers[0].places.length === 2);
    const [x, y] = (await table.document()).layers[0].places;
    const mmAPixel = 240 / blank.width;  // the start blank is 24 x 86 cm
    assert.ok(Math.abs(x - 60) < mmAPixel && Math.abs(y - 430) < mmAPixel, `${x}, ${y}`);
  });

  tableTest('a brush stroke goes where the mouse goes, is seen while it is drawn, and is taken back as one', async (table, page) => {
    await page.click('#paint');
    await table.until((doc) => doc.layers.length === 1 && doc.layers[0].kind === 'brush');
    await table.drawn();
    const empty = await shownPixels(page);
    const blank = await table.box('#blank-canvas');
    await page.mouse.move(blank.x + blank.width * 0.2, blank.y + blank.height * 0.25);
    await page.mouse.down();
    await page.mouse.move(blank.x + blank.width * 0.8, blank.y + blank.height * 0.75, { steps: 12 });
    await page.waitForFunction((before) => ['blank', 'ribbons', 'knit'].every((name, i) => table.pictures.views[name].canvas.toDataURL() !== before[i]), empty);
    await page.mouse.up();
    const { points } = (await table.document()).layers[0].strokes[0];
    const mmAPixel = 240 / blank.width;
    const wanted = [[0, 48], [1, 215], [points.length - 2, 192], [points.length - 1, 645]];
    for (const [at, mm] of wanted) assert.ok(Math.abs(points[at] - mm) < 1.5 + mmAPixel, `${points[at]}, not ${mm}`);  // 1.5 mm: the least step of a stroke
    await page.keyboard.press('Control+z');
    await table.until((doc) => doc.layers[0].strokes.length === 0);
    await page.keyboard.press('Control+y');
    await table.until((doc) => doc.layers[0].strokes.length === 1);
    await table.drawn();
  });

  tableTest('the brush paints from the keyboard alone', async (table, page) => {
    await page.click('[data-empty]');
    await page.focus('[data-tool="brush"]');
    await page.keyboard.press('Enter');
    await page.focus('#blank-canvas');
    for (const key of ['ArrowDown', 'Space', 'ArrowRight', 'ArrowRight', 'ArrowRight', 'Space']) await page.keyboard.press(key);
    await table.until((doc) => doc.layers[0].strokes.length === 1);
    const { points } = (await table.document()).layers[0].strokes[0];
    const kStitchMm = 240 / 46;
    assert.ok(Math.abs(points.at(-2) - points[0] - 3 * kStitchMm) < 0.2, points.join(' '));  // three stitches; places are kept to 0.1 mm
  });

  tableTest('layers change their order by keys and by dragging, and the order is seen', async (table, page) => {
    const ids = async () => (await table.document()).layers.map((layer) => layer.id);
    const [below, above] = await ids();
    await page.locator('.layer-list .grip').first().focus();
    await page.keyboard.press('ArrowDown');
    assert.deepEqual(await ids(), [above, below]);
    const from = await table.box('.layer-list .grip >> nth=1'), to = await table.box('.layer-list .grip >> nth=0');
    await page.mouse.move(from.x + 12, from.y + 12);
    await page.mouse.down();
    await page.mouse.move(to.x + 12, to.y + 2, { steps: 8 });
    await page.mouse.up();
    await table.until((doc, id) => doc.layers[0].id === id, below);
    assert.deepEqual(await page.$$eval('.layer-list > li', (rows) => rows.map((row) => row.dataset.id)), [below, above]);
  });

  tableTest('a dip is dragged to its water line', async (table, page) => {
    await page.click('[data-empty]');
    await page.click('[data-tool="dip"]');
    const blank = await table.box('#blank-canvas');
    await page.mouse.move(blank.x + 50, blank.y + blank.height * 0.9);
    await page.mouse.down();
    await page.mouse.move(blank.x + 50, blank.y + blank.height * 0.3, { steps: 6 });
    await page.mouse.up();
    await table.until((doc) => Math.abs(doc.layers[0].level - 0.7) < 0.011);  // from the far end; kept to a hundredth
  });

  tableTest('bands are dragged along the blank, taken hold of anywhere, and repeat', async (table, page) => {
    await page.click('[data-empty]');
    await page.click('[data-tool="bands"]');
    const blank = await table.box('#blank-canvas');
    await page.waitForSelector('#blank-frame .grip-on-cloth');
    const drag = async (by) => {
      await page.mouse.move(blank.x + 50, blank.y + 300);
      await page.mouse.down();
      await page.mouse.move(blank.x + 50, blank.y + 300 + by / 86 * blank.height, { steps: 6 });
      await page.mouse.up();
    };
    await drag(2.5);
    await table.until((doc) => Math.abs(doc.layers[0].start_cm - 2.5) < 0.16);  // kept to 0.1 cm; a pixel is 0.15
    await drag(7);  // a band of 2 and a gap of 4: as 1 cm farther
    await table.until((doc) => doc.layers[0].start_cm > 3);
    const again = (await table.document()).layers[0].start_cm;
    assert.ok(Math.abs(again - 3.5) < 0.32, again + ' cm');
    await page.keyboard.press('Control+z');
    await page.keyboard.press('Control+z');
    await table.until((doc) => doc.layers[0].start_cm === 0);
  });

  tableTest('a stencil of her own is printed where it is black', async (table, page) => {
    await page.click('[data-empty]');
    await page.click('[data-tool="motif"]');
    await table.drawn();
    const before = (await shownPixels(page))[0];
    await page.setInputFiles('input[aria-label^="Your own stencil"]', sample(kStencils[0]));
    await table.until((doc) => doc.layers[0].shape === 'mask' && doc.layers[0].name === 'lanterns-stencil-1.png');
    await page.evaluate(() => table.state.change((doc) => { Object.assign(doc.layers[0], { repeat: null, places: [120, 430], size_cm: 60, turn_deg: 0, penetration: 1 }); }));
    await table.drawn();
    const now = (await shownPixels(page))[0];
    assert.notEqual(now, before);
    // 60 cm long in the middle of the blank, looked at in 1 cm parts of 24 x 80 cm of it.
    const [stencil, dyed] = await page.evaluate(async (bytes) => {
      const raw = Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0));
      const picture = await createImageBitmap(new Blob([raw])), longest = Math.max(picture.width, picture.height);
      const pixels = (draws) => {
        const canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = [24, 80];
        const context = canvas.getContext('2d');
        context.imageSmoothingQuality = 'high';
        context.fillStyle = '#fff';
        context.fillRect(0, 0, 24, 80);
        draws(context);
        const { data } = context.getImageData(0, 0, 24, 80);
        return Array.from({ length: 24 * 80 }, (none, i) => data[4 * i + 1]);
      };
      const [wide, long] = [picture.width / longest * 60, picture.height / longest * 60];  // cm, and pixels of these
      const blank = document.querySelector('#blank-canvas');
      return [pixels((context) => context.drawImage(picture, 12 - wide / 2, 40 - long / 2, wide, long)),
        pixels((context) => context.drawImage(blank, 0, -3, 24, 86))];
    }, readFileSync(sample(kStencils[0])).toString('base64'));
    const mean = (list) => list.reduce((sum, value) => sum + value, 0) / list.length;
    const under = (isBlack) => mean(dyed.filter((value, i) => isBlack === (stencil[i] < 64) && (stencil[i] < 64 || stencil[i] > 240)));
    assert.ok(under(false) - under(true) > 60, under(true) + ' where it is black, ' + under(false) + ' beside');
  });

  tableTest('a finger paints on a phone and does not move the page', async (table, page) => {
    await page.click('#paint');
    await page.locator('#blank-canvas').scrollIntoViewIfNeeded();
    const blank = await table.box('#blank-canvas'), before = await page.evaluate(() => scrollY);
    const session = await table.context.newCDPSession(page);
    const touch = (type, part) => session.send('Input.dispatchTouchEvent', { type,
      touchPoints: type === 'touchEnd' ? [] : [{ x: blank.x + blank.width / 2, y: blank.y + blank.height * part }] });
    await touch('touchStart', 0.3);
    for (const part of [0.34, 0.38, 0.42, 0.46, 0.5]) await touch('touchMove', part);
    await touch('touchEnd');
    await table.until((doc) => doc.layers[0].strokes.length === 1 && doc.layers[0].strokes[0].points.length >= 6);
    assert.equal(await page.evaluate(() => scrollY), before);
  }, { width: 390, height: 844, hasTouch: true, isMobile: true });
});

describe('knitting', { concurrency: 2 }, () => {
  tableTest('stitches are changed from the keyboard and the words and the socks follow', async (table, page) => {
    await table.drawn();
    const before = await shownPixels(page);
    await page.focus('#tab-layers');
    await page.keyboard.press('ArrowRight');
    await page.locator('#panel-knitting input[type=number]').first().focus();
    for (let i = 0; i < 3; i += 1) await page.keyboard.press('ArrowUp');
    await table.until((doc) => doc.knitting.stitches === 76);
    await wordsSay(page, roundsInARow(76));
    await table.drawn();
    const now = await shownPixels(page);
    assert.equal(now[0], before[0]);
    assert.notEqual(now[2], before[2]);
  });

  tableTest('yarn in a round overrides the gauge, in inches too', async (table, page) => {
    await table.openTab('knitting');
    await page.click('[data-units="in"]');
    await page.getByLabel('Yarn in one round').fill('30');
    await page.keyboard.press('Tab');
    await table.until((doc) => Math.abs(doc.knitting.yarn_per_round_cm - 76.2) < 1e-6);
    await wordsSay(page, 'One row of the blank is ' + Number((kStartRowMm / 762).toFixed(1)) + ' rounds');
  });

  tableTest('a stitch count that cannot be is refused with the range, and the last good one stays', async (table, page) => {
    await table.openTab('knitting');
    await page.locator('#panel-knitting input[type=number]').first().fill('7200');
    await page.keyboard.press('Tab');
    await table.notice(/between 16 and 200/);
    assert.ok((await table.document()).knitting.stitches <= 200);
    await page.locator('#panel-knitting input[type=number]').first().fill('60');
    await page.keyboard.press('Tab');
    await goesOn(table);
  });

  tableTest('plain fabric, every heel, either end first and one strand are all drawn', async (table, page) => {
    await table.openTab('knitting');
    let before = await shownPixels(page);
    for (const words of ['short rows', 'put in last', 'the far end', 'plain fabric', 'back and forth']) {
      await page.click(`#panel-knitting .pick:has-text("${words}")`);
      await table.drawn();
      const now = await shownPixels(page);
      assert.notEqual(now[2], before[2], words);
      before = now;
    }
    await table.openTab('blank');
    await page.click('#panel-blank .pick:has-text("one strand")');
    await page.waitForFunction(() => table.pictures.told.balls.length === 1);
    await table.drawn();
    assert.ok(!await page.isVisible('#notice.is-shown'), await page.textContent('#notice-text'));
  });
});

describe('questions', { concurrency: 2 }, () => {
  tableTest('a length tapped in the risk chart is knitted, and arrow keys go to the next one', async (table, page) => {
    await page.waitForFunction(() => table.risk.told() !== null && table.risk.told().done >= 1);
    assert.match(await page.textContent('#risk-words'), /\d+ of 100 knitters.*64 stitches/);
    await page.locator('#risk-chart').scrollIntoViewIfNeeded();
    const chart = await table.box('#risk-chart');
    await page.mouse.click(chart.x + chart.width * 0.75, chart.y + chart.height / 2);
    await table.until((doc) => doc.knitting.stitches > 64);
    const { stitches } = (await table.document()).knitting;
    const point = await page.evaluate((count) => table.risk.told().points.find((one) => one.stitches === count), stitches);
    assert.ok(Math.abs(point.yarn_per_round_mm - roundMm(stitches)) < 0.5, point.yarn_per_round_mm);
    await wordsSay(page, roundsInARow(stitches));
    await page.focus('#risk-chart');
    await page.keyboard.press('ArrowLeft');
    await table.until((doc, count) => doc.knitting.stitches === count, stitches - 4);
    assert.equal(await page.getAttribute('#risk-chart', 'aria-valuenow'), String(stitches - 4));
    await page.waitForFunction((count) => table.risk.told().done >= 1 && document.querySelector('#risk-words').textContent.includes(count + ' stitches'), stitches - 4);
  });

  tableTest('how sure look and pools are is said of the table as it is, and a round that was measured leaves no bar', async (table, page) => {
    const surely = () => page.waitForFunction(() => table.sure.told() !== null);
    await surely();
    const trials = / in (all|\d+ of) 100 trials with other guesses/;
    assert.match(await page.innerText('#look-sure'), /^The look: (sure|fairly sure|not sure)\. It is/);
    assert.match(await page.innerText('#look-sure'), trials);
    assert.match(await page.textContent('#risk-sure'), trials);
    assert.match(await page.textContent('#risk-band'), /^Grey band: .*Red bar: .*cm/);
    assert.equal(await page.locator('#risk-chart .risk-band').count(), 1);
    assert.equal(await page.locator('#risk-chart .round-span').count(), 1);
    // The band lies about the line: at every point the risk in use is within what nine in ten guesses give, or near it.
    const off = await page.evaluate(() => table.risk.told().points.map((point, i) => [point.risk, ...table.sure.told().bands[i]])
      .filter(([risk, low, high]) => risk < low - 0.2 || risk > high + 0.2).length);
    assert.equal(off, 0);
    await table.openTab('knitting');
    await page.getByLabel('Yarn in one round', { exact: true }).fill('85');
    await page.keyboard.press('Tab');
    await page.waitForFunction(() => table.sure.told() === null);
    assert.equal(await page.locator('#risk-chart .risk-band').count(), 0, 'a band of an older table is not shown');
    await surely();
    assert.ok(!(await page.textContent('#risk-band')).includes('Red bar'));
    assert.equal(await page.locator('#risk-chart .round-span').count(), 0);
    assert.equal(await page.locator('#risk-chart .risk-band').count(), 1);
    // On a phone the first words stand above the pictures, and all of them below the chart.
    await page.setViewportSize({ width: 390, height: 800 });
    assert.match(await page.innerText('#look-sure'), /^The look: [a-z ]+\.\s+Why$/);
    assert.match(await page.innerText('#look-sure-below'), trials);
  });

  tableTest('a lay tapped is taken, and the blank is drawn as it then lies', async (table, page) => {
    await page.locator('#ways').scrollIntoViewIfNeeded();
    await page.waitForFunction(() => document.querySelectorAll('.way').length >= 5 && document.querySelector('#ways-progress').hidden);
    await page.click('#more-ways');
    assert.equal(await page.locator('.way').count(), 16);
    await table.drawn();
    const before = await shownPixels(page);
    await page.locator('.way[aria-pressed="false"]:has(strong:has-text("upside down"))').first().click();
    await table.until((doc) => doc.way.rotate === 180);
    await table.drawn();
    assert.notEqual((await shownPixels(page))[0], before[0]);
    assert.equal(await page.locator('.way[aria-pressed="true"]').count(), 1);
  });

  tableTest('the least change that stops pools is looked for, said, and can be taken and given back', async (table, page) => {
    // Once the answers above stand: their words move what lies below, and a press that slides off its button is none.
    await page.waitForFunction(() => table.risk.told() !== null && table.risk.told().done >= 1 && table.sure.told() !== null);
    await page.click('#nudge-find');
    assert.match(await page.textContent('#nudge-words'), /\S/, 'the press was heard');
    await page.waitForFunction(() => document.querySelector('#nudge-progress').hidden && /\S/.test(document.querySelector('#nudge-words').textContent) &&
      !/^(Looking|Tried)/.test(document.querySelector('#nudge-words').textContent));
    assert.match(await page.textContent('#nudge-words'), /\.$/, 'a fault ends without a stop');
    if (await page.isVisible('#nudge-take')) {
      await page.click('#nudge-take');
      await table.until((doc) => doc.nudge !== null);
      await page.click('#nudge-undo');
      await table.until((doc) => doc.nudge === null);
    }
  });

  tableTest('where the balls differ both are said in the same size', async (table, page) => {
    await page.evaluate(() => {
      const { told } = table.pictures;
      told.balls[1] = { ...told.balls[1], sentence: 'Speckled all over. Clear contrast (colour range 20).' };
      told.sentence = told.balls.map((ball) => ball.name + ': ' + ball.sentence).join(' ');
      table.told.show();
    });
    const heads = await page.$$eval('#sentence > *', (nodes) => nodes.map((node) => [node.textContent.trim(), getComputedStyle(node).fontSize]));
    assert.equal(heads.length, 2);
    assert.match(heads[0][0], /^Ball A: /);
    assert.equal(heads[1][0], 'Ball B: Speckled all over.');
    assert.equal(heads[0][1], heads[1][1]);
  });

  tableTest('a half-knitted ball weighed tells the row of the blank that the needles are in', async (table, page) => {
    await page.fill('#weigh-grams', '20');
    // 30 of 50 g are knitted: 126.6 of 211 m, and every row takes the same.
    const row = Math.ceil(0.6 * 211000 / kStartRowMm);
    await page.waitForFunction((words) => document.querySelector('#weigh-words').textContent.includes(words), `row ${row} of 214`);
    assert.match(await page.textContent('#weigh-words'), /127 m knitted, 84 m left/);
    const coming = await page.locator('#weigh-coming li').allTextContents();
    assert.ok(coming.length > 0);
    const kShortestCm = 8;  // what is shorter is a fleck
    for (const text of coming) assert.ok(Number(/: (\d+) cm/.exec(text)[1]) >= kShortestCm, text);
    await page.fill('#weigh-grams', '90');
    await page.waitForFunction(() => /between 0 and 50 g/.test(document.querySelector('#weigh-words').textContent));
  });

  tableTest('a place pointed at on the blank lights the other pictures, and from there leads back', async (table, page) => {
    const inAll = async () => [await table.marks('blank'), await table.marks('ribbons'), await table.marks('knit')].map((count) => count > 0);
    const said = (start) => page.waitForFunction((source) => new RegExp(source).test(document.querySelector('#pointed').textContent), start);
    await table.drawn();
    const blank = await table.box('#blank-canvas');
    const at = (row, part) => page.mouse.move(blank.x + blank.width * part, blank.y + blank.height * (row - 0.5) / 214);
    await at(61, 0.75);
    await said('^row 61 of 214, stitch 3[56]: in the sock, round \\d+, in the leg');
    assert.deepEqual(await inAll(), [true, true, true]);
    const ring = await page.locator('#knit-frame .mark circle').first().boundingBox();
    // On the ribbons a pixel is some centimetres of yarn, far less than a row.
    const mark = await page.locator('#ribbons-frame .mark rect').last().boundingBox();
    for (const box of [mark, ring]) {
      await at(200, 0.5);
      await said('^row 200 of 214');
      await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
      await said('^row 6[012] of 214');
      assert.deepEqual(await inAll(), [true, true, true]);
    }
  });

  tableTest('a place that no drawn sock shows is said to lie turned away or left over', async (table, page) => {
    await table.drawn();
    const blank = await table.box('#blank-canvas');
    await page.mouse.move(blank.x + blank.width * 0.25, blank.y + blank.height * (60.5 / 214));
    await page.waitForFunction(() => /^row 61 of 214.*in the leg.*, on the side that lies on the table$/.test(document.querySelector('#pointed').textContent));
    assert.equal(await table.marks('knit'), 0);
    await page.mouse.move(blank.x + blank.width * 0.25, blank.y + blank.height * (205.5 / 214));
    await page.waitForFunction(() => /^row 206 of 214.*left over when the sock is done$/.test(document.querySelector('#pointed').textContent));
  });
});

describe('keeping', { concurrency: 2 }, () => {
  /// A table with something of every kind on it.
  async function filled(table, page) {
    await table.layPicture(sample('gulls.png'));
    await page.click('[data-tool="bands"]');
    await page.click('[data-tool="motif"]');
    await page.click('[data-tool="brush"]');
    const blank = await table.box('#blank-canvas');
    await page.mouse.move(blank.x + 30, blank.y + 60);
    await page.mouse.down();
    await page.mouse.move(blank.x + 110, blank.y + 160, { steps: 6 });
    await page.mouse.up();
    await page.fill('#title', 'Gulls & nets');
    await page.keyboard.press('Tab');
    await page.click('[data-units="in"]');
    await table.openTab('knitting');
    await page.click('.step >> nth=1');
    await table.until((doc) => doc.knitting.stitches === 68 && doc.title === 'Gulls & nets');
  }

  tableTest('a saved table opens again in another browser as the same document', async (table, page) => {
    await filled(table, page);
    const text = await table.saved();
    writeFileSync(inFolder('again.loopread.json'), text);
    const other = await TablePage.opened(browser, kPage);
    try {
      await other.drop([inFolder('again.loopread.json')]);
      await other.until((doc) => doc.title === 'Gulls & nets');
      await other.notice(/Opened again\.loopread\.json/);
      assert.deepEqual(bare(await other.saved()), bare(text));
      assert.deepEqual(bare(text).layers.map((layer) => layer.kind), ['bands', 'motif', 'brush']);
      await other.drawn();
      await table.drawn();
      assert.deepEqual((await shownPixels(other.page)).slice(0, 2), (await shownPixels(page)).slice(0, 2));
      assert.deepEqual(await other.faults(), []);
    } finally {
      await other.close();
    }
  });

  tableTest('the table survives a reload', async (table, page) => {
    await page.evaluate(() => { document.querySelector('#kept').textContent = ''; });
    await filled(table, page);
    const text = await table.saved();
    await page.waitForFunction(() => document.querySelector('#kept').textContent === 'Kept in this browser.' &&
      /"stitches":68/.test(localStorage.getItem('loopread-dye-table')));
    await page.reload();
    await table.ready();
    assert.deepEqual(bare(await table.saved()), bare(text));
    assert.equal(await page.textContent('#kept'), 'As you left it.');
  });

  tableTest('starting over asks first, and undo brings the table back', async (table, page) => {
    await page.click('[data-tool="dots"]');
    await table.until((doc) => doc.layers.length === 3);
    await page.click('#ask-start-over');
    await page.waitForSelector('#start-over[open]');
    await page.click('#start-over-no');
    assert.equal((await table.document()).layers.length, 3);
    await page.click('#ask-start-over');
    await page.click('#start-over-yes');
    await table.until((doc) => doc.layers.length === 2 && doc.title === 'harbour');
    await page.click('#undo');
    await table.until((doc) => doc.layers.length === 3);
  });

  tableTest('pictures, design, yarn and runs are taken away as files of their kind', async (table, page) => {
    const starts = { pictures: '\x89PNG', design: 'PK\x03\x04', yarn: 'strand,start_mm,length_mm,', runs: 'strand,start_m,length_cm,' };
    for (const [what, start] of Object.entries(starts)) {
      const [download] = await Promise.all([page.waitForEvent('download'), page.click(`#take [data-take="${what}"]`)]);
      assert.equal(readFileSync(await download.path()).subarray(0, start.length).toString('latin1'), start, what);
    }
  });

  /// The parts of a zip file without packing (PKWARE APPNOTE 4.3): name to bytes.
  function unzipped(bytes) {
    const parts = new Map();
    for (let at = 0; bytes.readUInt32LE(at) === 0x04034b50;) {
      const size = bytes.readUInt32LE(at + 18), named = bytes.readUInt16LE(at + 26), begins = at + 30 + named + bytes.readUInt16LE(at + 28);
      parts.set(bytes.subarray(at + 30, at + 30 + named).toString(), bytes.subarray(begins, begins + size));
      at = begins + size;
    }
    return parts;
  }

  tableTest('a design taken away holds the picture alone, its stencils and a file that the program reads', async (table, page) => {
    await page.click('[data-empty]');
    await table.layPicture(sample('gulls.png'));
    await page.click('[data-tool="bands"]');
    await table.drawn();
    const [download] = await Promise.all([page.waitForEvent('download'), page.click('#take [data-take="design"]')]);
    const parts = unzipped(readFileSync(await download.path()));
    assert.deepEqual([...parts.keys()].sort(), ['amounts.txt', 'design.png', 'design.toml', 'picture.png', 'stencil-1.png']);
    assert.match(parts.get('amounts.txt').toString(), /bands: on .* of yarn, depth unknown[^]*Take care:[^]*safety data sheet/);
    const folder = inFolder('taken');
    mkdirSync(folder, { recursive: true });
    for (const [name, bytes] of parts) writeFileSync(join(folder, name), bytes);
    const like = async (file, other) => page.evaluate(async (both) => {
      const [a, b] = await Promise.all(both.map(async (bytes) => {
        const raw = Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0)), canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = [240, 860];
        const context = canvas.getContext('2d');
        context.imageSmoothingQuality = 'high';
        context.drawImage(await createImageBitmap(new Blob([raw])), 0, 0, 240, 860);
        return context.getImageData(0, 0, 240, 860).data;
      }));
      return a.reduce((sum, value, i) => sum + Math.abs(value - b[i]), 0) / a.length;
    }, [file, other].map((name) => readFileSync(name).toString('base64')));
    const alone = await like(join(folder, 'picture.png'), sample('gulls.png')), painted = await like(join(folder, 'design.png'), sample('gulls.png'));
    const kRoundings = 3;  // codes of 255, mean: the raster's pixels are not the sample's
    assert.ok(alone < kRoundings, 'the picture alone is off by ' + alone);
    assert.ok(painted > 3 * kRoundings, 'the design has no bands: off by ' + painted);
    execFileSync(kProgram, ['unravel', join(folder, 'design.toml'), '-o', join(folder, 'out')], { stdio: 'pipe' });
    assert.ok(statSync(join(folder, 'out', 'yarn.csv')).size > 1e5);
    await table.drawn();  // and the table shows what it did: with bands
    assert.equal((await table.document()).layers.length, 1);
  });
});

describe('bad input', { concurrency: 2 }, () => {
  const fed = (name, content) => {
    writeFileSync(inFolder(name), content);
    return inFolder(name);
  };

  tableTest('a text file named .jpg gets one sentence and the table goes on', async (table) => {
    const before = await table.document();
    await table.drop([fed('notes.jpg', 'a recipe, not a picture')]);
    assert.match(await table.notice(/./), /^notes\.jpg is not a picture[^.]*\.$/);
    assert.deepEqual(await table.document(), before);
    await goesOn(table);
  });

  tableTest('an empty picture and an empty drop get one sentence each and the table goes on', async (table) => {
    await table.drop([fed('empty.png', '')]);
    await table.notice(/^empty\.png is empty\.$/);
    await table.drop([], [{ mimeType: 'text/plain', data: 'hello' }]);
    await table.notice(/^Nothing was dropped[^.]*\.$/);
    await goesOn(table);
  });

  tableTest('a picture of 100 megapixels is made smaller with a word, laid, and the table goes on', async (table, page) => {
    await table.drop([fed('large.png', greyPng(10000, 10000))]);
    await table.notice(/large\.png is larger than it need be: worked with at 4000 x 4000/);
    await page.waitForSelector('#picture-set[open]');
    await page.click('#picture-use');
    await table.until((doc) => doc.picture && doc.picture.name === 'large.png');
    await goesOn(table);
  });

  tableTest('a picture that says it has 3600 megapixels is refused before it is decoded', async (table) => {
    await table.drop([fed('liar.png', greyPng(100, 100, { width: 60000, height: 60000 }))]);
    await table.notice(/liar\.png has too many pixels \(60000 x 60000\)/);
    await goesOn(table);
  });

  const kBroken = {
    'half a file': '{"loopread":1,"layers":[',
    'another kind of file': '{"a":1}',
    'a list': '[1,2,3]',
    'a word': '"loopread"'
  };
  for (const [what, text] of Object.entries(kBroken))
    tableTest(`${what} in place of a saved table gets one sentence and changes nothing`, async (table) => {
      const before = await table.document();
      await table.drop([fed('state.loopread.json', text)]);
      await table.notice(/^state\.loopread\.json: this (file is broken|is not a file)/);
      assert.deepEqual(await table.document(), before);
      await goesOn(table);
    });

  tableTest('a saved table full of nonsense opens as far as it makes sense or is refused in a sentence', async (table) => {
    await table.drop([fed('odd.loopread.json', JSON.stringify({ loopread: 1, title: 7, blank: { stitches: -3, rows: 1e9, width_cm: 'wide' },
      layers: [{ kind: 'dots' }, 7, { kind: '__proto__' }, { kind: 'motif', shape: 'mask' }, { kind: 'brush', strokes: [{ points: ['a', null] }] }],
      picture: { image: 'x' }, knitting: { stitches: 1e9, gauge_stitches: 0 }, chance: { knitters: -5 } }))]);
    await table.notice(/./);
    await table.drawn();
    await goesOn(table);
  });

  tableTest('names that look like markup are shown as text', async (table, page) => {
    const hostile = '"><img src=x onerror=broken=1><script>broken=1</script>';
    await table.drop([fed('hostile.loopread.json', JSON.stringify({ loopread: 1, title: hostile, blank: { undyed: hostile },
      layers: [{ kind: 'dip', name: hostile, colour: '#2b6f92' }, { kind: 'dots', name: hostile, colour: hostile }] }))]);
    await table.until((doc, title) => doc.title === title, hostile);
    await table.drawn();
    assert.equal(await page.inputValue('#title'), hostile);
    assert.equal(await page.textContent('.layer-list .name >> nth=0'), hostile);
    const picture = inFolder('<img src=x onerror=broken=1>.png');
    copyFileSync(sample('nets.png'), picture);
    await table.layPicture(picture);
    await table.until((doc) => doc.picture !== null);
    await page.click('#tab-layers');
    assert.equal(await page.textContent('#picture-card strong'), '<img src=x onerror=broken=1>.png');
    assert.equal(await page.evaluate(() => window.broken), undefined);
    assert.equal(await page.locator('img').count(), 0);
  });
});

describe('the dye bench', { concurrency: 2 }, () => {
  /// The bench has answered for the table as it is.
  const told = (page) => page.waitForFunction(() => {
    const node = document.querySelector('.holds');
    return node && !node.classList.contains('is-stale') && /^(Holds|Lost)/.test(node.querySelector('strong').textContent);
  });
  const mixed = (page, pattern) => page.waitForFunction(([source]) => !document.querySelector('#mix').classList.contains('is-stale') &&
    new RegExp(source).test(document.querySelector('#mix').textContent), [pattern.source]);
  const figure = async (page) => Number((await page.textContent('.holds-head p')).match(/([\d.]+) apart/)[1]);

  tableTest('a layer says how it holds in colour and in grey, and a paler strength is taken by a tap', async (table, page) => {
    await told(page);
    assert.match(await page.textContent('.holds-head'), /^Holds.*lightness [\d.]+ on [\d.]+, [\d.]+ apart.*no standard/);
    const patches = await page.evaluate(() => [...document.querySelectorAll('.holds-head .patch')].map((node) => getComputedStyle(node).color));
    const [grey] = patches.slice(1).map((colour) => colour.match(/\d+/g).map(Number));
    assert.ok(patches.length === 2 && grey[0] === grey[1] && grey[1] === grey[2] && patches[0] !== patches[1], patches.join(' '));
    const before = await figure(page);
    await page.click('.holds summary');
    assert.equal(await page.locator('.strength').count(), 6);
    assert.match(await page.textContent('.strength >> nth=2'), /25 %lightness [\d.]+, [\d.]+ apart: (holds|lost)[^]*1 part paste to 3 parts plain paste, not water/);
    await page.click('.strength >> nth=2');
    await table.until((doc) => doc.layers[1].strength === 0.25);
    await told(page);
    assert.ok(await figure(page) < before - 7, 'a quarter of the dye is no paler');
    assert.equal(await page.getAttribute('.strength >> nth=2', 'aria-pressed'), 'true');
  });

  tableTest('a strength is taken from the keyboard, which stays where it was', async (table, page) => {
    await told(page);
    await page.focus('.holds summary');
    for (const key of ['Enter', 'Tab', 'Tab', 'Space']) await page.keyboard.press(key);
    await table.until((doc) => doc.layers[1].strength === 0.5);
    await told(page);
    assert.match(await page.evaluate(() => document.activeElement.textContent), /^50 %, as now/);
  });

  tableTest('a layer that is lost gets remedies with their figures, and one that can be taken', async (table, page) => {
    const strength = page.locator('.editor input[type="range"]').first();
    await strength.focus();
    for (const key of ['Home', 'ArrowRight']) await page.keyboard.press(key);
    await table.until((doc) => doc.layers[1].strength === 0.01);
    await page.waitForFunction(() => /^Lost in light and dark/.test(document.querySelector('.holds strong').textContent));
    await told(page);
    const before = await figure(page);
    assert.ok(before < 7);
    const words = await page.locator('.remedy li').allTextContents();
    assert.equal(words.length, 3);
    for (const text of words) assert.match(text, /lightness [\d.]+ on [\d.]+, [\d.]+ apart, (holds|lost)/);
    await page.click('.remedy button');
    await table.until((doc) => doc.layers[1].strength === 0.04);
    await told(page);
    assert.ok(await figure(page) > before);
  });

  tableTest('a motif that holds at the pale end and is lost in the dip is told so', async (table, page) => {
    const doc = JSON.parse(await table.saved());
    doc.layers[0].colour = '#1f3f5b';
    doc.layers[1].strength = 0.12;
    writeFileSync(inFolder('dark.loopread.json'), JSON.stringify({ ...doc, title: 'dark dip' }));
    await table.drop([inFolder('dark.loopread.json')]);
    await table.until((now) => now.title === 'dark dip');
    await page.waitForFunction(() => /^Holds in all, lost on \d+ % of it$/.test(document.querySelector('.holds strong').textContent));
    const share = Number((await page.textContent('.holds strong')).match(/\d+/)[0]);
    assert.ok(share > 28 && share < 42, share + ' %: the dip is over 35 % of the blank');
    assert.equal(await page.locator('.remedy li').count(), 3);
  });

  /// Its pixels of both orders are the same.
  const alike = (page) => page.evaluate(() => {
    const [one, other] = [...document.querySelectorAll('.orders canvas')].map((canvas) => canvas.toDataURL());
    return one === other;
  });
  const compared = (page) => page.waitForSelector('.orders', { state: 'visible' });

  tableTest('both orders of dip and stencil are shown beside each other, alike until dye washes out', async (table, page) => {
    await page.click('#order-card button');
    await compared(page);
    assert.match(await page.textContent('#order-card'), /Not measured[^]*dipped first[^]*stencilled first[^]*come out alike/);
    assert.ok(await alike(page));
    const before = await shownPixels(page);
    await page.focus('#order-card input');
    await page.keyboard.press('Home');
    await table.until((doc) => doc.dye.strike === 0);
    await table.drawn();
    assert.deepEqual((await shownPixels(page)).slice(0, 1), before.slice(0, 1), 'dipped first no dye washes out');
    await page.focus('#order-card button');
    await page.keyboard.press('Enter');
    await compared(page);
    assert.ok(!(await alike(page)));
    await page.locator('.layer-list .grip').first().focus();
    await page.keyboard.press('ArrowDown');
    await table.drawn();
    assert.notEqual((await shownPixels(page))[0], before[0]);
    assert.ok(await page.isHidden('.orders'), 'pictures of an older table');
    await page.click('[data-empty]');
    await page.waitForSelector('#order-card', { state: 'hidden' });
  });

  const kDepth = '.mix-layer:has-text("boats") input >> nth=0';

  tableTest('to mix: unknown stays unknown, a depth gives amounts with every caution, in US spoons too, and all is saved', async (table, page) => {
    await page.locator('#mix').scrollIntoViewIfNeeded();
    await mixed(page, /Dye on 100 g of dry yarn: unknown/);
    assert.equal(await page.locator('#mix-cautions li').count(), 12);
    await page.fill(kDepth, '1.5');
    await page.keyboard.press('Tab');
    await page.keyboard.type('4');
    await page.keyboard.press('Tab');
    await table.until((doc) => doc.layers[1].mix.depth_pct === 1.5 && doc.layers[1].mix.stock_pct === 4);
    await mixed(page, /unknown in all/);
    const grams = Number((await page.textContent('.mix-layer:has-text("boats") small')).match(/reaches ([\d.]+) g/)[1]);
    const ml = Number((await page.textContent('.mix-layer:has-text("boats") .mix-words')).match(/([\d.]+) ml of 4 % stock/)[1]);
    assert.ok(Math.abs(ml - grams * 1.5 / 4) < 0.02, `${ml} ml on ${grams} g`);
    assert.match(await page.textContent('.mix-layer:has-text("dip") .mix-words'), /^unknown/);
    await page.click('[data-units="in"]');
    await mixed(page, /US tsp[^]*US cup/);
    const shown = await page.textContent('body');
    for (const promise of [/colou?rfast/i, /machine.washable/i, /safe for babies/i]) assert.doesNotMatch(shown, promise);
    const text = await table.saved(), other = await TablePage.opened(browser, kPage);
    try {
      writeFileSync(inFolder('mix.loopread.json'), text);
      await other.drop([inFolder('mix.loopread.json')]);
      await other.until((doc) => doc.layers[1].mix.depth_pct === 1.5);
      const mixes = (saved) => [bare(saved).mix, bare(saved).dye, ...bare(saved).layers.map((layer) => layer.mix)];
      assert.deepEqual(mixes(await other.saved()), mixes(text));
    } finally {
      await other.close();
    }
  });

  tableTest('dye class, acid and balls change the amounts by hand, and too much dye gets one sentence', async (table, page) => {
    await page.locator('#mix').scrollIntoViewIfNeeded();
    await mixed(page, /vinegar \(published/);
    await page.click('#mix .pick:has-text("citric acid")');
    await mixed(page, /citric acid crystals/);
    await page.click('#mix .pick:has-text("reactive")');
    await mixed(page, /respirator/);
    assert.doesNotMatch(await page.textContent('#mix-bath'), /Acid/);
    await page.fill('#mix-what input >> nth=0', '4');
    await page.keyboard.press('Tab');
    await mixed(page, /Dye on 200 g/);
    await page.fill(kDepth, '20');
    await page.keyboard.press('Tab');
    await mixed(page, /depth of shade: 20 % of dye on the yarn is over 8 %/);
    assert.doesNotMatch(await page.textContent('#mix-fault'), /--/);
    await page.fill(kDepth, '2');
    await page.keyboard.press('Tab');
    await mixed(page, /unknown in all; what is known comes to/);
  });

  tableTest('on paper the amounts stand with their cautions, looked at before or not', async (table, page) => {
    await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
    await page.emulateMedia({ media: 'print' });
    assert.equal(await page.locator('#mix-cautions li:visible').count(), 12);
    assert.equal(await page.locator('.mix-layer:visible').count(), 2);
    await page.emulateMedia({ media: null });
  });

  tableTest('a file saved before there was a bench opens with nothing washed out and nothing mixed', async (table, page) => {
    const { mix, ...old } = JSON.parse(await table.saved());
    delete old.dye.strike;
    for (const layer of old.layers) delete layer.mix;
    writeFileSync(inFolder('old.loopread.json'), JSON.stringify({ ...old, title: 'old harbour' }));
    await table.drop([inFolder('old.loopread.json')]);
    await table.until((doc) => doc.title === 'old harbour' && doc.dye.strike === 1 && doc.layers[0].mix.depth_pct === null);
    await told(page);
  });
});

describe('for every hand and eye', { concurrency: 2 }, () => {
  const benchSeen = async (page) => {
    await page.click('#tab-layers');
    await page.locator('.holds').scrollIntoViewIfNeeded();
    await page.waitForSelector('.holds .fold', { state: 'attached' });
    await page.waitForFunction(() => document.querySelectorAll('.strength').length > 0 && !document.querySelector('.holds').classList.contains('is-stale'));
    if (await page.isVisible('#order-card')) {
      await page.click('#order-card button');
      await page.waitForSelector('.orders', { state: 'visible' });
    }
    await page.locator('#mix').scrollIntoViewIfNeeded();
    await page.waitForFunction(() => document.querySelectorAll('#mix-cautions li').length > 0 && !document.querySelector('#mix').classList.contains('is-stale'));
  };
  const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  const kTabs = ['layers', 'knitting', 'blank'];

  async function assertNothingSerious(page, where) {
    const found = await page.evaluate(async () => (await axe.run()).violations
      .filter((one) => one.impact === 'serious' || one.impact === 'critical')
      .map((one) => one.id + ': ' + one.nodes.slice(0, 3).map((node) => node.target.join(' ')).join(', ')));
    assert.deepEqual(found, [], where);
  }

  for (const colorScheme of ['light', 'dark'])
    for (const width of [390, 1280])
      tableTest(`axe finds nothing serious in any tab or dialog, ${colorScheme}, ${width} pixels wide`, async (table, page) => {
        await page.evaluate(axe);
        await page.locator('#ways').scrollIntoViewIfNeeded();
        await page.waitForFunction(() => document.querySelectorAll('.way').length >= 5 && document.querySelector('#ways-progress').hidden && document.querySelector('#risk-progress').hidden);
        await benchSeen(page);
        for (const tab of kTabs) {
          await table.openTab(tab);
          await page.evaluate(() => { for (const fold of document.querySelectorAll('details')) fold.open = true; });
          await assertNothingSerious(page, tab);
        }
        await page.click('#ask-start-over');
        await assertNothingSerious(page, 'start over');
        await page.click('#start-over-no');
        await table.drop([sample('harbour-photo.jpg')]);
        await page.waitForSelector('#picture-set[open]');
        await page.check('input[name="set-kind"][value="photo"]', { force: true });
        await assertNothingSerious(page, 'corners');
      }, { width, height: 844, colorScheme });

  const kLeastTarget = 39.5;  // CSS pixels: 40, and rounding of the layout

  /// What can be tapped and is smaller than a finger. A radio button is tapped by its label.
  const smallTargets = (page) => page.evaluate((least) => {
    const isTapped = (node) => !node.closest('.visually-hidden, .skip') && !(node.closest('.pick') && node.tagName === 'INPUT');
    return [...document.querySelectorAll('button, input, select, summary, a[href], label.pick, label.big, label.is-file')].filter(isTapped)
      .map((node) => ({ node, box: node.getBoundingClientRect() }))
      .filter(({ box }) => box.width > 0 && (box.width < least || box.height < least))
      .map(({ node, box }) => `${node.tagName}#${node.id}.${node.className} ${Math.round(box.width)} x ${Math.round(box.height)}`);
  }, kLeastTarget);

  for (const width of [390, 820, 1280, 1600])
    tableTest(`nothing scrolls sideways and every target takes a finger, ${width} pixels wide`, async (table, page) => {
      const holds = async (where) => {
        const [wide, room] = await page.evaluate(() => [document.scrollingElement.scrollWidth, document.documentElement.clientWidth]);
        assert.ok(wide <= room, `${where}: ${wide} in ${room}`);
        assert.deepEqual(await smallTargets(page), [], where);
      };
      await page.fill('#title', 'W'.repeat(80));
      await page.keyboard.press('Tab');
      for (const kind of ['dip', 'bands', 'dots', 'brush', 'motif']) {
        await page.click(`[data-tool="${kind}"]`);
        await page.fill('.editor > input[type="text"]', 'W'.repeat(60));
        await page.keyboard.press('Tab');
        await holds(kind);
      }
      await page.click('#closer');
      await holds('closer');
      for (const tab of kTabs) {
        await table.openTab(tab);
        await page.evaluate(() => { for (const fold of document.querySelectorAll('details')) fold.open = true; });
        await holds(tab);
      }
      await page.click('[data-units="in"]');
      await page.locator('#ways').scrollIntoViewIfNeeded();
      await page.waitForFunction(() => document.querySelectorAll('.way').length >= 5 && document.querySelector('#ways-progress').hidden);
      await holds('ways');
      await benchSeen(page);
      await page.evaluate(() => { for (const fold of document.querySelectorAll('details')) fold.open = true; });
      await holds('bench');
      await page.click('#ask-start-over');
      await holds('start over');
      await page.click('#start-over-no');
      await table.drop([sample('harbour-photo.jpg')]);
      await page.waitForSelector('#picture-set[open]');
      await page.check('input[name="set-kind"][value="photo"]', { force: true });
      await holds('corners');
    }, { width, height: 860 });
});
