// The one picture: the blank, the yarn it comes apart into, and what that yarn knits up as.
(function (table) {
  'use strict';
  const { byId, el, svg, refill } = table.dom;

  const kMostPixelRatio = 2;
  const kFineAfterMs = 220;  // of quiet, before the slower, finer drawing
  const kLoopPixels = 14;    // a stitch under the glass
  const kFiner = 2.5;        // pixels of a drawn blank for one of the page
  const kMostSide = 8192;    // pixels the core draws

  const views = {};
  for (const name of ['blank', 'ribbons', 'knit']) {
    const frame = byId(name + '-frame');
    views[name] = { name, frame, canvas: frame.querySelector('canvas'), marks: frame.querySelector('svg'), told: null };
  }

  const pictures = { views, settled: {}, told: null, look: 'sock', close: false };
  let asked = null, fineTimer = 0;
  let applied = 0, fine = -1;  // how often a document was applied, and for which of them the finer drawing is shown
  const listeners = [];

  const ratio = () => Math.min(kMostPixelRatio, window.devicePixelRatio || 1);
  const isDark = () => matchMedia('(prefers-color-scheme: dark)').matches;

  function show(view, told, image, finer) {
    const { canvas } = view;
    if (canvas.width !== image.width || canvas.height !== image.height) {
      canvas.width = image.width;
      canvas.height = image.height;
    }
    canvas.getContext('2d').putImageData(image, 0, 0);
    view.image = image;
    fit(view, told, image.width, image.height, finer);
  }

  /// Shows a picture of so many pixels at its own size, or as large as the room takes it.
  function fit(view, told, width, height, finer) {
    let scale = ratio();
    if (finer) {
      const box = view.frame.getBoundingClientRect();
      scale = Math.max(width / box.width, pictures.close ? 0 : height / box.height);
    }
    for (const node of [view.canvas, view.marks]) {
      node.style.setProperty('width', width / scale + 'px');
      node.style.setProperty('height', height / scale + 'px');
    }
    view.marks.setAttribute('viewBox', '0 0 ' + width + ' ' + height);
    view.scale = scale;
    view.told = told;
  }

  /// The room a view has, in device pixels. Zero while it is not shown.
  function room(view) {
    const box = view.frame.getBoundingClientRect();
    return { width: Math.floor(box.width * ratio()), height: Math.floor(box.height * ratio()) };
  }

  /// Drawn finer than shown: quick drawings take whole pixels for a row, and three would leave a third of the room.
  function drawBlank() {
    const view = views.blank, { width, height } = room(view), finer = kFiner / ratio();
    if (width < 8) return;
    const box = [width, pictures.close ? 16 * width : height].map((side) => Math.min(kMostSide, Math.round(finer * side)));
    const drawn = table.bridge.draw({ what: 'blank', width: box[0], height: box[1], quick: true });
    show(view, drawn.told, drawn.image, true);
    large = null;
  }

  function drawRibbons() {
    const view = views.ribbons, { width, height } = room(view);
    if (width < 8) return;
    const drawn = table.bridge.draw({ what: 'ribbons', width, height });
    show(view, drawn.told, drawn.image);
  }

  /// Two pieces of plain fabric beside each other, ball A on the left.
  function drawFabric() {
    const view = views.knit, { width, height } = room(view);
    if (width < 8) return;
    const strands = table.state.doc.blank.strands === 1 ? 1 : 2;
    const gap = Math.round(14 * ratio());
    const each = Math.floor((width - (strands - 1) * gap) / strands);
    const pieces = [];
    for (let ball = 1; ball <= strands; ball += 1) {
      pieces.push(table.bridge.draw({ what: 'fabric', ball, width: each, height, quick: true, from_round: 0 }));
    }
    const tall = Math.max(...pieces.map((piece) => piece.image.height));
    let x = 0;
    const laid = pieces.map((piece, i) => {
      const at = { ...piece.told, image: piece.image, x, y: tall - piece.image.height, ball: i + 1 };
      x += piece.image.width + gap;
      return at;
    });
    composed(view, 'fabric', laid, x - gap, tall);
  }

  /// Several pictures on one canvas, the last one on top.
  function composed(view, what, pieces, width, height) {
    const { canvas } = view;
    canvas.width = width;
    canvas.height = height;
    const context = canvas.getContext('2d');
    for (const piece of pieces) {
      const sheet = el('canvas', { width: piece.image.width, height: piece.image.height });
      sheet.getContext('2d').putImageData(piece.image, 0, 0);
      const from = piece.from || { x: 0, y: 0, width: piece.image.width, height: piece.image.height };
      context.drawImage(sheet, from.x, from.y, from.width, from.height, piece.x, piece.y, from.width, from.height);
    }
    fit(view, { what, pieces }, width, height);
    canvas.setAttribute('aria-label', what === 'sock' ? 'The pair of socks. Arrow keys move the place pointed at.' : 'Plain fabric of both balls. Arrow keys move the place pointed at.');
    byId('knit-caption').textContent = what === 'sock' ? 'the socks' : 'the fabric';
  }

  // ---- the pair of socks ----

  let pair = { wide: 1.3, tall: 1.35, dx: 0.45, dy: 0.35, shape: '' };  // of one sock's height

  const isSock = () => pictures.look === 'sock' && pictures.settled.sock !== false;

  function sockRequest(quick) {
    const { width, height } = room(views.knit);
    if (width < 8) return null;
    return { what: 'sock', width: kMostSide, height: Math.max(20, Math.floor(Math.min(width / pair.wide, height / pair.tall))), quick, dark: isDark() };
  }

  function showSocks(told, image) {
    const view = views.knit, socks = told.socks;
    if (socks.length === 1) {
      pair = { wide: image.width / image.height, tall: 1, dx: 0, dy: 0, shape: 'one' };
      composed(view, 'sock', [{ image, ball: socks[0].ball, from: { x: 0, y: 0, width: image.width, height: image.height }, x: 0, y: 0 }], image.width, image.height);
      return true;
    }
    const [a, b] = socks, { width, height } = room(view);
    const shape = [Math.round(100 * a.width / a.height), Math.round(20 * width / height), table.state.doc.knitting.heel].join(' ');
    if (shape !== pair.shape) pair = { ...table.pair.nested(image, socks, room(view)), shape };
    const dx = Math.round(pair.dx * a.height), dy = Math.round(pair.dy * a.height);
    const wide = Math.max(a.width, dx + b.width), tall = Math.max(a.height + dy, b.height);
    // Ball A's at the upper right, as its ribbons lie above ball B's.
    const piece = (sock, x, y) => ({ image, ball: sock.ball, from: sock, x, y });
    composed(view, 'sock', [piece(a, dx, 0), piece(b, 0, dy)], wide, tall);
    return Math.max(wide / width, tall / height) > 0.9 && wide <= width + 1 && tall <= height + 1;
  }

  function drawSocks(quick) {
    for (let go = 0; go < 2; go += 1) {
      const request = sockRequest(quick);
      if (!request) return;
      const drawn = table.bridge.draw(request);
      fine = applied;
      if (showSocks(drawn.told, drawn.image)) return;
    }
  }

  // ---- under the glass ----

  let large = null;

  /// The blank large enough to see single loops; drawn anew only when looked at after a change.
  pictures.large = () => {
    if (large) return large;
    const stitches = pictures.settled.stitches || 46, rows = pictures.settled.rows || 214;
    const drawn = table.bridge.draw({ what: 'blank', width: Math.min(1200, kLoopPixels * stitches), height: Math.min(kMostSide, kLoopPixels * rows), quick: true });
    large = el('canvas', { width: drawn.image.width, height: drawn.image.height });
    large.getContext('2d').putImageData(drawn.image, 0, 0);
    return large;
  };

  function frame() {
    const wanted = asked;
    asked = null;
    const started = performance.now();
    try {
      if (wanted.apply) {
        pictures.settled = table.bridge.apply(table.state.doc);
        applied += 1;
      }
      drawBlank();
      drawRibbons();
      if (!isSock()) drawFabric();
      else if (!wanted.quick) drawSocks(false);
      if (!pictures.told) {
        pictures.told = table.bridge.told();
        table.told.show();
      }
      if (wanted.apply) table.bridge.sketch(table.state.doc, isSock() ? { ...sockRequest(true), version: applied } : null);
    } catch (fault) {
      table.say(fault.message);
    }
    pictures.lastFrameMs = performance.now() - started;
    threads();
    for (const listener of listeners) listener(wanted);
  }

  function sketched(message) {
    if (message.fault) return;  // the page's own core has said so already
    pictures.told = message.told;
    table.told.show();
    if (!message.drawn || !isSock() || fine >= message.request.version) return;
    const { told, bytes } = message.drawn;
    showSocks(told, new ImageData(bytes, told.width, told.height));
    threads();
    for (const listener of listeners) listener({ apply: false, quick: true });
  }

  function ask(apply, quick) {
    if (asked === null) requestAnimationFrame(frame);
    asked = { apply: apply || (asked !== null && asked.apply), quick: quick && (asked === null || asked.quick) };
    clearTimeout(fineTimer);
    if (quick) fineTimer = setTimeout(() => ask(false, false), kFineAfterMs);
  }

  /// After a change of the document.
  pictures.refresh = () => ask(true, true);
  /// After a change of the room or of the look only.
  pictures.redraw = () => ask(false, true);
  pictures.on = (listener) => { listeners.push(listener); };
  pictures.ratio = ratio;
  pictures.isDark = isDark;

  pictures.setLook = (look) => {
    pictures.look = look;
    for (const button of document.querySelectorAll('[data-look]')) button.setAttribute('aria-pressed', String(button.dataset.look === look));
    pictures.redraw();
  };

  pictures.setClose = (close) => {
    pictures.close = close;
    byId('stage').classList.toggle('is-close', close);
    const button = byId('closer');
    button.setAttribute('aria-pressed', String(close));
    pictures.redraw();
  };

  // ---- the two threads that lead from one picture to the next ----

  function colourAt(view, x, y) {
    const { image } = view;
    if (!image) return 'currentColor';
    const at = 4 * (Math.round(table.dom.held(y, 0, image.height - 1)) * image.width + Math.round(table.dom.held(x, 0, image.width - 1)));
    const [r, g, b, a] = image.data.subarray(at, at + 4);
    return a < 128 ? 'currentColor' : 'rgb(' + r + ',' + g + ',' + b + ')';
  }

  function threads() {
    const node = byId('threads'), stage = byId('stage').getBoundingClientRect();
    node.setAttribute('viewBox', '0 0 ' + stage.width + ' ' + stage.height);
    const at = (view) => {
      const box = view.canvas.getBoundingClientRect();
      return { left: box.left - stage.left, top: box.top - stage.top, right: box.right - stage.left, bottom: box.bottom - stage.top, width: box.width, height: box.height };
    };
    const blank = at(views.blank), ribbons = at(views.ribbons), knit = at(views.knit);
    const rows = (views.ribbons.told && views.ribbons.told.rows) || [];
    const scale = views.ribbons.scale || 1, knitScale = views.knit.scale || 1;
    const beside = ribbons.left > blank.right - 4 && knit.left > ribbons.right - 4;
    if (!beside || !rows.length) { refill(node); return; }
    const paths = [];
    for (const ball of [1, 2]) {
      const first = rows.find((row) => row.ball === ball);
      const last = rows.filter((row) => row.ball === ball).pop();
      if (!first) continue;
      const y1 = ribbons.top + (first.y + first.height / 2) / scale, x1 = ribbons.left + first.x / scale;
      const x0 = blank.right - 3, y0 = blank.top + 3 + ball * 3;
      const mid = (x0 + x1) / 2;
      paths.push(['M', x0, y0, 'C', mid + 6, y0 - 12, mid - 12, y1, x1, y1].join(' '), colourAt(views.ribbons, first.x + 3, first.y + first.height / 2));
      const x2 = ribbons.left + (last.x + last.width) / scale, y2 = ribbons.top + (last.y + last.height / 2) / scale;
      const home = views.knit.told && (views.knit.told.pieces || []).find((piece) => piece.ball === ball);
      const from = home && (home.from || home);
      if (!from) continue;
      const leg = views.knit.told.what === 'sock' ? { x: 0.06, y: 0.22 } : { x: 0, y: 0.97 };
      const x3 = knit.left + (home.x + leg.x * from.width) / knitScale, y3 = knit.top + (home.y + leg.y * from.height) / knitScale;
      paths.push(['M', x2, y2, 'C', x2 + 26, y2, x3 - 30, y3 + 10, x3, y3].join(' '), colourAt(views.ribbons, last.x + last.width - 3, last.y + last.height / 2));
    }
    const drawn = [];
    for (let i = 0; i < paths.length; i += 2) {
      drawn.push(svg('path', { d: paths[i], class: 'thread-edge' }), svg('path', { d: paths[i], class: 'thread', style: { stroke: paths[i + 1] } }));
    }
    refill(node, ...drawn);
  }

  pictures.begin = () => table.bridge.onSketch(sketched);

  new ResizeObserver(() => { if (pictures.told) pictures.redraw(); }).observe(byId('stage'));
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => pictures.redraw());
  for (const button of document.querySelectorAll('[data-look]')) button.addEventListener('click', () => pictures.setLook(button.dataset.look));
  byId('closer').addEventListener('click', () => pictures.setClose(!pictures.close));

  table.pictures = pictures;
})(table);
