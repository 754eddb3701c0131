// One blank as its buyer has it: she gives her own knitting and sees her own pair; nothing of the dyeing can be changed.
(function (table) {
  'use strict';
  const { byId, el } = table.dom;
  const f = table.fields;
  const state = table.state;

  const kLongest = { title: 120, maker: 80, words: 4000, address: 200 };  // characters, as the program takes them
  const kHers = ['stitches', 'gauge_stitches', 'gauge_rows', 'yarn_per_round_cm', 'heel', 'foot_cm', 'leg_cm', 'start'];

  function parsed(text) {
    try {
      const value = JSON.parse(text);
      return value !== null && typeof value === 'object' ? value : {};
    } catch {
      return {};
    }
  }

  /// What the dyer says, as far as it is text; null on the dyer's own table.
  function said() {
    const { reading } = parsed(byId('start-state').textContent);
    if (reading === null || typeof reading !== 'object') return null;
    const out = { qr: null };
    for (const [key, most] of Object.entries(kLongest)) out[key] = typeof reading[key] === 'string' ? reading[key].slice(0, most).trim() : '';
    if (typeof reading.qr === 'string' && /^data:image\/png;base64,[A-Za-z0-9+/=]+$/.test(reading.qr)) out.qr = reading.qr;
    return out;
  }

  const words = said();
  const hers = (knitting) => Object.fromEntries(kHers.filter((key) => knitting[key] !== undefined).map((key) => [key, knitting[key]]));

  // ---- what this browser keeps: her knitting and her units, nothing of the blank ----

  const keptText = () => JSON.stringify({ knitting: hers(state.doc.knitting), units: state.units });

  /// The blank of this page with the knitting she gave the last time; null if she gave none.
  function asLeft(given) {
    const kept = parsed(state.kept() || ''), doc = parsed(given);
    if (kept.knitting === null || typeof kept.knitting !== 'object') return null;
    return JSON.stringify({ ...doc, knitting: { ...doc.knitting, ...hers(kept.knitting) }, units: kept.units });
  }

  // ---- what stands on the page ----

  function head() {
    document.title = words.title || 'Your blank';
    const name = el('div', { class: 'reading-name' }, el('h1', { text: document.title }), words.maker ? el('p', { text: 'dyed by ' + words.maker }) : null);
    document.querySelector('.top').prepend(name);
  }

  /// Long words open when asked; a shop page may hold pages of them.
  function dyersWords() {
    const text = el('p', { class: 'reading-words', id: 'reading-words', text: words.words });
    const more = el('button', { type: 'button', class: 'plain', 'aria-expanded': 'false', 'aria-controls': 'reading-words', text: 'Read on', hidden: true });
    more.addEventListener('click', () => {
      const open = text.classList.toggle('is-open');
      more.setAttribute('aria-expanded', String(open));
      more.textContent = open ? 'Less' : 'Read on';
    });
    new ResizeObserver(() => { if (!text.classList.contains('is-open')) more.hidden = text.scrollHeight <= text.clientHeight + 1; }).observe(text);
    return el('div', {}, text, more);
  }

  function label() {
    return el('figure', { class: 'reading-code' }, words.qr ? el('img', { src: words.qr, alt: 'Code that leads to ' + words.address }) : null,
      el('figcaption', {}, ...words.address.split(/(?<=[/?&=-])/).flatMap((piece) => [piece, el('wbr')])));
  }

  function card() {
    if (!words.words && !words.address) return;
    byId('say').append(el('section', { class: 'reading-card', 'aria-label': 'From the dyer' },
      words.words ? dyersWords() : null, words.address ? label() : null));
  }

  const kInItsPlace = {
    'risk-title': 'Which rounds are safe?',
    'weigh-title': 'Half-knitted? Weigh the ball',
    'sentence': 'Knitting your pair ...'
  };

  function reworded() {
    for (const [id, text] of Object.entries(kInItsPlace)) byId(id).textContent = text;
    byId('blank-canvas').setAttribute('aria-label', 'The blank, ravel edge at the top. Arrow keys move the place pointed at.');
    byId('stage').append(byId('notes'), byId('assumed'));  // what is left over belongs to the pair, not to her figures
    document.querySelector('.sheet').setAttribute('aria-label', 'Your knitting');
    document.querySelector('#assumed summary small').textContent = 'What this picture takes for granted.';
    document.querySelector('.foot p').textContent = 'Works without a network: nothing leaves this page. Colours differ from screen to screen, hands differ too: what you see is a forecast, not a promise.';
  }

  /// Without the figures that only dyers read.
  const plain = (text) => (words ? text.replace(/ \(colour (?:range|difference)[^()]*\)/g, '') : text);

  /// Her own figures.
  function panel() {
    const part = (key) => ({ get: (doc) => doc.knitting[key], set: (doc, value) => { doc.knitting[key] = value; } });
    const settled = (key) => () => table.pictures.settled[key];
    const first = { ...state.doc.knitting, ...parsed(byId('start-state').textContent).knitting };
    const list = [
      f.number({ label: 'Stitches in a round', ...part('stitches'), min: 16, max: 200, step: table.settings.stitchStep, whole: true, leap: 4, leaps: true }),
      f.number({ label: 'Yarn in one round', unit: 'cm', ...part('yarn_per_round_cm'), min: 10, max: 400, step: 0.5, settled: settled('yarn_per_round_cm'),
        hint: 'If you can: mark the yarn, knit a round, unpick, measure. Nothing decides more where colours meet.' })
    ];
    const gauge = [
      f.number({ label: 'Stitches in 10 cm', ...part('gauge_stitches'), min: 10, max: 60, step: 0.5, settled: settled('gauge_stitches') }),
      f.number({ label: 'Rows in 10 cm', ...part('gauge_rows'), min: 10, max: 90, step: 0.5, settled: settled('gauge_rows') })
    ];
    const size = [
      f.number({ label: 'Foot', unit: 'cm', ...part('foot_cm'), min: 5, max: 40, step: 0.5, settled: settled('foot_cm'), empty: 'usual' }),
      f.number({ label: 'Leg', unit: 'cm', ...part('leg_cm'), min: 1, max: 60, step: 0.5, settled: settled('leg_cm'), empty: 'usual' })
    ];
    const heel = f.choice({ label: 'Heel', ...part('heel'), options: [['flap', 'flap'], ['short-row', 'short rows'], ['afterthought', 'put in last']] });
    const start = f.choice({ label: 'Which end is knitted first', ...part('start'), options: [['ravel-end', 'the ravel edge'], ['far-end', 'the far end']] });
    const back = el('button', { type: 'button', class: 'plain', id: 'reading-back', text: 'Back to the first figures', on: {
      click: () => state.change((doc) => { Object.assign(doc.knitting, hers(first)); }) } });
    const node = el('div', { id: 'reading-panel' }, el('h2', { text: 'Your knitting' }), ...list,
      el('div', { class: 'pairs' }, ...gauge), el('div', { class: 'pairs' }, ...size), heel, start, back);
    document.querySelector('.tabs').after(node);
    f.panel(node, [...list, ...gauge, ...size, heel, start]);
  }

  /// A picture let go over the page must not take its place.
  function keepPage() {
    for (const name of ['dragover', 'drop']) addEventListener(name, (event) => event.preventDefault());
  }

  if (words) {
    document.body.classList.add('is-reading');
    state.keptText = keptText;
    state.keepUnder(byId('start-state').textContent.trim(), 'loopread-knitter');
    head();
    card();
    reworded();
    keepPage();
  }

  table.reading = { isOn: words !== null, asLeft, plain, begin: panel };
})(table);
