// Fields of the panels: each reads from the document and writes to it, shows what was settled where nothing was given.
(function (table) {
  'use strict';
  const { el, short, held } = table.dom;
  const kPerInch = 2.54, kMetresPerYard = 0.9144;

  /// How a length is shown: in her unit, of so many of the document's.
  function shownUnit(unit) {
    if (table.state.units !== 'in') return { name: unit, per: 1 };
    if (unit === 'cm') return { name: 'in', per: kPerInch };
    if (unit === 'm') return { name: 'yd', per: kMetresPerYard };
    return { name: unit, per: 1 };
  }

  /// "84.2 cm" or "33.1 in".
  function length(cm, digits) {
    const unit = shownUnit('cm');
    return short(cm / unit.per, digits) + ' ' + unit.name;
  }

  let counter = 0;
  const newId = () => 'field-' + (counter += 1);

  function labelled(id, label, hint, ...parts) {
    return el('div', { class: 'field' }, el('label', { for: id, text: label }), ...parts,
      hint ? el('p', { class: 'hint', id: id + '-hint', text: hint }) : null);
  }

  function number(o) {
    const id = newId();
    const input = el('input', { type: 'number', id, inputmode: 'decimal', step: 'any', 'aria-describedby': o.hint ? id + '-hint' : null });
    const unit = el('span', { class: 'unit' });
    const toDoc = () => {
      if (input.value.trim() === '') return o.settled ? null : undefined;
      const value = Number(input.value) * shownUnit(o.unit).per;
      if (!Number.isFinite(value) || value < o.min - 1e-9 || value > o.max + 1e-9) return undefined;
      return o.whole ? Math.round(value) : value;
    };
    const write = (how) => {
      const value = toDoc();
      const bad = value === undefined || (input.validity && input.validity.badInput);
      input.setAttribute('aria-invalid', bad ? 'true' : 'false');
      if (bad) {
        if (how === 'settle') {
          const u = shownUnit(o.unit);
          table.say(o.label + ': between ' + short(o.min / u.per) + ' and ' + short(o.max / u.per) + (u.name ? ' ' + u.name : '') + '.');
          node.update();
          table.state.settle();
        }
        return;
      }
      table.state.live((doc) => o.set(doc, value));
      if (how === 'settle') table.state.settle();
    };
    input.addEventListener('input', () => write('live'));
    input.addEventListener('change', () => write('settle'));
    input.addEventListener('keydown', (event) => {
      const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
      if (!way) return;
      event.preventDefault();
      const step = typeof o.step === 'function' ? o.step() : o.step;
      bump(way * (event.shiftKey ? (o.leap || step * 10) : step));
    });
    const bump = (by) => {
      const now = o.get(table.state.doc);
      const from = now === null || now === undefined ? (o.settled ? o.settled() : o.min) : now;
      const u = shownUnit(o.unit);
      const next = o.whole ? Math.round(from + by) : Math.round((from / u.per + by) * 1000) / 1000 * u.per;
      table.state.change((doc) => o.set(doc, held(next, o.min, o.max)));
      node.update(true);
    };
    const less = o.leaps ? el('button', { type: 'button', class: 'step', text: '\u2212' + o.leap, 'aria-label': o.leap + ' fewer, ' + o.label, on: { click: () => bump(-o.leap) } }) : null;
    const more = o.leaps ? el('button', { type: 'button', class: 'step', text: '+' + o.leap, 'aria-label': o.leap + ' more, ' + o.label, on: { click: () => bump(o.leap) } }) : null;
    const node = labelled(id, o.label, o.hint, el('span', { class: 'entry' + (o.leaps ? ' has-steps' : '') }, less, input, unit, more));
    node.update = (force) => {
      const u = shownUnit(o.unit);
      unit.textContent = u.name || '';
      if (document.activeElement === input && !force && input.getAttribute('aria-invalid') !== 'true' && toDoc() === o.get(table.state.doc)) return;
      if (document.activeElement === input && !force && input.value.trim() !== '' && toDoc() !== undefined && Math.abs(toDoc() - o.get(table.state.doc)) < 1e-6) return;
      const value = o.get(table.state.doc);
      input.value = value === null || value === undefined ? '' : short(value / u.per, o.whole ? 0 : 2);
      input.setAttribute('aria-invalid', 'false');
      const settled = o.settled ? o.settled() : null;
      input.placeholder = Number.isFinite(settled) ? short(settled / u.per, o.whole ? 0 : 1) : '';
      if (input.value === '' && o.settled) unit.textContent = (u.name ? u.name + ', ' : '') + (o.empty || 'worked out');
    };
    return node;
  }

  function slider(o) {
    const id = newId();
    const input = el('input', { type: 'range', id, min: o.min, max: o.max, step: o.step, 'aria-describedby': o.hint ? id + '-hint' : null });
    const words = el('output', { for: id, class: 'amount' });
    input.addEventListener('input', () => table.state.live((doc) => o.set(doc, Number(input.value))));
    input.addEventListener('change', () => table.state.settle());
    const node = labelled(id, o.label, o.hint, el('span', { class: 'entry is-slider' }, input, words));
    node.update = () => {
      const value = o.get(table.state.doc);
      if (value === undefined) return;
      input.value = String(value);
      words.textContent = o.words(value);
      input.setAttribute('aria-valuetext', o.words(value));
    };
    return node;
  }

  function choice(o) {
    const name = newId();
    const radios = o.options.map(([value, text, icon]) => {
      const input = el('input', { type: 'radio', name, value });
      input.addEventListener('change', () => table.state.change((doc) => o.set(doc, value)));
      return { value, input, node: el('label', { class: 'pick' }, input, el('span', {}, icon ? table.dom.icon(icon) : null, el('span', { text }))) };
    });
    const node = el('fieldset', { class: 'field' }, el('legend', { text: o.label }),
      el('div', { class: 'picks' }, ...radios.map((radio) => radio.node)), o.hint ? el('p', { class: 'hint', text: o.hint }) : null);
    node.update = () => {
      const value = o.get(table.state.doc);
      for (const radio of radios) radio.input.checked = radio.value === value;
    };
    return node;
  }

  /// Pots that stand on every table, and any other colour.
  const kPots = [['#b8402e', 'madder'], ['#d9a441', 'weld'], ['#2b6f92', 'harbour blue'], ['#1f3f5b', 'night blue'],
    ['#5f7d4f', 'moss'], ['#7a4a68', 'heather'], ['#7b5a3c', 'walnut'], ['#d98b86', 'shell'], ['#2d2a2b', 'ink']];

  function colour(o) {
    const id = newId();
    const input = el('input', { type: 'color', id });
    input.addEventListener('input', () => table.state.live((doc) => o.set(doc, input.value)));
    input.addEventListener('change', () => table.state.settle());
    const pots = (o.pots === false ? [] : kPots).map(([value, name]) => el('button', { type: 'button', class: 'pot', title: name,
      'aria-label': name, style: { '--pot': value }, on: { click: () => table.state.change((doc) => o.set(doc, value)) } }));
    const node = labelled(id, o.label, o.hint, el('span', { class: 'entry is-colour' }, input, ...pots));
    node.update = () => {
      const value = o.get(table.state.doc);
      if (value) input.value = value;
      pots.forEach((pot, i) => pot.setAttribute('aria-pressed', String(kPots[i][0] === value)));
    };
    return node;
  }

  function folded(title, why, ...parts) {
    return el('details', { class: 'fold' }, el('summary', {}, el('span', { text: title }), el('small', { text: why })), ...parts);
  }

  /// A panel: its fields follow the document.
  function panel(node, list) {
    const update = () => { for (const field of list) field.update(); };
    table.state.on((kind) => { if (kind !== 'selected') update(); });
    table.pictures.on((wanted) => { if (wanted.apply) update(); });
    update();
    return { node, update };
  }

  table.fields = { number, slider, choice, colour, folded, panel, length, shownUnit, kPots };
})(table);
