// The document on the table: what is on the blank and how it is knitted. Undo, and keeping it in this browser.
(function (table) {
  'use strict';

  const kUndoSteps = 200;
  const kLongestText = 60e6;  // characters of a state file; its pictures are in it
  const kMostLayers = 40;
  const kMostPoints = 20000;  // numbers in one brush stroke

  const kBlank = { stitches: 46, rows: 214, width_cm: 24, length_cm: 86, strand_m: 211, strands: 2, ball_g: 50,
    construction: 'flat', tail: 'left', painted: 'face', undyed: '#f3ede0' };
  const kKnitting = { stitches: 64, gauge_stitches: null, gauge_rows: null, yarn_per_round_cm: null, shape: 'sock',
    heel: 'flap', foot_cm: null, leg_cm: null, start: 'ravel-end', worked: 'round' };
  const kPicture = { image: '', name: '', kind: 'design', fit: 'stretch', ravel_edge: 'top', corners: null,
    ground: 'undyed', penetration: 0.4 };

  const kWay = { rotate: 0, mirror: false };
  const kMix = { balls: null, class: 'acid', acid: 'vinegar', acid_pct: null, ratio: 30 };
  const kLayerMix = { depth_pct: null, stock_pct: 1, as: 'paste', paste_pct: null };

  const kLayerKinds = {
    dip: { edge: 'far', level: 0.4, fade_cm: 6 },
    bands: { along: 'rows', width_cm: 2, gap_cm: 4, start_cm: 0, slant_deg: 0, soft_cm: 0.3 },
    dots: { size_cm: 1.2, spacing_cm: 3, jitter: 0.5, seed: 7 },
    brush: { strokes: [] },
    motif: { shape: 'boat', mask: null, image: null, size_cm: 5, turn_deg: 0, repeat: null, places: [] }
  };
  const kRepeat = { across_cm: 8, along_cm: 9, stagger: 0.5 };
  const kShapes = ['leaf', 'boat', 'fish', 'star', 'drop', 'ring', 'wave', 'mask'];

  /// The harbour: a dip at one end and a fleet of boats. Shown until she brings something of her own.
  function harbour() {
    return {
      loopread: 1, title: 'harbour', blank: { ...kBlank }, picture: null,
      layers: [
        { id: 'dip-1', kind: 'dip', name: 'harbour dip', colour: '#2b6f92', strength: 0.85, penetration: 1, on: true,
          ...kLayerKinds.dip, level: 0.35, fade_cm: 10, mix: { ...kLayerMix } },
        { id: 'motif-2', kind: 'motif', name: 'boats', colour: '#b8402e', strength: 1, penetration: 0.5, on: true,
          ...kLayerKinds.motif, size_cm: 6.5, repeat: { across_cm: 8, along_cm: 9.5, stagger: 0 }, mix: { ...kLayerMix } }
      ],
      way: { ...kWay }, nudge: null, dye: { wrap: 0.7, creep_mm: 2, strike: 1 }, mix: { ...kMix },
      knitting: { ...kKnitting }, chance: { knitters: 100 }, seed: 1
    };
  }

  // ---- what a file may hold: everything else is left out, so that a broken file cannot break the page ----

  const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);
  const isColour = (value) => typeof value === 'string' && /^#[0-9a-f]{6}$/i.test(value);
  const isNumber = (value) => typeof value === 'number' && Number.isFinite(value);

  function filled(defaults, raw) {
    const out = { ...defaults };
    if (!isObject(raw)) return out;
    for (const [key, usual] of Object.entries(defaults)) {
      const value = raw[key];
      if (value === undefined) continue;
      if (value === null) { if (usual === null || isNumber(usual)) out[key] = null; }
      else if (usual === null ? isNumber(value) : typeof value === typeof usual && !isObject(usual)) {
        if (typeof value !== 'number' || Number.isFinite(value)) out[key] = value;
      }
    }
    return out;
  }

  function numbers(list, most) {
    if (!Array.isArray(list)) return [];
    const out = list.slice(0, most).filter(isNumber);
    return out.length % 2 ? out.slice(0, -1) : out;
  }

  const within = (value, least, most) => (value === null ? null : table.dom.held(value, least, most));
  const oneOf = (value, list) => (list.includes(value) ? value : list[0]);

  function cleanLayerMix(raw) {
    const mix = filled(kLayerMix, raw);
    return { depth_pct: within(mix.depth_pct, 0, 100), stock_pct: within(mix.stock_pct || kLayerMix.stock_pct, 0.01, 25),
      as: oneOf(mix.as, ['paste', 'stock']), paste_pct: within(mix.paste_pct, 0.01, 25) };
  }

  function cleanMix(raw) {
    const mix = filled(kMix, raw);
    return { balls: within(mix.balls, 0.01, 1000), class: oneOf(mix.class, ['acid', 'metal-complex', 'reactive']), acid: oneOf(mix.acid, ['vinegar', 'citric']),
      acid_pct: within(mix.acid_pct, 0, 100), ratio: within(mix.ratio || kMix.ratio, 5, 200) };
  }

  function cleanLayer(raw, place) {
    if (!isObject(raw) || !Object.hasOwn(kLayerKinds, raw.kind)) return null;
    const own = kLayerKinds[raw.kind];
    const layer = { id: raw.kind + '-' + (place + 1), kind: raw.kind,
      name: typeof raw.name === 'string' ? raw.name.slice(0, 60) : raw.kind,
      colour: isColour(raw.colour) ? raw.colour : '#2b6f92', strength: 1, penetration: 0.4, on: raw.on !== false };
    if (isNumber(raw.strength)) layer.strength = table.dom.held(raw.strength, 0, 1);
    if (isNumber(raw.penetration)) layer.penetration = table.dom.held(raw.penetration, 0, 1);
    layer.way = filled(kWay, raw.way);
    layer.mix = cleanLayerMix(raw.mix);
    for (const [key, usual] of Object.entries(own)) {
      const value = raw[key];
      layer[key] = usual !== null && typeof usual === typeof value && !isObject(usual) && !Array.isArray(usual) &&
        (typeof value !== 'number' || Number.isFinite(value)) ? value : usual;
    }
    if (raw.kind === 'brush') {
      layer.strokes = (Array.isArray(raw.strokes) ? raw.strokes : []).filter(isObject).slice(0, 2000).map((stroke) => ({
        width_cm: isNumber(stroke.width_cm) ? stroke.width_cm : 1.5, soft: isNumber(stroke.soft) ? stroke.soft : 0.3,
        points: numbers(stroke.points, kMostPoints) })).filter((stroke) => stroke.points.length >= 2);
    }
    if (raw.kind === 'motif') {
      layer.shape = kShapes.includes(raw.shape) ? raw.shape : 'boat';
      layer.repeat = isObject(raw.repeat) ? filled(kRepeat, raw.repeat) : null;
      layer.places = numbers(raw.places, kMostPoints);
      layer.mask = isNumber(raw.mask) ? raw.mask : null;
      layer.image = typeof raw.image === 'string' ? raw.image : null;
      if (layer.shape === 'mask' && !layer.image) return null;
    }
    return layer;
  }

  function cleanDocument(raw) {
    if (!isObject(raw) || raw.loopread !== 1) throw new Error('this is not a file of the dye table.');
    const base = harbour();
    const doc = {
      loopread: 1, title: typeof raw.title === 'string' ? raw.title.slice(0, 80) : 'untitled',
      blank: filled(kBlank, raw.blank), picture: null,
      layers: (Array.isArray(raw.layers) ? raw.layers : []).slice(0, kMostLayers).map(cleanLayer).filter(Boolean),
      way: filled(base.way, raw.way), nudge: isObject(raw.nudge) ? raw.nudge : null, dye: filled(base.dye, raw.dye), mix: cleanMix(raw.mix),
      knitting: filled(kKnitting, raw.knitting), chance: filled(base.chance, raw.chance), seed: isNumber(raw.seed) ? raw.seed : 1
    };
    if (!isColour(doc.blank.undyed)) doc.blank.undyed = kBlank.undyed;
    if (isObject(raw.picture)) {
      doc.picture = filled(kPicture, raw.picture);
      const corners = numbers(raw.picture.corners, 8);
      doc.picture.corners = corners.length === 8 ? corners : null;
    }
    return doc;
  }

  // ---- the document, its past and its listeners ----

  const state = {
    doc: harbour(),
    images: new Map(),  // key -> {name, width, height, pixels: ImageData, data: data URL}; never changed once in
    units: 'cm',
    selected: null,
    harbour, kBlank, kLayerKinds, kLayerMix, kRepeat, kShapes, kPicture
  };
  let past = [], future = [], before = null, listeners = [], autosaveTimer = 0, storeKey = 'loopread-dye-table';
  let lastNumber = 100;

  const snapshot = () => JSON.stringify(state.doc);
  const tell = (kind) => { for (const listener of listeners) listener(kind); };

  state.on = (listener) => { listeners.push(listener); };

  /// A change while a finger is still down: shown at once, remembered only when settled.
  state.live = (edit) => {
    if (before === null) before = snapshot();
    edit(state.doc);
    tell('live');
  };

  state.settle = () => {
    if (before !== null && before !== snapshot()) {
      past.push(before);
      if (past.length > kUndoSteps) past.shift();
      future = [];
    }
    before = null;
    tell('settled');
    keepSoon();
  };

  state.change = (edit) => {
    if (before === null) before = snapshot();
    edit(state.doc);
    state.settle();
  };

  function step(from, to) {
    if (before !== null) state.settle();
    if (!from.length) return;
    to.push(snapshot());
    state.doc = JSON.parse(from.pop());
    const { layers } = state.doc;
    if (!layers.some((layer) => layer.id === state.selected)) state.selected = layers.length ? layers[layers.length - 1].id : null;
    tell('settled');
    keepSoon();
  }
  state.undo = () => step(past, future);
  state.redo = () => step(future, past);
  state.canUndo = () => past.length > 0;
  state.canRedo = () => future.length > 0;

  /// Another document altogether; can be undone like any change.
  state.replace = (doc) => {
    const old = snapshot();
    state.doc = doc;
    state.selected = doc.layers.length ? doc.layers[doc.layers.length - 1].id : null;
    before = null;
    past.push(old);
    future = [];
    tell('settled');
    keepSoon();
  };

  state.layer = (id) => state.doc.layers.find((layer) => layer.id === (id === undefined ? state.selected : id)) || null;

  state.select = (id) => { state.selected = id; tell('selected'); };

  state.setUnits = (units) => { state.units = units; tell('units'); keepSoon(); };

  /// Whether the layer lies as it was painted: only then do places on the blank go into it as they are.
  state.liesAsPainted = (layer) => {
    const way = layer.way || kWay;
    return way.rotate === state.doc.way.rotate && way.mirror === state.doc.way.mirror;
  };

  state.newId = (kind) => {
    do lastNumber += 1; while (state.layer(kind + '-' + lastNumber));
    return kind + '-' + lastNumber;
  };

  state.keepImage = (image) => {
    const key = 'picture-' + (state.images.size + 1);
    state.images.set(key, image);
    return key;
  };

  // ---- as text: the file she saves, and what this browser keeps ----

  function imagesUsed() {
    const keys = new Set();
    if (state.doc.picture) keys.add(state.doc.picture.image);
    for (const layer of state.doc.layers) if (layer.image) keys.add(layer.image);
    return keys;
  }

  state.asText = () => {
    const pictures = {};
    for (const key of imagesUsed()) {
      const image = state.images.get(key);
      if (image) pictures[key] = { name: image.name, data: image.data };
    }
    return JSON.stringify({ ...state.doc, units: state.units, pictures });
  };

  /// What this browser keeps of it.
  state.keptText = () => state.asText();

  /// Reads a saved file. Throws one plain sentence where it is not one; the document stays as it was until all is read.
  state.read = async (text) => {
    if (text.length > kLongestText) throw new Error('this file is far too large for a saved table.');
    let raw;
    try { raw = JSON.parse(text); } catch { throw new Error('this file is broken or is not a saved table.'); }
    const doc = cleanDocument(raw);
    const missing = [];
    const keyOf = new Map();
    for (const [key, value] of Object.entries(isObject(raw.pictures) ? raw.pictures : {})) {
      if (!isObject(value) || typeof value.data !== 'string') continue;
      try {
        keyOf.set(key, state.keepImage(await table.files.imageFromDataUrl(value.data, String(value.name || 'picture'))));
      } catch { missing.push(String(value.name || key)); }
    }
    if (doc.picture) {
      doc.picture.image = keyOf.get(doc.picture.image) || '';
      if (!doc.picture.image) { missing.push(doc.picture.name || 'the picture'); doc.picture = null; }
    }
    doc.layers = doc.layers.filter((layer) => {
      if (layer.shape !== 'mask') return true;
      layer.image = keyOf.get(layer.image) || null;
      return layer.image !== null;
    });
    return { doc, missing, units: raw.units === 'in' ? 'in' : 'cm' };
  };

  function keepSoon() {
    clearTimeout(autosaveTimer);
    autosaveTimer = setTimeout(keep, 700);
  }

  function keep() {
    const note = table.dom.byId('kept');
    try {
      localStorage.setItem(storeKey, state.keptText());
      note.textContent = 'Kept in this browser.';
      note.classList.remove('is-warning');
    } catch (fault) {
      const full = fault && fault.name === 'QuotaExceededError';
      note.textContent = full ? 'Too big for this browser to keep: save the file.' : 'This browser keeps nothing: save the file.';
      note.classList.add('is-warning');
    }
  }

  state.kept = () => { try { return localStorage.getItem(storeKey); } catch { return null; } };
  state.forget = () => { try { localStorage.removeItem(storeKey); } catch { /* nothing is kept, so nothing to forget */ } };

  /// A page that carries a design of its own keeps apart from other pages in the same browser.
  state.keepUnder = (text, name = 'loopread-dye-table') => {
    let sum = 5381;
    for (let i = 0; i < text.length; i += 1) sum = (sum * 33 + text.charCodeAt(i)) | 0;
    storeKey = name + (text ? '-' + (sum >>> 0).toString(16) : '');
  };

  table.state = state;
})(table);
