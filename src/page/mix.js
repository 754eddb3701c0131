// What to mix: fibre, dye class, depth and stock of each layer; the amounts, with every caution beside them.
(function (table) {
  'use strict';
  const { byId, el, refill } = table.dom;
  const f = table.fields;
  const state = table.state;

  const mix = {};
  let rows = new Map(), shown = '', told = null, isSeen = false;

  mix.request = () => ({ units: state.units === 'in' ? 'us' : 'metric' });

  /// The amounts as a text file, worked out at once.
  mix.text = () => {
    try { return table.bridge.mix(mix.request()).text; } catch (fault) { return 'The amounts could not be worked out. ' + fault.message + '\n'; }
  };

  // ---- what is dyed, and with what ----

  function whatFields() {
    const m = (key) => ({ get: (doc) => doc.mix[key], set: (doc, value) => { doc.mix[key] = value; } });
    const acid = f.choice({ label: 'Acid', ...m('acid'), options: [['vinegar', 'vinegar'], ['citric', 'citric acid']] });
    const strength = f.number({ label: 'Strength of the acid', unit: '%', ...m('acid_pct'), min: 0.1, max: 25, step: 0.5, settled: () => NaN, empty: 'as on the label',
      hint: 'Grams in 100 ml. Empty: vinegar of 5 %, citric acid as dry crystals.' });
    const list = [
      f.number({ label: 'Balls to dye', unit: '', ...m('balls'), min: 0.1, max: 1000, step: 1, settled: () => table.pictures.settled.strands, hint: 'Weighed dry.' }),
      f.number({ label: 'Weight of one ball', unit: 'g', get: (doc) => doc.blank.ball_g, set: (doc, value) => { doc.blank.ball_g = value; }, min: 1, max: 1000, step: 1 }),
      f.choice({ label: 'Kind of dye', ...m('class'), options: [['acid', 'acid'], ['metal-complex', 'metal complex'], ['reactive', 'reactive']] }),
      acid, strength,
      f.number({ label: 'Bath on 1 g of yarn', unit: 'ml', ...m('ratio'), min: 5, max: 200, step: 5 })
    ];
    byId('mix-what').append(...list);
    const show = { update: () => { acid.hidden = strength.hidden = state.doc.mix.class !== 'acid'; } };
    f.panel(byId('mix-what'), [...list, show]);
  }

  // ---- one layer ----

  const part = (id, key) => ({ get: () => { const layer = state.layer(id); return layer ? layer.mix[key] : undefined; },
    set: (doc, value) => { const layer = doc.layers.find((one) => one.id === id); if (layer) layer.mix = { ...layer.mix, [key]: value }; } });

  const kOn = { bath: 'in the bath', paste: 'as paste', stock: 'as stock, without gum' };

  function row(layer) {
    const { id } = layer;
    const swatch = el('span', { class: 'swatch' }), name = el('strong', {}), on = el('small', {}), words = el('ul', { class: 'mix-words' });
    const how = f.choice({ label: 'Put on as', ...part(id, 'as'), options: [['paste', 'paste'], ['stock', 'stock']] });
    const paste = f.number({ label: 'Strength of the paste', unit: '%', ...part(id, 'paste_pct'), min: 0.01, max: 25, step: 0.1, settled: () => state.layer(id).mix.depth_pct || NaN, empty: 'as deep as asked' });
    const fields = [
      f.number({ label: 'Depth of shade', unit: '%', ...part(id, 'depth_pct'), min: 0, max: 100, step: 0.1, settled: () => NaN, empty: 'unknown' }),
      f.number({ label: 'Stock', unit: '%', ...part(id, 'stock_pct'), min: 0.01, max: 25, step: 0.5 }),
      ...(layer.kind === 'dip' ? [] : [how, paste])
    ];
    const group = el('div', { role: 'group', 'aria-label': layer.name }, el('div', { class: 'mix-head' }, swatch, el('span', {}, name, on)), el('div', { class: 'mix-fields' }, ...fields), words);
    const node = el('li', { class: 'mix-layer' }, group);
    return { node, update() {
      const now = state.layer(id), answer = told && told.layers.find((one) => one.id === id);
      if (!now) return;
      swatch.style.setProperty('--pot', now.colour);
      name.textContent = now.name;
      group.setAttribute('aria-label', now.name);
      for (const field of fields) field.update();
      paste.hidden = now.mix.as !== 'paste';
      on.textContent = answer ? 'reaches ' + answer.fibre + ' of the yarn, ' + kOn[answer.on] : '';
      refill(words, ...(answer ? answer.words.map((text) => el('li', { text })) : []));
    } };
  }

  function drawRows() {
    const layers = state.doc.layers.filter((layer) => layer.on);
    const ids = layers.map((layer) => layer.id).join(' ');
    if (ids !== shown) {
      shown = ids;
      const old = rows;
      rows = new Map(layers.map((layer) => [layer.id, old.get(layer.id) || row(layer)]));
      refill(byId('mix-layers'), ...[...rows.values()].map((one) => one.node));
    }
    for (const one of rows.values()) one.update();
    byId('mix-none').hidden = layers.length > 0;
  }

  // ---- the answer ----

  const sourced = (one) => [one.words + ' ', el('small', { text: '(' + one.source + ')' })];

  function show() {
    byId('mix-total').textContent = told ? told.total + '.' : '';
    refill(byId('mix-bath'), ...(told ? [...(told.acid ? [el('li', {}, el('strong', { text: 'Acid: ' }), ...sourced(told.acid))] : []), el('li', {}, el('strong', { text: 'Bath: ' }), ...sourced(told.bath))] : []));
    refill(byId('mix-steps'), ...(told ? told.steps.map((step) => el('li', {}, el('strong', { text: step.heading + '. ' }), ...sourced(step))) : []));
    refill(byId('mix-cautions'), ...(told ? told.cautions.map((one) => el('li', {}, ...sourced(one))) : []));
    refill(byId('mix-notes'), ...(told ? [...told.warnings, ...told.assumed].map((text) => el('li', { text })) : []));
    byId('mix-care').hidden = byId('mix-how').hidden = !told;
    drawRows();
  }

  function heard(answer, fault) {
    told = answer;
    byId('mix').classList.remove('is-stale');
    byId('mix-fault').hidden = Boolean(answer);
    byId('mix-fault').textContent = fault || '';
    show();
  }

  /// On paper the amounts are never without their cautions, also if nobody had looked at them yet.
  function beforePaper() {
    try { heard(table.bridge.mix(mix.request())); } catch (fault) { heard(null, fault.message); }
  }

  /// Fields that nobody sees cost nothing while she paints.
  function follow() {
    if (isSeen) drawRows();
  }

  mix.begin = () => {
    whatFields();
    show();
    state.on((kind) => {
      if (kind === 'selected') return;
      follow();
      if (kind === 'units') table.slow.again('mix');
    });
    table.pictures.on((wanted) => { if (wanted.apply) follow(); });
    table.slow.on('mix', () => byId('mix').classList.add('is-stale'), heard);
    const watcher = new IntersectionObserver((entries) => {
      isSeen = entries[entries.length - 1].isIntersecting;
      follow();
      if (isSeen) table.slow.want('mix');
      else table.slow.drop('mix');
    });
    watcher.observe(byId('mix'));
    addEventListener('beforeprint', beforePaper);
  };

  table.mix = mix;
})(table);
