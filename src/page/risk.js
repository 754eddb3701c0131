// Who would see pools: out of a hundred knitters, over the yarn in one round.
(function (table) {
  'use strict';
  const { byId, el, svg, refill, short, held } = table.dom;
  const f = table.fields;

  const kUsualFrom = 750, kUsualTo = 1000;  // mm of yarn in a round of a usual sock; common practice, no source
  const kHeight = 320, kLeft = 52, kRight = 16, kTop = 54, kBottom = 46;

  const chart = byId('risk-chart');
  let told = null, scale = null;

  const asked = () => {
    const round = 10 * (table.pictures.settled.yarn_per_round_cm || table.state.doc.knitting.yarn_per_round_cm || 0);
    return { stitches: table.state.doc.knitting.stitches, mm: round };
  };

  function makeScale(points, width) {
    const from = points[0].yarn_per_round_mm, to = points[points.length - 1].yarn_per_round_mm;
    const inner = width - kLeft - kRight;
    return { from, to, width, x: (mm) => kLeft + (mm - from) / (to - from || 1) * inner,
      mm: (x) => from + (x - kLeft) / inner * (to - from), y: (share) => kTop + (1 - share) * (kHeight - kTop - kBottom) };
  }

  const line = (x1, y1, x2, y2, name) => svg('line', { x1, y1, x2, y2, class: name });
  const word = (x, y, text, name, anchor) => svg('text', { x, y, class: name || '', 'text-anchor': anchor || 'middle', text });

  function usual() {
    const from = Math.max(scale.from, kUsualFrom), to = Math.min(scale.to, kUsualTo);
    if (to <= from) return [];
    const x = scale.x(from), width = scale.x(to) - x;
    return [svg('rect', { x, y: kTop, width, height: kHeight - kTop - kBottom, class: 'usual' }), word(x + width / 2, kTop - 34, 'usual socks', 'usual-word')];
  }

  function axes() {
    const out = [];
    for (const share of [0, 0.25, 0.5, 0.75, 1]) {
      out.push(line(kLeft, scale.y(share), scale.width - kRight, scale.y(share), 'rule'), word(kLeft - 8, scale.y(share) + 4, String(share * 100), 'figure', 'end'));
    }
    const unit = f.shownUnit('cm'), per = 10 * unit.per;
    const room = scale.width - kLeft - kRight, span = (scale.to - scale.from) / per;
    const every = [1, 2, 5, 10, 20, 50].find((size) => span / size * 44 < room) || 100;
    for (let at = Math.ceil(scale.from / per / every) * every; at * per <= scale.to; at += every) {
      out.push(line(scale.x(at * per), kHeight - kBottom, scale.x(at * per), kHeight - kBottom + 5, 'tick'), word(scale.x(at * per), kHeight - kBottom + 19, String(at), 'figure'));
    }
    out.push(word(kLeft + room / 2, kHeight - 8, 'yarn in one round, ' + unit.name, 'axis-word'));
    const fours = told.points.filter((point) => point.stitches % 4 === 0);
    const each = Math.max(1, Math.ceil(fours.length * 30 / room));
    fours.forEach((point, i) => {
      if (i % each) return;
      out.push(line(scale.x(point.yarn_per_round_mm), kTop - 5, scale.x(point.yarn_per_round_mm), kTop, 'tick'), word(scale.x(point.yarn_per_round_mm), kTop - 10, String(point.stitches), 'figure'));
    });
    return out;
  }

  function clears() {
    const out = [];
    for (const stretch of told.clear || []) {
      const x = scale.x(stretch.from_mm), width = Math.max(4, scale.x(stretch.to_mm) - x);
      out.push(svg('rect', { x, y: kTop, width, height: kHeight - kTop - kBottom, class: 'clear', fill: 'url(#hatch)' }));
      if (width > 44) out.push(word(x + width / 2, kTop + 18, 'clear', 'clear-word'));
    }
    return out;
  }

  function curve() {
    const parts = [];
    let pen = 'M';
    for (const point of told.points) {
      if (point.known === false) { pen = 'M'; continue; }
      parts.push(pen + scale.x(point.yarn_per_round_mm).toFixed(1) + ' ' + scale.y(point.risk).toFixed(1));
      pen = 'L';
    }
    return svg('path', { d: parts.join(' '), class: 'risk-line' });
  }

  /// Where the line may lie with other guesses: a strip over each stretch of points that can be told.
  function bands() {
    const all = table.sure.bands(), out = [];
    if (all.length !== told.points.length) return out;
    const edge = (i, which) => scale.x(told.points[i].yarn_per_round_mm).toFixed(1) + ' ' + scale.y(all[i][which]).toFixed(1);
    for (let from = 0; from < all.length; from += 1) {
      if (told.points[from].known === false) continue;
      let to = from;
      while (to + 1 < all.length && told.points[to + 1].known !== false) to += 1;
      const there = [], back = [];
      for (let i = from; i <= to; i += 1) { there.push(edge(i, 1)); back.unshift(edge(i, 0)); }
      out.push(svg('path', { d: 'M' + [...there, ...back].join('L') + 'Z', class: 'risk-band' }));
      from = to;
    }
    return out;
  }

  /// Where the yarn in her round may lie.
  function span() {
    const round = table.sure.round();
    if (!round) return [];
    const [from, to] = round.map((mm) => scale.x(held(mm, scale.from, scale.to)));
    return from < to ? [line(from, kHeight - kBottom, to, kHeight - kBottom, 'round-span')] : [];
  }

  /// The points she can knit: socks are cast on in fours.
  function choices() {
    const every = table.settings.stitchStep();
    return told.points.filter((point) => point.stitches % every === 0);
  }

  function nearest(mm, among) {
    return (among || told.points).reduce((best, point) => (Math.abs(point.yarn_per_round_mm - mm) < Math.abs(best.yarn_per_round_mm - mm) ? point : best));
  }

  function here() {
    const now = asked();
    if (!now.mm || now.mm < scale.from || now.mm > scale.to) return [];
    const point = nearest(now.mm), x = scale.x(now.mm), y = scale.y(point.risk);
    const anchor = x > scale.width - 130 ? 'end' : 'start', shift = anchor === 'end' ? -10 : 10;
    return [line(x, kTop, x, kHeight - kBottom, 'here-line'), svg('circle', { cx: x, cy: y, r: 7, class: 'here' }),
      word(x + shift, held(y - 12, kTop + 34, kHeight - kBottom - 8), now.stitches + ' stitches', 'here-word', anchor)];
  }

  function draw() {
    if (!told || !told.points || told.points.length < 2) return;
    const width = Math.max(300, chart.clientWidth);
    scale = makeScale(told.points, width);
    chart.setAttribute('viewBox', '0 0 ' + width + ' ' + kHeight);
    const hatch = svg('defs', {}, svg('pattern', { id: 'hatch', width: 8, height: 8, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' }, line(0, 0, 0, 8, 'hatch-line')));
    const side = svg('text', { class: 'axis-word', transform: 'translate(14 ' + (kTop + kHeight - kBottom) / 2 + ') rotate(-90)', 'text-anchor': 'middle', text: 'knitters in 100 who see pools' });
    refill(chart, hatch, ...usual(), ...clears(), ...bands(), ...axes(), word(2, kTop - 34, 'stitches', 'figure', 'start'), side, ...span(), curve(), ...here());
    value();
  }

  /// The chart as a slider says where it stands.
  function value() {
    if (!told || !scale) return;
    const now = asked(), point = nearest(now.mm || told.points[0].yarn_per_round_mm);
    chart.setAttribute('aria-valuemin', String(told.points[0].stitches));
    chart.setAttribute('aria-valuemax', String(told.points[told.points.length - 1].stitches));
    chart.setAttribute('aria-valuenow', String(now.stitches));
    chart.setAttribute('aria-valuetext', now.stitches + ' stitches, ' + f.length(point.yarn_per_round_mm / 10) + ' of yarn in a round: ' +
      (point.known === false ? 'cannot tell' : Math.round(point.risk * 100) + ' of 100 knitters would see pools'));
  }

  function words() {
    byId('risk-words').textContent = told.asked && told.asked.words ? told.asked.words : '';
    const clear = (told.clear || []).map((stretch) => el('li', { text: 'Clear: ' + stretch.words }));
    if (told.done >= 1 && !clear.length) clear.push(el('li', { text: 'No length is clear for everyone.' }));
    refill(byId('risk-clear'), ...clear);
    const advice = told.done >= 1 ? told.advice || [] : [];
    const change = !table.reading.isOn && told.done >= 1 && told.change && told.change.words ? [told.change.words] : [];
    refill(byId('risk-advice'), ...[...change, ...advice].map((text) => el('li', { text })));
  }

  /// Knits what a point of the chart stands for.
  function take(point) {
    table.state.change((doc) => {
      doc.knitting.stitches = point.stitches;
      if (doc.knitting.yarn_per_round_cm !== null) doc.knitting.yarn_per_round_cm = Math.round(point.yarn_per_round_mm * 10) / 100;
    });
  }

  function pointAt(event) {
    const box = chart.getBoundingClientRect();
    return nearest(scale.mm((event.clientX - box.left) / box.width * scale.width), choices());
  }

  function begin() {
    table.slow.on('risk', () => byId('risk').classList.add('is-stale'), (answer, fault) => {
      if (fault) { byId('risk-words').textContent = fault; return; }
      byId('risk-progress').value = answer.done;
      byId('risk-progress').hidden = answer.done >= 1;
      if (!answer.points.length) return;  // too few knitters yet to say anything
      told = answer;
      byId('risk').classList.remove('is-stale');
      words();
      draw();
    });
    chart.addEventListener('click', (event) => { if (scale) take(pointAt(event)); });
    chart.addEventListener('keydown', (event) => {
      const by = { ArrowLeft: -1, ArrowRight: 1, ArrowDown: -1, ArrowUp: 1, PageDown: -3, PageUp: 3 }[event.key];
      if (!by || !scale) return;
      event.preventDefault();
      const among = choices(), at = among.indexOf(nearest(asked().mm, among));
      take(among[held(at + by, 0, among.length - 1)]);
    });
    new ResizeObserver(draw).observe(chart);
    new IntersectionObserver(swatch, { rootMargin: '300px' }).observe(byId('risk'));
    table.pictures.onSight(value);
    table.pictures.on((wanted) => { if (wanted.apply) { draw(); swatch(); } });
    table.state.on((kind) => { if (kind === 'units') draw(); });
  }

  /// A piece of fabric beside the chart, so that a tapped length is seen at once.
  function swatch() {
    const canvas = byId('risk-swatch');
    if (!canvas.clientWidth || !isNear(canvas)) return;
    try {
      const scaleBy = table.pictures.ratio();
      const drawn = table.bridge.sight({ what: 'fabric', ball: 1, width: Math.round(canvas.parentNode.clientWidth * scaleBy), height: Math.round(260 * scaleBy), quick: true, from_round: 0, dark: table.pictures.isDark() });
      canvas.width = drawn.image.width;
      canvas.height = drawn.image.height;
      canvas.style.setProperty('width', drawn.image.width / scaleBy + 'px');
      canvas.getContext('2d').putImageData(drawn.image, 0, 0);
      byId('risk-swatch-words').textContent = 'Ball A at ' + table.state.doc.knitting.stitches + ' stitches';
    } catch (fault) {
      byId('risk-swatch-words').textContent = fault.message;
    }
  }
  const isNear = (node) => { const box = node.getBoundingClientRect(); return box.top < innerHeight + 300 && box.bottom > -300; };

  table.risk = { begin, draw, swatch, told: () => told };
})(table);
