// One place, seen in all three pictures: on the blank, along both balls, and in what they knit up as.
(function (table) {
  'use strict';
  const { byId, svg } = table.dom;
  const { views } = table.pictures;

  const kGlassCss = 124;
  const kReachCss = 16;  // a finger beside a ribbon means that ribbon

  const pointing = {};
  let cursor = null;          // on the blank, mm
  let found = null;           // the last answer of the core
  let request = null, waiting = false, pinned = false, fromBlank = false, last = null;
  let glassAllowed = true;

  function pixel(view, event) {
    const box = view.canvas.getBoundingClientRect();
    if (!box.width || !view.told) return null;
    return { x: (event.clientX - box.left) / box.width * view.canvas.width, y: (event.clientY - box.top) / box.height * view.canvas.height };
  }

  pointing.blankSize = () => {
    const told = views.blank.told || {}, settled = table.pictures.settled, blank = table.state.doc.blank;
    const { canvas } = views.blank;
    return { width: told.mm_per_pixel_x ? told.mm_per_pixel_x * canvas.width : 10 * (settled.width_cm || blank.width_cm || 24),
      height: told.mm_per_pixel_y ? told.mm_per_pixel_y * canvas.height : 10 * (settled.length_cm || blank.length_cm || 86) };
  };

  pointing.blankPlace = (event) => {
    const at = pixel(views.blank, event);
    if (!at) return null;
    const size = pointing.blankSize(), { canvas } = views.blank;
    return { x_mm: at.x / canvas.width * size.width, y_mm: at.y / canvas.height * size.height };
  };

  const isOn = (place) => place && place.x_mm >= 0 && place.y_mm >= 0 && place.x_mm <= pointing.blankSize().width && place.y_mm <= pointing.blankSize().height;

  function ribbonPlace(at) {
    const rows = views.ribbons.told.rows || [];
    const away = (row) => Math.max(row.y - at.y, at.y - row.y - row.height, 0);
    const row = rows.reduce((best, one) => (best && away(best) <= away(one) ? best : one), null);
    if (!row || away(row) > kReachCss * views.ribbons.scale || at.x < row.x || at.x > row.x + row.width) return null;
    return { yarn: { ball: row.ball, mm: row.from_mm + (at.x - row.x) / row.width * (row.to_mm - row.from_mm) } };
  }

  function isOpaque(piece, at) {
    const x = Math.floor(at.x - piece.x), y = Math.floor(at.y - piece.y);
    if (x < 0 || y < 0 || x >= piece.from.width || y >= piece.from.height) return false;
    return piece.image.data[4 * ((piece.from.y + y) * piece.image.width + piece.from.x + x) + 3] > 128;
  }

  function knitPlace(at) {
    const told = views.knit.told;
    if (told.what === 'sock') {
      const on = [...told.pieces].reverse().find((one) => isOpaque(one, at)) || null;
      return on && { sock: { ball: on.ball, x: at.x - on.x + on.from.x, y: at.y - on.y + on.from.y } };
    }
    const piece = told.pieces.find((one) => at.x >= one.x && at.x < one.x + one.width && at.y >= one.y);
    if (!piece) return null;
    const stitch = Math.floor((piece.x + piece.width - at.x) / piece.pixels_per_stitch);
    const round = (piece.from_round || 0) + Math.floor((piece.y + piece.height - at.y) / piece.pixels_per_round);
    return stitch >= 0 && stitch < piece.stitches && round >= 0 ? { fabric: { ball: piece.ball, round, stitch } } : null;
  }

  // ---- asking, at most once a frame ----

  function look(wanted) {
    request = wanted;
    last = wanted;
    if (wanted) fromBlank = glassAllowed && Boolean(wanted.blank);
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      if (!request) { clear(); return; }
      try {
        const { told } = views.knit;
        found = table.bridge.place(told && told.drawn ? { ...request, drawn: told.drawn } : request);
        if (found.blank) cursor = { x_mm: found.blank.x_mm, y_mm: found.blank.y_mm };
        byId('pointed').textContent = (found.words || '') + (isTurnedAway() ? ', on the side that lies on the table' : '');
        mark();
      } catch {
        clear();  // beside the yarn: nothing to point at
      }
    });
  }
  pointing.look = look;

  function clear() {
    found = null;
    byId('glass').hidden = true;
    for (const view of Object.values(views)) view.marks.querySelectorAll('.mark').forEach((node) => node.remove());
  }
  pointing.clear = clear;

  const kRingCss = 9;
  /// scale: pixels of the picture for one of the page
  const ring = (x, y, scale, word) => {
    const r = kRingCss * scale;
    const group = svg('g', { class: 'mark' }, svg('circle', { cx: x, cy: y, r, class: 'under' }), svg('circle', { cx: x, cy: y, r }));
    if (word) group.append(svg('text', { x, y: y - r - 5 * scale, class: 'tag', 'font-size': 19 * scale, 'stroke-width': 5 * scale, text: word }));
    return group;
  };

  function markBlank() {
    const view = views.blank, size = pointing.blankSize(), { canvas, scale } = view;
    const x = found.blank.x_mm / size.width * canvas.width, y = found.blank.y_mm / size.height * canvas.height;
    view.marks.append(svg('g', { class: 'mark' }, svg('line', { x1: 0, y1: y, x2: canvas.width, y2: y, class: 'row-line', 'vector-effect': 'non-scaling-stroke' })), ring(x, y, scale));
  }

  /// Single loops under a glass beside the place, while she points at the blank itself.
  function glass() {
    const node = byId('glass');
    node.hidden = !fromBlank || !found.blank || table.pictures.close || table.tools.isDragging();
    if (node.hidden) return;
    const large = table.pictures.large();
    const size = pointing.blankSize(), pixels = Math.round(kGlassCss * table.pictures.ratio());
    if (node.width !== pixels) node.width = node.height = pixels;
    const x = found.blank.x_mm / size.width, y = found.blank.y_mm / size.height, seen = Math.min(large.width, kGlassCss);
    const context = node.getContext('2d');
    context.fillStyle = getComputedStyle(document.body).backgroundColor;
    context.fillRect(0, 0, pixels, pixels);
    context.drawImage(large, x * large.width - seen / 2, y * large.height - seen / 2, seen, seen, 0, 0, pixels, pixels);
    const stage = byId('stage').getBoundingClientRect(), box = views.blank.canvas.getBoundingClientRect();
    const left = box.left - stage.left + x * box.width, top = box.top - stage.top + y * box.height;
    node.style.setProperty('left', table.dom.held(left + 26, 0, stage.width - kGlassCss) + 'px');
    node.style.setProperty('top', table.dom.held(top - kGlassCss - 8, -10, stage.height - kGlassCss) + 'px');
  }

  function markRibbons() {
    const rows = (views.ribbons.told && views.ribbons.told.rows) || [], { scale } = views.ribbons;
    for (const ball of found.balls || []) {
      for (const row of rows) {
        if (row.ball !== ball.ball) continue;
        const per = row.width / (row.to_mm - row.from_mm);
        const from = Math.max(ball.from_mm, row.from_mm), to = Math.min(ball.to_mm, row.to_mm);
        if (to < from) continue;
        const least = 8 * scale, middle = row.x + ((from + to) / 2 - row.from_mm) * per, width = Math.max(least, (to - from) * per);
        const box = { x: middle - width / 2, y: row.y - 2 * scale, width, height: row.height + 4 * scale, rx: 3 * scale };
        views.ribbons.marks.append(svg('g', { class: 'mark' }, svg('rect', { ...box, class: 'under' }), svg('rect', box)));
      }
    }
  }

  /// In the sock, but where none of the drawn ones shows it.
  function isTurnedAway() {
    const { told } = views.knit, balls = found.balls || [];
    return Boolean(told) && told.what === 'sock' && balls.some((ball) => Number.isFinite(ball.sock_round)) && balls.every((ball) => !ball.sock);
  }

  function markKnit() {
    const view = views.knit, { scale } = view;
    for (const ball of found.balls || []) {
      if (view.told.what === 'sock') {
        const home = view.told.pieces.find((piece) => piece.ball === ball.ball);
        if (!ball.sock || !home) continue;
        view.marks.append(ring(ball.sock.x - home.from.x + home.x, ball.sock.y - home.from.y + home.y, scale, view.told.pieces.length === 1 ? '' : 'AB'[ball.ball - 1]));
        continue;
      }
      const piece = view.told.pieces.find((one) => one.ball === ball.ball);
      if (!piece || ball.round === null || ball.round === undefined) continue;
      const x = piece.x + piece.width - (ball.stitch + 0.5) * piece.pixels_per_stitch;
      const y = piece.y + piece.height - (ball.round - (piece.from_round || 0) + 0.5) * piece.pixels_per_round;
      if (y > piece.y && y < piece.y + piece.height) view.marks.append(ring(x, y, scale));
    }
  }

  function mark() {
    const kept = found;
    clear();
    found = kept;
    if (!found) return;
    if (found.blank) { markBlank(); glass(); }
    if (views.ribbons.told) markRibbons();
    if (views.knit.told) markKnit();
  }


  // ---- mouse, finger, keys ----

  /// Before she has touched anything one place is shown in all three, so that what hangs together is seen.
  pointing.begin = () => {
    const size = pointing.blankSize();
    pinned = true;
    glassAllowed = innerWidth > 640;  // on a phone it would lie on the socks
    look({ blank: { x_mm: 0.5 * size.width, y_mm: 0.385 * size.height } });
    addEventListener('pointerdown', () => { glassAllowed = true; }, { once: true, capture: true });
  };

  const placeIn = {
    blank: (event) => { const place = pointing.blankPlace(event); return isOn(place) ? { blank: place } : null; },
    ribbons: (event) => { const at = pixel(views.ribbons, event); return at && ribbonPlace(at); },
    knit: (event) => { const at = pixel(views.knit, event); return at && knitPlace(at); }
  };

  for (const [name, view] of Object.entries(views)) {
    view.canvas.addEventListener('pointermove', (event) => {
      if (table.tools.isDragging() || (event.pointerType !== 'mouse' && event.buttons === 0)) return;
      pinned = false;
      look(placeIn[name](event));
    });
    view.canvas.addEventListener('pointerdown', (event) => {
      if (table.tools.isDragging()) return;
      const place = placeIn[name](event);
      pinned = Boolean(place);
      look(place);
    });
    view.canvas.addEventListener('pointerleave', (event) => {
      if (event.pointerType === 'mouse' && !pinned) look(null);
    });
    view.canvas.addEventListener('keydown', (event) => keys(name, event));
  }

  const kWays = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

  function keys(name, event) {
    if (event.key === ' ' || event.key === 'Enter') {
      if (name !== 'blank') return;
      event.preventDefault();
      const place = cursor || { x_mm: pointing.blankSize().width / 2, y_mm: pointing.blankSize().height / 2 };
      if (table.tools.now === 'brush') {
        if (table.tools.isPainting()) table.tools.strokeEnds(); else table.tools.strokeBegins(place);
      } else if (table.tools.now === 'motif') table.tools.putMotif(place);
      return;
    }
    if (event.key === 'Escape') { if (table.tools.isPainting()) table.tools.strokeEnds(); look(null); return; }
    const way = kWays[event.key];
    if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    pinned = true;
    const leap = event.shiftKey ? 10 : 1;
    if (name === 'ribbons') { alongYarn(way[0] * leap * 20 + way[1] * leap * 400); return; }
    if (name === 'knit' && found && found.balls && found.balls.length) { inKnit(way, leap); return; }
    const size = pointing.blankSize(), blank = table.state.doc.blank;
    const from = cursor || { x_mm: size.width / 2, y_mm: size.height / 2 };
    const stitch = size.width / (blank.stitches || 46), row = size.height / (blank.rows || 214);
    cursor = { x_mm: table.dom.held(from.x_mm + way[0] * leap * stitch, 0.01, size.width - 0.01),
      y_mm: table.dom.held(from.y_mm + way[1] * leap * row, 0.01, size.height - 0.01) };
    if (table.tools.isPainting()) table.tools.strokeGoes(cursor);
    look({ blank: { ...cursor } });
  }

  function alongYarn(by) {
    const ball = found && found.balls && found.balls[0];
    look({ yarn: { ball: ball ? ball.ball : 1, mm: Math.max(0, (ball ? (ball.from_mm + ball.to_mm) / 2 : 0) + by) } });
  }

  function inKnit(way, leap) {
    const ball = found.balls[0];
    if (views.knit.told.what === 'sock' && ball.sock) {
      const step = 6 * views.knit.scale * leap;
      look({ sock: { ball: ball.ball, x: ball.sock.x + way[0] * step, y: ball.sock.y + way[1] * step } });
    } else if (Number.isFinite(ball.round)) {
      look({ fabric: { ball: ball.ball, round: Math.max(0, ball.round - way[1] * leap), stitch: Math.max(0, ball.stitch - way[0] * leap) } });
    }
  }

  // What was found may lie elsewhere now.
  table.pictures.on(() => { if (found && last) look(last); });
  table.pointing = pointing;
})(table);
