// The one picture: the blank, the yarn it comes apart into, and what that yarn knits up as.
(function (table) {
  'use strict';
  const { byId, el, svg, refill } = table.dom;

  const kMostPixelRatio = 2;
  const kRestMs = 50, kLatestMs = 250;  // of quiet, before what is not in the eye follows; and without any quiet
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
  let applied = 0;  // how often a document was applied
  const sights = [], listeners = [];

  const ratio = () => Math.min(kMostPixelRatio, window.devicePixelRatio || 1);
  const isDark = () => matchMedia('(prefers-color-scheme: dark)').matches;

  function put(canvas, image) {
    sized(canvas, image.width, image.height);
    canvas.getContext('2d').putImageData(image, 0, 0);
  }

  /// Anew only where the size is another: that costs more than drawing.
  function sized(canvas, width, height) {
    if (canvas.width === width && canvas.height === height) return false;
    canvas.width = width;
    canvas.height = height;
    return true;
  }

  /// Shows a picture of so many pixels at its own size, or as large as the room takes it.
  function fit(view, told, width, height, finer) {
    let scale = ratio();
    if (finer) {
      const box = measured(view);
      scale = Math.max(width / box.width, pictures.close ? 0 : height / box.height);
    }
    const size = [width, height, scale].join(' ');
    if (view.size !== size) {
      for (const node of [view.canvas, view.marks]) {
        node.style.setProperty('width', width / scale + 'px');
        node.style.setProperty('height', height / scale + 'px');
      }
      view.marks.setAttribute('viewBox', '0 0 ' + width + ' ' + height);
      view.size = size;
    }
    view.scale = scale;
    view.told = told;
  }

  // ---- the room each view has: asking the browser makes it lay out the page, so it is asked once ----

  function measured(view) {
    if (!view.room) {
      const box = view.frame.getBoundingClientRect();
      view.room = { width: box.width, height: box.height };
    }
    return view.room;
  }

  function measureAgain() {
    for (const view of Object.values(views)) view.room = null;
  }

  /// In device pixels. Zero while it is not shown.
  function room(view) {
    const box = measured(view);
    return { width: Math.floor(box.width * ratio()), height: Math.floor(box.height * ratio()) };
  }

  // ---- blank, yarn, fabric: drawn only where what they show has changed ----

  function isNew(view, ...of) {
    const key = of.join(' ');
    if (view.key === key) return false;
    view.key = key;
    return true;
  }

  /// Drawn finer than shown: quick drawings take whole pixels for a row, and three would leave a third of the room.
  function drawBlank() {
    const view = views.blank, { width, height } = room(view), finer = kFiner / ratio();
    if (width < 8 || height < 8 || !isNew(view, pictures.settled.yarn_version, width, height, pictures.close)) return;
    const box = [width, pictures.close ? 16 * width : height].map((side) => Math.min(kMostSide, Math.round(finer * side)));
    const drawn = table.bridge.sight({ what: 'blank', width: box[0], height: box[1], quick: true });
    put(view.canvas, drawn.image);
    fit(view, drawn.told, drawn.image.width, drawn.image.height, true);
  }

  function drawRibbons() {
    const view = views.ribbons, { width, height } = room(view);
    if (width < 8 || height < 8 || !isNew(view, pictures.settled.yarn_version, width, height)) return;
    const drawn = table.bridge.draw({ what: 'ribbons', width, height });
    view.image = drawn.image;
    put(view.canvas, drawn.image);
    fit(view, drawn.told, width, height);
  }

  /// Two pieces of plain fabric beside each other, ball A on the left, in the middle of their room.
  function drawFabric() {
    const view = views.knit, { width, height } = room(view), { settled } = pictures;
    const strands = table.state.doc.blank.strands === 1 ? 1 : 2;
    if (width < 8 || height < 8 || !isNew(view, 'fabric', settled.yarn_version, settled.knitting_version, width, height, strands)) return;
    const gap = Math.round(14 * ratio());
    const each = Math.floor((width - (strands - 1) * gap) / strands);
    const context = view.canvas.getContext('2d'), pieces = [];
    for (let ball = 1; ball <= strands; ball += 1) {
      const { told, image } = table.bridge.sight({ what: 'fabric', ball, width: each, height, quick: true, from_round: 0 });
      const both = strands * image.width + (strands - 1) * gap;
      if (ball === 1 && !sized(view.canvas, Math.max(width, both), Math.max(height, image.height))) context.clearRect(0, 0, view.canvas.width, view.canvas.height);
      const piece = { ...told, ball, x: Math.floor((view.canvas.width - both) / 2) + (ball - 1) * (image.width + gap), y: Math.floor((view.canvas.height - image.height) / 2) };
      context.putImageData(image, piece.x, piece.y);
      pieces.push(piece);
    }
    fit(view, { what: 'fabric', pieces }, view.canvas.width, view.canvas.height);
    called('fabric');
  }

  function called(what) {
    if (views.knit.what === what) return;
    views.knit.what = what;
    views.knit.canvas.setAttribute('aria-label', what === 'sock' ? 'The pair of socks. Arrow keys move the place pointed at.' : 'Plain fabric of both balls. Arrow keys move the place pointed at.');
    byId('knit-caption').textContent = what === 'sock' ? 'the socks' : 'the fabric';
  }

  // ---- the pair of socks ----

  let pair = { wide: 1.3, tall: 1.35, dx: 0.45, dy: 0.35, shape: '' };  // of one sock's height

  // Drawn beside the page, by the second core.
  let socks = { version: -1, room: '', isDone: false };  // those shown last; done: as large and as fine as they get
  let isToBeDone = false;

  const isSock = () => pictures.look === 'sock' && pictures.settled.sock !== false;

  const sockRoom = () => [room(views.knit).width, room(views.knit).height, isDark()].join(' ');

  function sockRequest(quick) {
    const { width, height } = room(views.knit);
    if (width < 8) return null;
    return { what: 'sock', width: kMostSide, height: Math.max(20, Math.floor(Math.min(width / pair.wide, height / pair.tall))), quick, dark: isDark(),
      version: applied, room: sockRoom() };
  }

  /// Several pictures on one canvas, the last one on top.
  function composed(told, pieces, width, height) {
    const view = views.knit, context = view.canvas.getContext('2d');
    if (!sized(view.canvas, width, height)) context.clearRect(0, 0, width, height);
    for (const piece of pieces) {
      const { from } = piece, sheet = el('canvas', { width: from.width, height: from.height });
      sheet.getContext('2d').putImageData(piece.image, -from.x, -from.y, from.x, from.y, from.width, from.height);
      context.drawImage(sheet, piece.x, piece.y);
    }
    view.key = 'sock';
    fit(view, { what: 'sock', pieces, drawn: { pixels_per_cm: told.pixels_per_cm, socks: told.socks } }, width, height);
    called('sock');
  }

  /// Returns whether they fill their room.
  function showSocks(told, image) {
    if (told.socks.length === 1) {
      pair = { wide: image.width / image.height, tall: 1, dx: 0, dy: 0, shape: 'one' };
      composed(told, [{ image, ball: told.socks[0].ball, from: { x: 0, y: 0, width: image.width, height: image.height }, x: 0, y: 0 }], image.width, image.height);
      return true;
    }
    const [a, b] = told.socks, { width, height } = room(views.knit);
    const shape = [Math.round(100 * a.width / a.height), Math.round(20 * width / height), table.state.doc.knitting.heel].join(' ');
    if (shape !== pair.shape) pair = { ...table.pair.nested(image, told.socks, room(views.knit)), shape };
    const dx = Math.round(pair.dx * a.height), dy = Math.round(pair.dy * a.height);
    const wide = Math.max(a.width, dx + b.width), tall = Math.max(a.height + dy, b.height);
    // Ball A's at the upper right, as its ribbons lie above ball B's.
    const piece = (sock, x, y) => ({ image, ball: sock.ball, from: sock, x, y });
    composed(told, [piece(a, dx, 0), piece(b, 0, dy)], wide, tall);
    return Math.max(wide / width, tall / height) > 0.9 && wide <= width + 1 && tall <= height + 1;
  }

  const socksAreOfNow = () => socks.version === applied && socks.room === sockRoom();

  /// After a change of the room or of the look: those that were drawn, if they are the ones.
  function lookAtSocks() {
    if (!socksAreOfNow()) sketch(true, false);
    else if (views.knit.key !== 'sock') showSocks(socks.told, socks.image);
  }

  /// Has the socks drawn beside the page, and the words found.
  function sketch(quick, words) {
    table.bridge.sketch(table.state.doc, { request: isSock() ? sockRequest(quick) : null, words });
  }

  function socksCame({ drawn, request }) {
    const { told } = drawn, image = new ImageData(drawn.bytes, told.width, told.height);
    if (!isSock()) return;
    const again = socks.version === request.version && socks.room === request.room && !socks.isDone;
    const fills = showSocks(told, image);
    socks = { told, image, version: request.version, room: request.room, isDone: told.fine && (fills || again) };
    threads();
    tell({ apply: false, quick: true });
  }

  function sketched(message) {
    if (message.fault) {
      isToBeDone = false;  // the page's own core has said so already
      return;
    }
    if (message.told) {
      pictures.told = message.told;
      table.told.show();
    }
    done();
  }

  /// Quiet for a while: the socks as fine as they get, and whoever waits for that is told.
  function done() {
    if (!isToBeDone || table.bridge.isSketching()) return;
    if (isSock() && room(views.knit).width >= 8 && !(socksAreOfNow() && socks.isDone)) { sketch(false, false); return; }
    isToBeDone = false;
    threads();
    tell({ apply: false, quick: false });
  }

  // ---- under the glass ----

  let large = null, largeOf = -1;

  /// The blank large enough to see single loops; drawn anew only when looked at after a change.
  pictures.large = () => {
    if (!large) large = el('canvas', {});
    if (largeOf === pictures.settled.yarn_version) return large;
    largeOf = pictures.settled.yarn_version;
    const stitches = pictures.settled.stitches || 46, rows = pictures.settled.rows || 214;
    put(large, table.bridge.sight({ what: 'blank', width: Math.min(1200, kLoopPixels * stitches), height: Math.min(kMostSide, kLoopPixels * rows), quick: true }).image);
    return large;
  };

  // ---- when ----

  // What the eye is on is drawn at once, within the event that changed it, and not twice before the next frame. The
  // socks and the words are worked out beside the page; the rest of it follows when the hand rests.
  let asked = null, isResting = true, doneTimer = 0, restTimer = 0, restSince = 0, rest = null, isSketchAsked = false, isFirst = true;

  const joined = (a, b) => ({ apply: b.apply || (a !== null && a.apply), quick: b.quick && (a === null || a.quick) });
  const tell = (wanted) => { for (const listener of listeners) listener(wanted); };

  function ask(apply) {
    if (!applied) return;  // nothing is on the table yet
    asked = joined(asked, { apply, quick: true });
    clearTimeout(doneTimer);
    doneTimer = setTimeout(() => { isToBeDone = true; done(); }, kFineAfterMs);
    if (!isResting) return;
    isResting = false;
    requestAnimationFrame(nextFrame);
    atOnce();
  }

  function nextFrame() {
    isResting = true;
    if (!asked) return;
    isResting = false;
    requestAnimationFrame(nextFrame);
    atOnce();
  }

  function atOnce() {
    const wanted = asked, started = performance.now();
    asked = null;
    try {
      if (wanted.apply) {
        pictures.settled = table.bridge.apply(table.state.doc);
        if (isFirst) isFirst = false;
        else sketchSoon();
      }
      drawBlank();
      drawRibbons();
      if (!isSock()) drawFabric();
      else if (!wanted.apply) lookAtSocks();
    } catch (fault) {
      table.say(fault.message);
    }
    for (const listener of sights) listener();
    pictures.lastFrameMs = performance.now() - started;
    resting(wanted);
  }

  /// Once what was drawn is on the screen.
  function sketchSoon() {
    applied += 1;
    if (isSketchAsked) return;
    isSketchAsked = true;
    requestAnimationFrame(() => setTimeout(() => {
      isSketchAsked = false;
      sketch(true, true);
    }, 0));
  }

  function resting(wanted) {
    rest = joined(rest, wanted);
    const now = performance.now();
    if (!restSince) restSince = now;
    clearTimeout(restTimer);
    restTimer = setTimeout(() => {
      const all = rest;
      rest = null;
      restSince = 0;
      threads();
      tell(all);
    }, now - restSince > kLatestMs ? 0 : kRestMs);
  }

  /// After a change of the document.
  pictures.refresh = () => ask(true);
  /// After a change of the room or of the look only.
  pictures.redraw = () => ask(false);
  /// At once after blank, yarn and fabric were drawn.
  pictures.onSight = (listener) => { sights.push(listener); };
  /// When the hand rests (wanted.apply: the document has changed), and when all is as fine as it gets (not wanted.quick).
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
    measureAgain();
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

  /// The second core begins with the first document while the page's own does.
  pictures.begin = () => {
    table.bridge.listen('socks', socksCame);
    table.bridge.onSketch(sketched);
    applied = 1;
    sketch(true, true);
    pictures.refresh();
  };

  const watcher = new ResizeObserver(() => {
    measureAgain();
    if (applied) pictures.redraw();
  });
  for (const node of [byId('stage'), ...Object.values(views).map((view) => view.frame)]) watcher.observe(node);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => pictures.redraw());
  for (const button of document.querySelectorAll('[data-look]')) button.addEventListener('click', () => pictures.setLook(button.dataset.look));
  byId('closer').addEventListener('click', () => pictures.setClose(!pictures.close));

  table.pictures = pictures;
})(table);
