// How sure the answers are: what other guesses at what nobody measured make of them.
(function (table) {
  'use strict';
  const { byId, el, refill } = table.dom;
  const f = table.fields;

  const kTrying = 'How sure? Trying other guesses at what was not measured ...';

  let told = null;  // of the document as it is now; null while it is not known

  const kParts = ['look-sure', 'look-sure-below', 'risk-sure', 'risk-band'];

  const said = (part) => (told && told[part] ? told[part][table.reading.isOn ? 'knitter' : 'dyer'] : '');

  function band() {
    if (!told) return '';
    const line = told.bands.length && told.drawn ? 'Grey band: where the line lies in nine trials of ten, as ' + told.drawn + ' not measured. ' : '';
    const bar = told.round_mm ? 'Red bar: where your round may lie, ' + f.length(told.round_mm[0] / 10) + ' to ' + f.length(told.round_mm[1] / 10) + ', as its yarn was not measured.' : '';
    return line + bar;
  }

  /// Where there is little room the first words stand above the pictures and all of them below.
  function sayLook(words) {
    const cut = words.indexOf('. ') + 1 || words.length, rest = words.slice(cut);
    refill(byId('look-sure').firstElementChild, words.slice(0, cut), el('span', { class: 'only-wide', text: rest }));
    byId('look-sure').querySelector('a').hidden = !rest;
    byId('look-sure-below').textContent = rest ? words : '';
  }

  function show() {
    sayLook(said('look'));
    byId('risk-sure').textContent = said('pools');
    byId('risk-band').textContent = band();
    for (const id of kParts) byId(id).classList.remove('is-stale');
    table.risk.draw();
  }

  function begin() {
    sayLook(kTrying);
    table.slow.on('sure', () => {
      told = null;
      for (const id of kParts) byId(id).classList.add('is-stale');
      table.risk.draw();
    }, (answer) => {
      if (answer && answer.done < 1) return;
      told = answer;
      show();
    });
    table.state.on((kind) => { if (kind === 'units' && told) byId('risk-band').textContent = band(); });
  }

  table.sure = {
    begin,
    told: () => told,
    /// For each point of the chart, if they are those of the document as it is now.
    bands: () => (told ? told.bands : []),
    /// Where the yarn in a round may lie, mm; null where it is known.
    round: () => (told ? told.round_mm : null)
  };
})(table);
