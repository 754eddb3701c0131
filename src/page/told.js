// What it will look like, in words: the sentence, the colours of the yarn, and what is to be said besides.
(function (table) {
  'use strict';
  const { byId, el, refill, short } = table.dom;

  const kSaidAfterMs = 900;  // of quiet, before it is read out
  let saidTimer = 0;

  /// What is said first, large, and the rest of it.
  function parted(whole) {
    const sentence = table.reading.plain(whole), cut = sentence.indexOf('. ');
    return cut < 0 ? { head: sentence, rest: '' } : { head: sentence.slice(0, cut + 1), rest: sentence.slice(cut + 2) };
  }

  function show() {
    const told = table.pictures.told;
    if (!told || !told.sentence) return;
    // The core says one sentence where one fits both balls.
    const balls = told.balls || [], differ = balls.length > 1 && told.sentence !== balls[0].sentence;
    const said = differ ? balls.map((ball) => ({ of: ball.name.charAt(0).toUpperCase() + ball.name.slice(1), ...parted(ball.sentence) }))
      : [{ of: '', ...parted(told.sentence) }];
    const heads = said.map((one) => (one.of ? one.of + ': ' : '') + one.head), head = heads.join(' ');
    refill(byId('sentence'), ...(differ ? heads.map((text) => el('span', { class: 'of-ball', text: text + ' ' })) : heads));
    const alike = said.every((one) => one.rest === said[0].rest), rests = alike ? [{ of: '', rest: said[0].rest }] : said;
    const more = rests.filter((one) => one.rest).map((one) => (one.of ? one.of + ': ' : '') + one.rest);
    if (Number.isFinite(told.rounds_per_row)) {
      const rounds = short(told.rounds_per_row);
      more.push('One row of the blank is ' + rounds + (rounds === '1' ? ' round' : ' rounds') + ' of the sock.');
    }
    byId('sentence-more').textContent = more.join(' ');
    refill(byId('palette'), ...(told.palette || []).slice(0, 7).map((entry) => el('li', { style: { '--pot': entry.hex } },
      el('span', { class: 'chip' }), el('span', { text: (entry.name || entry.hex) + ' ' + Math.round(entry.share * 100) + ' %' }))));
    const notes = [...(told.pair && told.pair.words ? [told.pair.words] : []), ...(table.pictures.settled.warnings || []), ...(told.yarn_left || []).map((left) => left.words).filter(Boolean).slice(0, 1)].map(table.reading.plain);
    refill(byId('notes'), ...notes.map((text) => el('li', { text })));
    const assumed = table.pictures.settled.assumed || [];
    byId('assumed').hidden = assumed.length === 0;
    refill(byId('assumed-list'), ...assumed.map((text) => el('li', { text })));
    clearTimeout(saidTimer);
    saidTimer = setTimeout(() => {
      if (byId('said').textContent !== head) byId('said').textContent = head;
    }, kSaidAfterMs);
  }

  table.told = { show };
})(table);
