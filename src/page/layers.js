// The list of what went on the blank, in the order it was put on, and the settings of the chosen one.
(function (table) {
  'use strict';
  const { byId, el, icon, refill } = table.dom;
  const f = table.fields;
  const state = table.state;

  const kNames = { dip: 'dip', bands: 'bands', dots: 'dots', brush: 'brush', motif: 'motif' };
  const kStartColours = { dip: '#2b6f92', bands: '#d9a441', dots: '#7a4a68', brush: '#1f3f5b', motif: '#b8402e' };
  const percent = (share) => Math.round(share * 100) + ' %';
  const own = (id, key) => ({ get: () => { const layer = state.layer(id); return layer ? layer[key] : undefined; },
    set: (doc, value) => { const layer = doc.layers.find((one) => one.id === id); if (layer) layer[key] = value; } });
  const repeated = (id, key) => ({ get: () => { const layer = state.layer(id); return layer && layer.repeat ? layer.repeat[key] : undefined; },
    set: (doc, value) => { const layer = doc.layers.find((one) => one.id === id); if (layer && layer.repeat) layer.repeat[key] = value; } });

  const layers = {};

  layers.add = (kind, more) => {
    const id = state.newId(kind);
    state.change((doc) => {
      doc.layers.push({ id, kind, name: kNames[kind], colour: kStartColours[kind], strength: 1,
        penetration: kind === 'dip' ? 1 : 0.4, on: true, way: { ...doc.way }, mix: { ...state.kLayerMix }, ...JSON.parse(JSON.stringify(state.kLayerKinds[kind])), ...more });
    });
    state.select(id);
    return id;
  };

  function move(id, by) {
    state.change((doc) => {
      const from = doc.layers.findIndex((layer) => layer.id === id), to = from + by;
      if (from < 0 || to < 0 || to >= doc.layers.length) return;
      doc.layers.splice(to, 0, doc.layers.splice(from, 1)[0]);
    });
  }

  // ---- settings of one layer, by kind ----

  const kDepth = (share) => (share < 0.15 ? 'surface only' : share <= 0.5 ? 'part of the way' : share < 0.9 ? 'most of the way' : 'right through') + ', ' + percent(share);

  const kFieldsOf = {
    dip: (id) => [
      f.choice({ label: 'Which end went into the bath', ...own(id, 'edge'), options: [['ravel', 'ravel edge'], ['far', 'far end'], ['left', 'left side'], ['right', 'right side']] }),
      f.slider({ label: 'How much was under', ...own(id, 'level'), min: 0, max: 1, step: 0.01, words: percent, hint: 'Or drag the water line on the blank.' }),
      f.number({ label: 'Fades out over', unit: 'cm', ...own(id, 'fade_cm'), min: 0, max: 100, step: 1 })
    ],
    bands: (id) => [
      f.choice({ label: 'They run', ...own(id, 'along'), options: [['rows', 'across, with the rows'], ['length', 'along the blank']] }),
      f.number({ label: 'Width', unit: 'cm', ...own(id, 'width_cm'), min: 0.1, max: 50, step: 0.5 }),
      f.number({ label: 'Gap', unit: 'cm', ...own(id, 'gap_cm'), min: 0, max: 100, step: 0.5 }),
      f.number({ label: 'First one starts at', unit: 'cm', ...own(id, 'start_cm'), min: -50, max: 150, step: 0.5 }),
      f.number({ label: 'Slant', unit: 'degrees', ...own(id, 'slant_deg'), min: -80, max: 80, step: 1 }),
      f.number({ label: 'Soft edge', unit: 'cm', ...own(id, 'soft_cm'), min: 0, max: 10, step: 0.1 })
    ],
    dots: (id) => [
      f.number({ label: 'Size', unit: 'cm', ...own(id, 'size_cm'), min: 0.2, max: 20, step: 0.2 }),
      f.number({ label: 'Apart', unit: 'cm', ...own(id, 'spacing_cm'), min: 0.5, max: 50, step: 0.5 }),
      f.slider({ label: 'Scattered', ...own(id, 'jitter'), min: 0, max: 1, step: 0.05, words: percent }),
      plainButton('Scatter anew', () => state.change(() => { state.layer(id).seed = 1 + (state.layer(id).seed * 7 + 3) % 9973; }))
    ],
    brush: (id) => [
      toolSlider('Brush', 'width_cm', 0.3, 8, 0.1, (cm) => f.length(cm)),
      toolSlider('Soft edge', 'soft', 0, 1, 0.05, percent),
      plainButton('Take back the last stroke', () => state.change(() => { state.layer(id).strokes.pop(); }))
    ],
    motif: (id) => motifFields(id)
  };

  function plainButton(text, does) {
    const node = el('button', { type: 'button', class: 'plain', text, on: { click: does } });
    node.update = () => {};
    return node;
  }

  /// A setting of the brush in her hand, not of the document.
  function toolSlider(label, key, min, max, step, words) {
    return f.slider({ label, get: () => table.tools.brush[key], set: (doc, value) => { table.tools.brush[key] = value; }, min, max, step, words });
  }

  function motifFields(id) {
    const shapes = f.choice({ label: 'Shape', ...own(id, 'shape'), options: state.kShapes.map((shape) => [shape, shape === 'mask' ? 'your own' : shape, shape === 'mask' ? 'picture' : shape]) });
    shapes.classList.add('is-shapes');
    const file = el('input', { type: 'file', accept: 'image/*', class: 'visually-hidden', 'aria-label': 'Your own stencil, black on white' });
    file.addEventListener('change', () => { if (file.files[0]) takeMask(id, file.files[0]); file.value = ''; });
    const stencil = el('label', { class: 'plain is-file' }, file, el('span', { text: 'Use your own stencil (black on white)' }));
    stencil.update = () => {};
    const repeats = f.choice({ label: 'Where', get: () => { const layer = state.layer(id); return layer && layer.repeat ? 'repeat' : 'places'; },
      set: (doc, value) => { const layer = doc.layers.find((one) => one.id === id); if (layer) layer.repeat = value === 'repeat' ? { ...state.kRepeat } : null; },
      options: [['repeat', 'all over, repeating'], ['places', 'where I tap']] });
    const repeatFields = [
      f.number({ label: 'Apart, across', unit: 'cm', ...repeated(id, 'across_cm'), min: 0.5, max: 100, step: 0.5 }),
      f.number({ label: 'Apart, along', unit: 'cm', ...repeated(id, 'along_cm'), min: 0.5, max: 200, step: 0.5 }),
      f.slider({ label: 'Stagger', ...repeated(id, 'stagger'), min: 0, max: 1, step: 0.05, words: percent })
    ];
    const group = el('div', {}, ...repeatFields);
    const tapHint = el('p', { class: 'hint', text: 'Choose the motif tool and tap the blank to put one down.' });
    const clear = plainButton('Clear all places', () => state.change(() => { state.layer(id).places = []; }));
    group.update = () => {
      const layer = state.layer(id), repeat = Boolean(layer && layer.repeat);
      group.hidden = !repeat;
      tapHint.hidden = clear.hidden = repeat;
      if (repeat) for (const field of repeatFields) field.update();
    };
    tapHint.update = () => {};
    return [shapes, stencil, f.number({ label: 'Size', unit: 'cm', ...own(id, 'size_cm'), min: 0.3, max: 60, step: 0.5 }),
      f.slider({ label: 'Turned', ...own(id, 'turn_deg'), min: -180, max: 180, step: 5, words: (degrees) => degrees + '\u00b0' }),
      repeats, group, tapHint, clear];
  }

  async function takeMask(id, blob) {
    try {
      const image = await table.files.imageFromBlob(blob, blob.name);
      const key = state.keepImage(image);
      state.change(() => { const layer = state.layer(id); layer.image = key; layer.shape = 'mask'; layer.name = image.name.slice(0, 40); });
    } catch (fault) {
      table.say(fault.message);
    }
  }

  function editor(layer) {
    const id = layer.id;
    const name = el('input', { type: 'text', maxlength: 60, 'aria-label': 'Name of this layer' });
    name.addEventListener('change', () => state.change(() => { state.layer(id).name = name.value || layer.kind; }));
    name.update = () => { const now = state.layer(id); if (now && document.activeElement !== name) name.value = now.name; };
    const list = [name, f.colour({ label: 'Colour, at full strength', ...own(id, 'colour') }),
      f.slider({ label: 'Strength', ...own(id, 'strength'), min: 0, max: 1, step: 0.01, words: percent }),
      table.bench.block(id), ...kFieldsOf[layer.kind](id)];
    if (layer.kind !== 'dip') {
      list.push(f.slider({ label: 'How deep the dye goes', ...own(id, 'penetration'), min: 0, max: 1, step: 0.05, words: kDepth,
        hint: 'Into yarn that lies hidden in the loops. Unreached yarn makes flecks.' }));
    }
    const tools = el('div', { class: 'row-tools' },
      el('button', { type: 'button', class: 'plain', on: { click: () => move(id, -1) } }, icon('up'), el('span', { text: 'Earlier' })),
      el('button', { type: 'button', class: 'plain', on: { click: () => move(id, 1) } }, icon('down'), el('span', { text: 'Later' })),
      el('button', { type: 'button', class: 'plain', on: { click: () => { remove(id); } } }, icon('bin'), el('span', { text: 'Remove' })));
    const node = el('div', { class: 'editor' }, ...list, tools);
    node.update = () => { if (state.layer(id)) for (const field of list) field.update(); };
    node.update();
    return node;
  }

  function remove(id) {
    const at = state.doc.layers.findIndex((layer) => layer.id === id);
    state.change((doc) => { doc.layers = doc.layers.filter((layer) => layer.id !== id); });
    const next = state.doc.layers[Math.min(at, state.doc.layers.length - 1)];
    state.select(next ? next.id : null);
  }

  // ---- the list ----

  const list = byId('layer-list');
  let rows = new Map(), open = null, shown = '';

  function drag(event, id) {
    event.preventDefault();
    const handle = event.currentTarget, item = handle.closest('li');
    handle.setPointerCapture(event.pointerId);
    item.classList.add('is-dragged');
    const follow = (moved) => {
      for (const other of list.children) {
        if (other === item) continue;
        const box = other.getBoundingClientRect(), middle = box.top + box.height / 2;
        const after = item.compareDocumentPosition(other) & Node.DOCUMENT_POSITION_FOLLOWING;
        if (after && moved.clientY > middle) other.after(item);
        else if (!after && moved.clientY < middle) other.before(item);
      }
    };
    const done = () => {
      handle.removeEventListener('pointermove', follow);
      item.classList.remove('is-dragged');
      const order = [...list.children].map((child) => child.dataset.id);
      state.change((doc) => doc.layers.sort((a, b) => order.indexOf(a.id) - order.indexOf(b.id)));
    };
    handle.addEventListener('pointermove', follow);
    handle.addEventListener('lostpointercapture', done, { once: true });
  }

  function row(layer) {
    const id = layer.id;
    const handle = el('button', { type: 'button', class: 'grip', 'aria-label': 'Drag to change the order, or press up or down' }, icon('grip'));
    handle.addEventListener('pointerdown', (event) => drag(event, id));
    handle.addEventListener('keydown', (event) => {
      const by = { ArrowUp: -1, ArrowDown: 1 }[event.key];
      if (!by) return;
      event.preventDefault();
      move(id, by);
      const again = rows.get(id);
      if (again) again.handle.focus();
    });
    const swatch = el('span', { class: 'swatch' }), name = el('span', { class: 'name' }), kind = el('small', {});
    const choose = el('button', { type: 'button', class: 'choose', 'aria-expanded': 'false', on: { click: () => state.select(state.selected === id ? null : id) } },
      swatch, el('span', { class: 'both' }, name, kind));
    const on = el('button', { type: 'button', class: 'eye', on: { click: () => state.change(() => { state.layer(id).on = !state.layer(id).on; }) } });
    const node = el('li', { 'data-id': id }, el('div', { class: 'layer-row' }, handle, choose, on));
    return { node, handle, update() {
      const now = state.layer(id);
      if (!now) return;
      swatch.style.setProperty('--pot', now.colour);
      name.textContent = now.name;
      kind.textContent = now.on ? now.kind + ', ' + percent(now.strength) : 'off';
      choose.setAttribute('aria-expanded', String(state.selected === id));
      node.classList.toggle('is-off', !now.on);
      refill(on, icon(now.on ? 'eye' : 'eye-shut'));
      on.setAttribute('aria-label', (now.on ? 'Leave out ' : 'Put back ') + now.name);
    } };
  }

  function update() {
    const ids = state.doc.layers.map((layer) => layer.id).join(' ');
    if (ids !== shown) {
      shown = ids;
      const focused = document.activeElement && document.activeElement.closest('#layer-list li');
      const focusId = focused && document.activeElement.classList.contains('grip') ? focused.dataset.id : null;
      const old = rows;
      rows = new Map(state.doc.layers.map((layer) => [layer.id, old.get(layer.id) || row(layer)]));
      refill(list, ...[...rows.values()].map((one) => one.node));
      if (focusId && rows.has(focusId)) rows.get(focusId).handle.focus();
    }
    for (const one of rows.values()) one.update();
    const layer = state.layer();
    const wanted = layer ? layer.id : null;
    if (!open || open.id !== wanted || !rows.has(wanted)) {
      if (open) open.node.remove();
      open = wanted && rows.has(wanted) ? { id: wanted, node: editor(layer) } : null;
    }
    if (open) {
      const home = rows.get(open.id).node;
      if (open.node.parentNode !== home) home.append(open.node);
      open.node.update();
    }
    byId('no-layers').hidden = state.doc.layers.length > 0;
    byId('no-layers').textContent = (state.doc.picture ? 'Nothing painted over it' : 'Nothing on it yet') + ': take a dip, bands, dots, the brush or a motif.';
  }

  state.on(update);
  layers.update = update;
  table.layers = layers;
})(table);
