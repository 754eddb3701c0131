// The dye table as a person has it: a file opened from disk in a browser that has no network.
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const kPatienceMs = 1000 * (process.env.LOOPREAD_PATIENCE_S || 120);  // a hang on a slow machine under load, not a measure

export function launched() {
  return chromium.launch({
    executablePath: process.env.LOOPREAD_CHROMIUM || '/usr/bin/chromium',
    // No sandbox: it is not to be had in many containers, and the one page opened is ours.
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--disable-background-networking', '--disable-component-update', '--no-first-run']
  });
}

/// An opened table with all that it complained of, and what a person does with it.
export class TablePage {
  static async opened(browser, file, { width = 1280, height = 900, ...more } = {}) {
    const context = await browser.newContext({ viewport: { width, height }, acceptDownloads: true, reducedMotion: 'reduce', ...more });
    context.setDefaultTimeout(kPatienceMs);
    await context.setOffline(true);
    const page = await context.newPage();
    const table = new TablePage(context, page, file);
    await table.load();
    return table;
  }

  constructor(context, page, file) {
    Object.assign(this, { context, page, file, complaints: [] });
    page.on('console', (message) => { if (message.type() === 'error') this.complaints.push('console: ' + message.text()); });
    page.on('pageerror', (fault) => this.complaints.push('fault: ' + fault.message));
    page.on('requestfailed', (request) => this.complaints.push('request failed: ' + request.url().slice(0, 120)));
    page.on('request', (request) => {
      if (/^(https?|wss?|ftp):/.test(request.url())) this.complaints.push('asks the network: ' + request.url());
    });
  }

  async load() {
    await this.page.addInitScript(() => {
      window.refused = [];  // by the page's own security policy
      window.readyAt = window.blankAt = null;  // ms after the file was opened: all three pictures are drawn; the first two
      const look = () => {
        const views = window.table && window.table.pictures ? window.table.pictures.views : null;
        if (views && views.ribbons.told && window.blankAt === null) window.blankAt = performance.now();
        if (views && views.knit.told) window.readyAt = performance.now();
        else requestAnimationFrame(look);
      };
      look();
      addEventListener('securitypolicyviolation', (event) => window.refused.push(event.violatedDirective + ' ' + event.blockedURI));
    });
    await this.page.goto(pathToFileURL(this.file).href);
    await this.ready();
  }

  ready() {
    return this.page.waitForFunction(() => window.readyAt !== null && !document.body.classList.contains('is-starting') && table.pictures.told !== null);
  }

  close() { return this.context.close(); }

  /// All faults so far, refusals of the page's own security policy among them.
  async faults() {
    return [...this.complaints, ...await this.page.evaluate(() => window.refused)];
  }

  document() { return this.page.evaluate(() => JSON.parse(JSON.stringify(table.state.doc))); }

  /// Waits until the document is as said.
  async until(isSo, wanted) {
    const last = Date.now() + kPatienceMs;
    for (;;) {
      const doc = await this.document();
      if (isSo(doc, wanted)) return;
      if (Date.now() > last) throw new Error(`not so in time: ${isSo} with ${wanted}: ${JSON.stringify(doc).slice(0, 2000)}`);
      await new Promise((go) => setTimeout(go, 40));
    }
  }

  /// The pictures show the document as it is now, the socks too.
  async drawn() {
    await this.page.evaluate(() => new Promise((done) => {
      const asked = performance.now();
      table.pictures.on((wanted) => { if (performance.now() >= asked && !wanted.quick) done(); });
      table.pictures.redraw();
    }));
  }

  sentence() { return this.page.textContent('#sentence'); }
  more() { return this.page.textContent('#sentence-more'); }

  /// The one sentence that says what went wrong, once it is there.
  async notice(pattern) {
    await this.page.waitForFunction(([source, flags]) => document.querySelector('#notice').classList.contains('is-shown') &&
      new RegExp(source, flags).test(document.querySelector('#notice-text').textContent), [pattern.source, pattern.flags]);
    const text = await this.page.textContent('#notice-text');
    await this.page.evaluate(() => document.querySelector('#notice-close').click());
    return text;
  }

  /// A drag from the desktop let go over the page, by the browser's own drag and drop.
  async drop(files, items = []) {
    const session = await this.context.newCDPSession(this.page);
    const data = { items, files, dragOperationsMask: 1 };
    for (const type of ['dragEnter', 'dragOver', 'drop']) await session.send('Input.dispatchDragEvent', { type, x: 200, y: 400, data });
    await session.detach();
  }

  async layPicture(file, kind) {
    await this.drop([file]);
    await this.page.waitForSelector('#picture-set[open]');
    if (kind === 'photo') await this.page.check('input[name="set-kind"][value="photo"]');
    await this.page.click('#picture-use');
    await this.page.waitForSelector('#picture-set', { state: 'hidden' });
  }

  openTab(name) { return this.page.click(`[data-tab="${name}"]`); }

  /// What the page would save, as the file holds it.
  async saved() {
    const [download] = await Promise.all([this.page.waitForEvent('download'), this.page.click('.top [data-take="save"]')]);
    return readFileSync(await download.path(), 'utf8');
  }

  box(selector) { return this.page.locator(selector).boundingBox(); }

  marks(view) { return this.page.evaluate((name) => table.pictures.views[name].marks.querySelectorAll('.mark').length, view); }
}

/// A saved document without the names under which its pictures are kept: those are given anew in each browser.
export function bare(text) {
  const { pictures, ...doc } = typeof text === 'string' ? JSON.parse(text) : text;
  const dataOf = (key) => (pictures && pictures[key] ? pictures[key].data : null);
  if (doc.picture) doc.picture = { ...doc.picture, image: dataOf(doc.picture.image) };
  doc.layers = doc.layers.map(({ id, ...layer }) => ({ ...layer, image: dataOf(layer.image) }));
  return doc;
}
