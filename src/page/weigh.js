// Half-knitted: from what the ball still weighs to where the knitter is, and which colour comes next.
(function (table) {
  'use strict';
  const { byId, el, refill, short } = table.dom;

  let touched = false;

  /// "navy flecked with cream: 84 cm, 1 round"
  function coming(next) {
    const colours = { '--pot': next.hex, ...(next.flecks ? { '--fleck': next.flecks.hex } : {}) };
    const rounds = short(next.rounds);
    return el('li', { style: colours }, el('span', { class: next.flecks ? 'chip is-flecked' : 'chip' }),
      el('span', { text: (next.name || next.hex) + (next.flecks ? ' flecked with ' + next.flecks.name : '') + ': ' +
        table.fields.length(next.cm, 0) + (next.rounds >= 0.5 ? ', ' + rounds + (rounds === '1' ? ' round' : ' rounds') : '') }));
  }

  function ask() {
    const grams = Number(byId('weigh-grams').value), full = Number(byId('weigh-full').value);
    const ball = Number(document.querySelector('input[name="weigh-ball"]:checked').value);
    if (!(full > 0) || !(grams >= 0) || grams > full) {
      byId('weigh-words').textContent = 'Give what the ball weighs now, between 0 and ' + short(full) + ' g.';
      refill(byId('weigh-coming'));
      return;
    }
    byId('weigh-slider').max = String(full);
    byId('weigh-slider').value = String(grams);
    try {
      const told = table.bridge.weigh({ ball, grams_left: grams, from_full_g: full });
      byId('weigh-words').textContent = told.words || '';
      refill(byId('weigh-coming'), ...(told.coming || []).map(coming));
      if (touched && Number.isFinite(told.used_m)) table.pointing.look({ yarn: { ball, mm: told.used_m * 1000 } });
    } catch (fault) {
      byId('weigh-words').textContent = fault.message;
    }
  }

  function begin() {
    byId('weigh-full').value = String(table.state.doc.blank.ball_g || 50);
    byId('weigh-grams').value = short((table.state.doc.blank.ball_g || 50) / 2);
    const changed = () => { touched = true; ask(); };
    byId('weigh-slider').addEventListener('input', () => { byId('weigh-grams').value = byId('weigh-slider').value; changed(); });
    for (const id of ['weigh-grams', 'weigh-full']) byId(id).addEventListener('input', changed);
    for (const radio of document.querySelectorAll('input[name="weigh-ball"]')) radio.addEventListener('change', changed);
    let timer = 0;
    table.pictures.on((wanted) => { if (wanted.apply) { clearTimeout(timer); timer = setTimeout(() => { touched = false; ask(); }, 300); } });
  }

  table.weigh = { begin };
})(table);
