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
    bands: 'Bands are on the blank: set them under Layers.',
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

  function marks() {
    const view = table.pictures.views.blank, old = view.marks.querySelector('.water');
    if (old) old.remove();
    const layer = dipLayer();
    if (!layer || !view.canvas.width) return;
    const [x1, y1, x2, y2] = lineOf(layer, view.canvas.width, view.canvas.height);
    view.marks.append(svg('g', { class: 'water' }, svg('line', { x1, y1, x2, y2, class: 'under' }), svg('line', { x1, y1, x2, y2 })));
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

  tools.strokeGoes = (place) => {
    if (!stroke || Math.hypot(place.x_mm - stroke.last.x_mm, place.y_mm - stroke.last.y_mm) < kPointEveryMm) return;
    stroke.last = place;
    state.live(() => {
      const layer = state.layer(stroke.id);
      if (layer) layer.strokes[layer.strokes.length - 1].points.push(Math.round(place.x_mm * 10) / 10, Math.round(place.y_mm * 10) / 10);
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
    } else if (tools.now === 'motif') {
      event.preventDefault();
      tools.putMotif(place);
    }
  });

  canvas.addEventListener('pointermove', (event) => {
    if (!dragging) return;
    if (dragging === 'brush') {
      const all = event.getCoalescedEvents ? event.getCoalescedEvents() : [event];
      for (const one of all.length ? all : [event]) {
        const place = table.pointing.blankPlace(one);
        if (place) tools.strokeGoes(place);
      }
      return;
    }
    const place = table.pointing.blankPlace(event);
    if (place) state.live(() => { const layer = state.layer(); if (layer) layer.level = level(layer, place, table.pointing.blankSize()); });
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
  table.pictures.on(marks);
  state.on((kind) => { if (kind === 'selected') marks(); });
  table.tools = tools;
})(table);
