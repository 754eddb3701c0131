// Which way round to lay it, and the least change that keeps a design clear of pools.
(function (table) {
  'use strict';
  const { byId, el, refill } = table.dom;

  const kShownFirst = 5;
  const cards = new Map();
  let told = null, all = false;

  const percent = (share) => Math.round(100 * share);
  const isTaken = (way) => {
    const { doc } = table.state;
    return doc.way.rotate === way.rotate && doc.way.mirror === way.mirror && doc.blank.painted === way.painted;
  };

  function figures(way) {
    const parts = [['stripe', way.stripe], ['pool', way.pool], ['dash', way.dash], ['speckle', way.speckle]];
    return el('span', { class: 'bars', 'aria-label': parts.map(([name, share]) => name + ' ' + percent(share) + ' %').join(', ') },
      ...parts.filter(([, share]) => share >= 0.03).map(([name, share]) => el('span', { class: 'bar is-' + name, style: { '--share': percent(share) }, text: share >= 0.16 ? name : '' })));
  }

  function card(index) {
    if (cards.has(index)) return cards.get(index);
    const canvas = el('canvas', { width: 1, height: 1 });
    const title = el('strong', {}), words = el('span', { class: 'way-words' }), tie = el('small', {}), bars = el('span', {});
    const button = el('button', { type: 'button', class: 'way', 'aria-pressed': 'false' }, canvas, title, bars, words, tie);
    const node = el('li', {}, button);
    const made = { node, button, canvas, update(way) {
      title.textContent = way.words.charAt(0).toUpperCase() + way.words.slice(1);
      words.textContent = way.verdict || '';
      const equals = told.ways.filter((other) => other.tie === way.tie).length - 1;
      tie.textContent = equals === 0 ? '' : 'No difference in pooling from ' + (equals === 1 ? 'one other way.' : equals + ' other ways.');
      refill(bars, figures(way), el('span', { class: 'pool-figure', text: Number.isFinite(way.pool_risk) ? percent(way.pool_risk) + ' of 100 see pools' : '' }));
      button.setAttribute('aria-pressed', String(isTaken(way)));
      button.onclick = () => table.state.change((doc) => {
        doc.way = { rotate: way.rotate, mirror: way.mirror };
        doc.blank.painted = way.painted;
      });
    } };
    cards.set(index, made);
    return made;
  }

  function show() {
    const ways = told.ways || [];
    const order = ways.map((way, index) => ({ way, index })).sort((a, b) => (a.way.rank || 0) - (b.way.rank || 0));
    const shown = order.filter(({ way }, place) => all || place < kShownFirst || isTaken(way));
    refill(byId('way-list'), ...shown.map(({ way, index }) => { const made = card(index); made.update(way); return made.node; }));
    const more = byId('more-ways');
    more.hidden = order.length <= kShownFirst;
    more.textContent = all ? 'Show only the best' : 'Show all ' + order.length + ' ways';
    more.setAttribute('aria-expanded', String(all));
    byId('ways-why').textContent = told.why || '';
    byId('ways-progress').value = told.done;
    byId('ways-progress').hidden = told.done >= 1;
  }

  function picture(message) {
    const made = card(message.index);
    made.canvas.width = message.width;
    made.canvas.height = message.height;
    made.canvas.getContext('2d').putImageData(new ImageData(message.bytes, message.width, message.height), 0, 0);
  }

  // ---- the nudge ----

  function nudgeShow(answer, fault) {
    const words = byId('nudge-words'), take = byId('nudge-take');
    byId('nudge-progress').hidden = !answer || answer.done >= 1;
    take.hidden = true;
    if (fault) { refill(words, el('p', { text: fault })); return; }
    byId('nudge-progress').value = answer.done;
    if (answer.done < 1) { refill(words, el('p', { text: 'Tried ' + answer.tried + ' of ' + answer.of + ' small changes.' })); return; }
    refill(words, el('p', { text: answer.sentence || (answer.words || []).join(' ') }));
    take.hidden = !answer.nudge;
    take.onclick = () => table.state.change((doc) => { doc.nudge = answer.nudge; });
  }

  function begin() {
    table.slow.on('ways', () => byId('ways').classList.add('is-stale'), (answer, fault) => {
      if (fault) { byId('ways-why').textContent = fault; return; }
      told = answer;
      byId('ways').classList.remove('is-stale');
      show();
    });
    table.bridge.listen('way-picture', picture);
    table.slow.on('nudge', () => { byId('nudge-progress').hidden = true; byId('nudge-take').hidden = true; refill(byId('nudge-words')); }, nudgeShow);
    byId('more-ways').addEventListener('click', () => { all = !all; show(); });
    byId('nudge-find').addEventListener('click', () => { refill(byId('nudge-words'), el('p', { text: 'Looking ...' })); table.slow.want('nudge'); });
    byId('nudge-undo').addEventListener('click', () => table.state.change((doc) => { doc.nudge = null; }));
    table.state.on(() => { byId('nudge-undo').hidden = table.state.doc.nudge === null; });
    byId('nudge-undo').hidden = table.state.doc.nudge === null;
    // Sixteen ways take a while: looked for once she comes near them.
    new IntersectionObserver((entries, watcher) => {
      if (!entries.some((entry) => entry.isIntersecting)) return;
      watcher.disconnect();
      table.slow.want('ways');
    }, { rootMargin: '200px' }).observe(byId('ways'));
    table.pictures.on((wanted) => { if (wanted.apply && told) for (const [index, made] of cards) if (told.ways[index]) made.button.setAttribute('aria-pressed', String(isTaken(told.ways[index]))); });
  }

  table.ways = { begin };
})(table);
