// The tools at the left, and what they do on the blank.
(function (table) {
  'use strict';
  const { byId, svg, held } = table.dom;
  const state = table.state;

  const kPointEveryMm = 1.5;  // a stroke keeps points at least so far apart

  const tools = { now: 'point', brush: { width_cm: 1.8, soft: 0.3 } };
  let stroke = null, dragging = null;

  const kSays = {
    point: 'Point at any picture to see where that place is in the others.',
    dip: 'Drag the water line on the blank.',
    brush: 'Paint on the blank.',
    motif: 'Tap the blank to put one down.',
    bands: 'Drag the bands along the blank; the rest is set beside it.',
    dots: 'Dots are on the blank: set them under Layers.'
  };

  tools.choose = (name) => {
    tools.now = name;
    for (const button of document.querySelectorAll('[data-tool]')) {
      if (button.dataset.tool !== 'picture') button.setAttribute('aria-pressed', String(button.dataset.tool === name));
    }
    byId('blank-frame').dataset.tool = name;
    byId('tool-says').textContent = kSays[name] || '';
    marks();
  };

  tools.press = (name) => {
    if (name === 'picture') { table.photo.ask(); return; }
    if (name !== 'point') {
      const layer = state.layer();
      if (name === 'brush' && layer && layer.kind === 'brush') { /* the same layer goes on */ }
      else if (name === 'motif') table.layers.add('motif', { repeat: { ...state.kRepeat } });
      else table.layers.add(name);
      table.main.openTab('layers');
    }
    tools.choose(name);
  };

  for (const button of document.querySelectorAll('[data-tool]')) button.addEventListener('click', () => tools.press(button.dataset.tool));

  // ---- the water line, drawn over the blank while the dip tool is in hand ----

  function dipLayer() {
    const layer = state.layer();
    return tools.now === 'dip' && layer && layer.kind === 'dip' && state.liesAsPainted(layer) ? layer : null;
  }

  function lineOf(layer, width, height) {
    const at = { ravel: layer.level, far: 1 - layer.level, left: layer.level, right: 1 - layer.level }[layer.edge];
    return layer.edge === 'left' || layer.edge === 'right' ? [at * width, 0, at * width, height] : [0, at * height, width, at * height];
  }

  // ---- bands: a line along the middle of one, with a grip; they are dragged across themselves ----

  function bandsLayer() {
    const layer = state.layer();
    return tools.now === 'bands' && layer && layer.kind === 'bands' && state.liesAsPainted(layer) ? layer : null;
  }

  /// How far a place lies along the way the bands follow each other, mm.
  function acrossBands(layer, place) {
    const turn = layer.slant_deg * Math.PI / 180, [x, y] = layer.along === 'rows' ? [Math.sin(turn), Math.cos(turn)] : [Math.cos(turn), Math.sin(turn)];
    return place.x_mm * x + place.y_mm * y;
  }

  /// The middle of the band nearest to a third of the blank, from edge to edge.
  function bandLine(layer, size) {
    const turn = layer.slant_deg * Math.PI / 180, period = 10 * (layer.width_cm + layer.gap_cm), rows = layer.along === 'rows';
    const [long, wide] = rows ? [size.height, size.width] : [size.width, size.height];
    const first = 10 * layer.start_cm + 5 * layer.width_cm, wanted = Math.cos(turn) * long / 3 + Math.sin(turn) * wide / 2;
    const at = first + period * Math.round((wanted - first) / period);
    const along = (beside) => (at - beside * Math.sin(turn)) / Math.cos(turn);
    const ends = [0, wide / 2, wide].map((beside) => (rows ? { x_mm: beside, y_mm: along(beside) } : { x_mm: along(beside), y_mm: beside }));
    return { from: ends[0], middle: ends[1], to: ends[2] };
  }

  let heldAt = null;  // where the bands were taken hold of, and where they began then

  function takeBands(layer, place) {
    heldAt = { across: acrossBands(layer, place), start_cm: layer.start_cm };
  }

  /// Bands repeat: those that were dragged by whole repeats lie as before.
  function dragBands(place) {
    const layer = state.layer();
    if (!layer || !heldAt) return;
    const period = layer.width_cm + layer.gap_cm, moved = heldAt.start_cm + (acrossBands(layer, place) - heldAt.across) / 10;
    const start = Math.round(10 * (moved - period * Math.floor(moved / period))) / 10;
    if (start !== layer.start_cm) state.live(() => { layer.start_cm = start; });
  }

  const guide = (line) => svg('g', { class: 'water' }, svg('line', { ...line, class: 'under' }), svg('line', line));

  function marks() {
    const view = table.pictures.views.blank, { width, height } = view.canvas;
    for (const old of view.marks.querySelectorAll('.water')) old.remove();
    if (!width) return;
    const dip = dipLayer(), bands = bandsLayer();
    if (dip) {
      const [x1, y1, x2, y2] = lineOf(dip, width, height);
      view.marks.append(guide({ x1, y1, x2, y2 }));
    }
    if (bands) {
      const size = table.pointing.blankSize(), { from, middle, to } = bandLine(bands, size);
      const x = (place) => place.x_mm / size.width * width, y = (place) => place.y_mm / size.height * height;
      const node = guide({ x1: x(from), y1: y(from), x2: x(to), y2: y(to) });
      node.append(svg('circle', { class: 'grip-on-cloth', cx: x(middle), cy: y(middle), r: 9 * (view.scale || 1) }));
      view.marks.append(node);
    }
  }
  tools.marks = marks;

  function level(layer, place, size) {
    const share = { ravel: place.y_mm / size.height, far: 1 - place.y_mm / size.height, left: place.x_mm / size.width, right: 1 - place.x_mm / size.width }[layer.edge];
    return held(Math.round(share * 100) / 100, 0, 1);
  }

  // ---- the brush ----

  function brushLayer() {
    const { layers } = state.doc;
    for (const layer of [state.layer(), layers[layers.length - 1]]) {
      if (layer && layer.kind === 'brush' && state.liesAsPainted(layer)) return layer.id;
    }
    return table.layers.add('brush');
  }

  tools.strokeBegins = (place) => {
    const id = brushLayer();
    stroke = { id, last: place };
    state.live(() => state.layer(id).strokes.push({ width_cm: tools.brush.width_cm, soft: tools.brush.soft, points: [place.x_mm, place.y_mm] }));
  };

  /// All places since the last frame at once.
  tools.strokeGoes = (...places) => {
    const points = [];
    for (const place of places) {
      if (!stroke || Math.hypot(place.x_mm - stroke.last.x_mm, place.y_mm - stroke.last.y_mm) < kPointEveryMm) continue;
      stroke.last = place;
      points.push(Math.round(place.x_mm * 10) / 10, Math.round(place.y_mm * 10) / 10);
    }
    if (!points.length) return;
    state.live(() => {
      const layer = state.layer(stroke.id);
      if (layer) layer.strokes[layer.strokes.length - 1].points.push(...points);
    });
  };

  tools.strokeEnds = () => { if (stroke) { stroke = null; state.settle(); } };
  tools.isPainting = () => stroke !== null;

  tools.putMotif = (place) => {
    const layer = state.layer();
    if (!layer || layer.kind !== 'motif') return false;
    if (!state.liesAsPainted(layer)) {
      const { id, way, places, ...same } = layer;
      table.layers.add('motif', { ...same, places: [], repeat: null });
    }
    state.change(() => {
      const now = state.layer();
      now.repeat = null;
      now.places.push(Math.round(place.x_mm * 10) / 10, Math.round(place.y_mm * 10) / 10);
    });
    return true;
  };

  // ---- fingers and mouse on the blank ----

  const canvas = byId('blank-canvas');

  /// The words above change under a stroke: while it lasts they keep their room, or the blank would move under the hand.
  function holdStill(still) {
    const words = byId('say');
    words.style.setProperty('height', still ? words.getBoundingClientRect().height + 'px' : 'auto');
  }

  canvas.addEventListener('pointerdown', (event) => {
    if (event.button !== 0 || tools.now === 'point') return;
    const place = table.pointing.blankPlace(event);
    if (!place) return;
    if (tools.now === 'brush') {
      event.preventDefault();
      canvas.setPointerCapture(event.pointerId);
      dragging = 'brush';
      holdStill(true);
      tools.strokeBegins(place);
    } else if (dipLayer()) {
      event.preventDefault();
      canvas.setPointerCapture(event.pointerId);
      dragging = 'dip';
      holdStill(true);
      state.live(() => { const layer = state.layer(); layer.level = level(layer, place, table.pointing.blankSize()); });
    } else if (bandsLayer()) {
      event.preventDefault();
      canvas.setPointerCapture(event.pointerId);
      dragging = 'bands';
      holdStill(true);
      takeBands(bandsLayer(), place);
    } else if (tools.now === 'motif') {
      event.preventDefault();
      tools.putMotif(place);
    }
  });

  canvas.addEventListener('pointermove', (event) => {
    if (!dragging) return;
    if (dragging === 'brush') {
      const all = event.getCoalescedEvents ? event.getCoalescedEvents() : [event];
      tools.strokeGoes(...(all.length ? all : [event]).map(table.pointing.blankPlace).filter(Boolean));
      return;
    }
    const place = table.pointing.blankPlace(event);
    if (place && dragging === 'bands') dragBands(place);
    else if (place) state.live(() => { const layer = state.layer(); if (layer) layer.level = level(layer, place, table.pointing.blankSize()); });
  });

  const ends = () => {
    if (!dragging) return;
    if (dragging === 'brush') tools.strokeEnds(); else state.settle();
    dragging = null;
    holdStill(false);
  };
  canvas.addEventListener('pointerup', ends);
  canvas.addEventListener('pointercancel', ends);

  tools.isDragging = () => dragging !== null;
  table.pictures.onSight(marks);
  state.on((kind) => { if (kind === 'selected') marks(); });
  table.tools = tools;
})(table);
