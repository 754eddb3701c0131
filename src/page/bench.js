// How each layer holds against what lies under it, its paler strengths, and what the order of dip and stencil changes.
(function (table) {
  'use strict';
  const { byId, el, svg, refill, short } = table.dom;
  const f = table.fields;
  const state = table.state;
  const percent = (share) => short(100 * share, share < 0.1 ? 1 : 0) + ' %';
  const kSame = 0.0005;  // of full strength: rounding, no more
  const kMarks = { dip: 'dip', bands: 'bands', dots: 'dots', brush: 'brush' };

  const bench = {};
  let told = null, answers = 0, isOld = false, open = null;

  const answerFor = (id) => (told ? told.layers.find((layer) => layer.id === id) : null);

  // ---- one layer ----

  const markOf = (layer) => (layer.kind === 'motif' && layer.shape !== 'mask' ? layer.shape : layer.kind === 'motif' ? 'motif' : kMarks[layer.kind]);

  /// The motif's mark in one colour on a patch of the other.
  function patch(layer, motif, ground) {
    return el('span', { class: 'patch', style: { '--motif': motif, '--ground': ground } },
      svg('svg', { class: 'icon', 'aria-hidden': 'true' }, svg('use', { href: '#icon-' + markOf(layer) })));
  }

  const figures = (one, ground) => 'lightness ' + short(one.L) + ' on ' + short(ground.L) + ', ' + short(one.delta_L) + ' apart';

  function take(id, strength) {
    state.change(() => { state.layer(id).strength = Math.round(strength * 1e4) / 1e4; });
  }

  function strengthRow(layer, one, ground) {
    const isNow = Math.abs(layer.strength - one.strength) < kSame;
    return el('li', {}, el('button', { type: 'button', class: 'strength', 'aria-pressed': String(isNow), on: { click: () => take(layer.id, one.strength) } },
      el('span', { class: 'patches' }, patch(layer, one.hex, ground.hex), patch(layer, one.grey, ground.grey)),
      el('span', { class: 'strength-words' }, el('strong', { text: percent(one.strength) + (isNow ? ', as now' : '') }), el('span', { text: 'lightness ' + short(one.L) + ', ' + short(one.delta_L) + ' apart: ' + one.verdict }),
        el('small', { text: one.stir }))));
  }

  function remedyRow(id, one) {
    const words = one.words + ': lightness ' + short(one.motif.L) + ' on ' + short(one.ground.L) + ', ' + short(one.delta_L) + ' apart, ' + one.verdict;
    const button = one.strength === null ? null : el('button', { type: 'button', class: 'plain', text: 'Take ' + percent(one.strength), 'aria-label': 'Take ' + percent(one.strength) + ' strength', on: { click: () => take(id, one.strength) } });
    return el('li', {}, el('span', { text: words }), button);
  }

  /// A part of a layer's editor, empty until the core has answered.
  bench.block = (id) => {
    const patches = el('div', { class: 'patches' }), verdict = el('strong', {}), apart = el('p', {}), help = el('div', { class: 'remedy' });
    const first = el('ul', { class: 'strengths', 'aria-label': 'Full, half and quarter strength' }), even = el('ul', { class: 'strengths', 'aria-label': 'Three even steps in light and dark' });
    const evenTitle = el('h4', { text: 'Even steps in light and dark' });
    const strengths = el('details', { class: 'fold' }, el('summary', {}, el('span', { text: 'Paler, and what to stir' }), el('small', { text: 'Tap a strength to take it.' })),
      el('h4', { text: 'Full, half, quarter' }), first, evenTitle, even);
    const node = el('section', { class: 'holds', 'aria-label': 'How it holds' }, el('div', { class: 'holds-head' }, patches, el('div', {}, verdict, apart)), help, strengths);
    const nothing = 'Looking how it holds ...';
    let shown = '';
    node.update = () => {
      const layer = state.layer(id), answer = answerFor(id);
      const now = layer ? [layer.on, layer.strength, layer.shape, isOld, answers].join(' ') : '';
      if (now === shown) return;  // a stroke in the making changes none of it
      shown = now;
      node.classList.toggle('is-stale', isOld && answer !== null);
      strengths.hidden = !answer;
      if (!layer || !layer.on || !answer) {
        refill(patches);
        refill(help);
        verdict.textContent = !layer || layer.on ? nothing : 'Left out';
        apart.textContent = '';
        return;
      }
      const { motif, ground } = answer;
      refill(patches, patch(layer, motif.hex, ground.hex), patch(layer, motif.grey, ground.grey));
      const part = answer.holds && answer.remedies.length > 0;
      verdict.textContent = part ? 'Holds in all, lost on ' + percent(answer.lost_share) + ' of it' : answer.verdict.charAt(0).toUpperCase() + answer.verdict.slice(1);
      apart.textContent = figures({ ...answer, L: motif.L }, ground) + ' (0 is black, 100 white). Under ' + short(told.lost_under) + ' is lost; no standard sets this.';
      refill(help, ...(answer.remedies.length === 0 ? [] : [el('p', { text: part ? 'What would help there:' : 'What would help:' }), el('ul', {}, ...answer.remedies.map((one) => remedyRow(id, one)))]));
      refillKeeping(first, answer.strengths.map((one) => strengthRow(layer, one, ground)));
      refillKeeping(even, answer.even.map((one) => strengthRow(layer, one, ground)));
      evenTitle.hidden = answer.even.length === 0;
    };
    open = node;
    watch(node);
    return node;
  };

  /// The row that has the keyboard keeps it.
  function refillKeeping(list, rows) {
    const at = [...list.children].findIndex((row) => row.contains(document.activeElement));
    refill(list, ...rows);
    if (at >= 0 && rows[at]) rows[at].firstChild.focus({ preventScroll: true });
  }

  // Answers are kept up only while the block is on the screen.
  const watcher = new IntersectionObserver((entries) => {
    const last = entries[entries.length - 1];
    if (last.target !== open) return;
    if (last.isIntersecting) table.slow.want('bench');
    else table.slow.drop('bench');
  });
  function watch(node) {
    watcher.disconnect();
    watcher.observe(node);
  }

  // ---- the order of dip and stencil ----

  function orderCard() {
    const card = byId('order-card');
    const strike = f.slider({ label: 'Of the stencil\u2019s dye, fixed before the dip', get: (doc) => doc.dye.strike, set: (doc, value) => { doc.dye.strike = value; },
      min: 0, max: 1, step: 0.05, words: percent, hint: 'Not measured. What is not fixed washes into a dip that comes later, evenly over all that it wets.' });
    const compare = el('button', { type: 'button', class: 'plain', text: 'Compare both orders', on: { click: () => { words.textContent = 'Drawing both ...'; table.slow.want('orders'); } } });
    const views = ['dipped first', 'stencilled first'].map((name) => {
      const canvas = el('canvas', { width: 1, height: 1, role: 'img', 'aria-label': 'The blank, ' + name });
      return { canvas, node: el('figure', {}, canvas, el('figcaption', { text: name })) };
    });
    const pictures = el('div', { class: 'orders', hidden: true }, ...views.map((view) => view.node));
    const words = el('p', { class: 'hint', role: 'status', 'aria-live': 'polite' });
    card.append(strike, compare, pictures, words);

    const update = () => {
      const shown = state.doc.layers.filter((layer) => layer.on), dips = shown.filter((layer) => layer.kind === 'dip').length;
      card.hidden = dips === 0 || dips === shown.length;
      strike.update();
    };
    state.on(update);
    update();

    const begins = () => { pictures.hidden = true; words.textContent = ''; };
    table.slow.on('orders', begins, (answer, fault, { drawn }) => {
      if (!answer) { words.textContent = fault; return; }
      drawn.forEach((one, i) => {
        const { canvas } = views[i];
        [canvas.width, canvas.height] = [one.told.width, one.told.height];
        canvas.getContext('2d').putImageData(new ImageData(one.bytes, one.told.width, one.told.height), 0, 0);
      });
      pictures.hidden = false;
      const { difference } = drawn[1].told;
      words.textContent = difference < 1e-6 ? 'Both come out alike: all of the stencil\u2019s dye is fixed.'
        : 'They differ by up to ' + short(difference) + ' (CIEDE2000; about 1 is just seen).';
    });
  }

  bench.begin = () => {
    table.slow.on('bench', () => { isOld = true; if (open) open.update(); }, (answer, fault) => {
      if (!answer) { table.say(fault); return; }
      if (answer.done < 1 && told) return;  // the last whole answer stays until the next
      told = answer;
      answers += 1;
      isOld = answer.done < 1;
      if (open) open.update();
    });
    orderCard();
  };

  table.bench = bench;
})(table);
