// Bringing a picture: a flat design, or a photo whose four corners she shows.
(function (table) {
  'use strict';
  const { byId, el, svg, refill, held } = table.dom;
  const f = table.fields;
  const state = table.state;

  const kCornerNames = ['top left', 'top right', 'bottom right', 'bottom left'];
  const kLoupeCss = 132, kLoupeTimes = 3;
  const kPhotoPixels = 2.5e6;  // a JPEG larger than this is taken for a photo until she says otherwise

  const photo = {};
  const asking = byId('picture-ask'), setting = byId('picture-set');
  let image = null, imageKey = null, corners = [], source = null, shown = 1, viaCamera = false, fresh = false;

  photo.ask = () => asking.showModal();

  photo.bring = async (file, camera) => {
    image = await table.files.imageFromBlob(file, file.name);
    imageKey = state.keepImage(image);
    viaCamera = Boolean(camera);
    fresh = true;
    const isPhoto = viaCamera || (/jpe?g|hei/i.test(image.type) && image.width * image.height > kPhotoPixels);
    openSetting({ kind: isPhoto ? 'photo' : 'design', ravel_edge: 'top', fit: 'stretch', corners: null });
  };

  photo.edit = () => {
    const { picture } = state.doc;
    image = picture && state.images.get(picture.image);
    if (!image) return;
    imageKey = picture.image;
    fresh = false;
    openSetting(picture);
  };

  function openSetting(now) {
    if (asking.open) asking.close();
    for (const name of ['kind', 'ravel', 'fit']) {
      const value = { kind: now.kind, ravel: now.ravel_edge, fit: now.fit }[name];
      for (const radio of setting.querySelectorAll('input[name="set-' + name + '"]')) radio.checked = radio.value === value;
    }
    const { width, height } = image;
    corners = now.corners ? [...now.corners] : [0.08 * width, 0.06 * height, 0.92 * width, 0.06 * height, 0.92 * width, 0.94 * height, 0.08 * width, 0.94 * height].map(Math.round);
    setting.showModal();
    source = el('canvas', { width, height });
    source.getContext('2d').putImageData(image.pixels, 0, 0);
    place();
  }

  const isPhoto = () => setting.querySelector('input[name="set-kind"]:checked').value === 'photo';

  function place() {
    if (!setting.open || !image) return;
    const box = byId('corner-room'), canvas = byId('corner-canvas');
    const width = box.clientWidth, height = Math.max(220, Math.min(innerHeight * 0.5, 620));
    shown = Math.min(width / image.width, height / image.height);
    canvas.width = Math.max(1, Math.round(image.width * shown * table.pictures.ratio()));
    canvas.height = Math.max(1, Math.round(image.height * shown * table.pictures.ratio()));
    const css = { width: image.width * shown + 'px', height: image.height * shown + 'px' };
    for (const node of [byId('corner-table'), canvas]) for (const [rule, to] of Object.entries(css)) node.style.setProperty(rule, to);
    canvas.getContext('2d').drawImage(source, 0, 0, canvas.width, canvas.height);
    byId('corner-outline').setAttribute('viewBox', '0 0 ' + image.width + ' ' + image.height);
    setting.classList.toggle('is-photo', isPhoto());
    outline();
  }

  function outline() {
    const points = [0, 2, 4, 6].map((at) => corners[at] + ',' + corners[at + 1]).join(' ');
    const edge = { top: [0, 1], right: [1, 2], bottom: [2, 3], left: [3, 0] }[setting.querySelector('input[name="set-ravel"]:checked').value];
    const [a, b] = edge.map((corner) => [corners[2 * corner], corners[2 * corner + 1]]);
    refill(byId('corner-outline'), svg('polygon', { points, class: 'under' }), svg('polygon', { points }), svg('line', { x1: a[0], y1: a[1], x2: b[0], y2: b[1], class: 'ravel' }));
    handles.forEach((handle, i) => {
      handle.style.setProperty('left', corners[2 * i] * shown + 'px');
      handle.style.setProperty('top', corners[2 * i + 1] * shown + 'px');
      handle.setAttribute('aria-label', kCornerNames[i] + ' corner, ' + Math.round(corners[2 * i]) + ' across, ' + Math.round(corners[2 * i + 1]) + ' down');
    });
  }

  function loupe(i, show) {
    const glass = byId('loupe');
    glass.hidden = !show;
    if (!show) return;
    const x = corners[2 * i], y = corners[2 * i + 1], ratio = table.pictures.ratio(), size = Math.round(kLoupeCss * ratio);
    const seen = kLoupeCss / (kLoupeTimes * Math.max(shown, 0.12));
    glass.width = glass.height = size;
    const context = glass.getContext('2d');
    context.imageSmoothingEnabled = false;
    context.fillStyle = '#888';
    context.fillRect(0, 0, size, size);
    context.drawImage(source, x - seen / 2, y - seen / 2, seen, seen, 0, 0, size, size);
    for (const [colour, wide] of [['#000', 3 * ratio], ['#fff', ratio]]) {
      context.strokeStyle = colour;
      context.lineWidth = wide;
      context.beginPath();
      context.moveTo(size / 2, size * 0.3); context.lineTo(size / 2, size * 0.7);
      context.moveTo(size * 0.3, size / 2); context.lineTo(size * 0.7, size / 2);
      context.stroke();
    }
    // Out of the finger's way: above the corner, or below it near the top of the picture.
    const above = y * shown > kLoupeCss * 0.75;
    glass.style.setProperty('left', held(x * shown - kLoupeCss / 2, -20, image.width * shown - kLoupeCss + 20) + 'px');
    glass.style.setProperty('top', (above ? y * shown - kLoupeCss - 34 : y * shown + 40) + 'px');
  }

  function put(i, x, y) {
    corners[2 * i] = held(Math.round(x), 0, image.width);
    corners[2 * i + 1] = held(Math.round(y), 0, image.height);
    outline();
    loupe(i, true);
  }

  const handles = kCornerNames.map((name, i) => {
    const handle = el('button', { type: 'button', class: 'corner' });
    let from = null;
    handle.addEventListener('pointerdown', (event) => {
      event.preventDefault();
      handle.focus();
      handle.setPointerCapture(event.pointerId);
      from = { x: event.clientX - corners[2 * i] * shown, y: event.clientY - corners[2 * i + 1] * shown };
      loupe(i, true);
    });
    handle.addEventListener('pointermove', (event) => { if (from) put(i, (event.clientX - from.x) / shown, (event.clientY - from.y) / shown); });
    handle.addEventListener('lostpointercapture', () => { from = null; loupe(i, false); });
    handle.addEventListener('keydown', (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (!way) return;
      event.preventDefault();
      const step = event.shiftKey ? 10 : 1;
      put(i, corners[2 * i] + way[0] * step, corners[2 * i + 1] + way[1] * step);
    });
    handle.addEventListener('blur', () => loupe(i, false));
    return handle;
  });

  /// Four corners make a blank only if they turn one way round: a bow tie is refused here, where it can be put right.
  function turnsOneWay() {
    let sign = 0;
    for (let i = 0; i < 4; i += 1) {
      const [ax, ay, bx, by, cx, cy] = [0, 1, 2].flatMap((k) => [corners[2 * ((i + k) % 4)], corners[2 * ((i + k) % 4) + 1]]);
      const turn = Math.sign((bx - ax) * (cy - by) - (by - ay) * (cx - bx));
      if (turn === 0 || (sign !== 0 && turn !== sign)) return false;
      sign = turn;
    }
    return true;
  }

  const stem = (name) => name.replace(/\.[a-z0-9]+$/i, '');

  function use() {
    if (isPhoto() && !turnsOneWay()) {
      byId('corner-fault').textContent = 'The corners cross each other: drag each to its own corner of the blank.';
      return;
    }
    byId('corner-fault').textContent = '';
    const chosen = (name) => setting.querySelector('input[name="set-' + name + '"]:checked').value;
    const untouched = fresh && table.main.isUntouched();
    const before = state.doc.picture ? stem(state.doc.picture.name) : null;
    state.change((doc) => {
      doc.picture = { ...state.kPicture, ...(fresh ? {} : doc.picture), image: imageKey, name: image.name, kind: chosen('kind'),
        ravel_edge: chosen('ravel'), fit: chosen('fit'), corners: isPhoto() ? [...corners] : null };
      if (untouched) doc.layers = [];
      // A photo counts its own stitches: what nobody has measured is left open for it.
      if (isPhoto()) for (const key of ['stitches', 'rows', 'width_cm', 'length_cm', 'strand_m']) if (doc.blank[key] === state.kBlank[key]) doc.blank[key] = null;
      if (untouched || before === doc.title) doc.title = stem(image.name);
    });
    setting.close();
    table.main.showDocument();
    table.main.openTab('layers');
    scrollTo({ top: 0 });
  }

  // ---- the card of the picture, above the layers ----

  function card() {
    const p = (key) => ({ get: (doc) => (doc.picture ? doc.picture[key] : undefined), set: (doc, value) => { if (doc.picture) doc.picture[key] = value; } });
    const name = el('strong', {});
    const ground = f.choice({ label: 'Beneath the paint lies', get: (doc) => (doc.picture ? (['undyed', 'auto'].includes(doc.picture.ground) ? doc.picture.ground : 'colour') : undefined),
      set: (doc, value) => { if (doc.picture) doc.picture.ground = value === 'colour' ? '#86b9c6' : value; },
      options: [['undyed', 'undyed yarn'], ['auto', 'a dip: find it'], ['colour', 'this colour']] });
    const groundColour = f.colour({ label: 'Colour beneath', get: (doc) => (doc.picture && doc.picture.ground[0] === '#' ? doc.picture.ground : undefined), set: (doc, value) => { if (doc.picture) doc.picture.ground = value; } });
    const deep = f.slider({ label: 'How deep the dye goes', ...p('penetration'), min: 0, max: 1, step: 0.05, words: (share) => Math.round(share * 100) + ' %' });
    const list = [ground, groundColour, deep];
    byId('picture-card').append(
      el('div', { class: 'card-head' }, table.dom.icon('picture'), name),
      el('div', { class: 'row-tools' }, el('button', { type: 'button', class: 'plain', text: 'Corners and edge', on: { click: photo.edit } }),
        el('button', { type: 'button', class: 'plain', text: 'Another', on: { click: photo.ask } }),
        el('button', { type: 'button', class: 'plain', text: 'Remove', on: { click: () => state.change((doc) => { doc.picture = null; }) } })),
      f.folded('How it is read', 'Usually right as it is.', ...list));
    const update = () => {
      const { picture } = state.doc;
      byId('picture-card').hidden = picture === null;
      if (!picture) return;
      name.textContent = picture.name;
      groundColour.hidden = picture.ground[0] !== '#';
      for (const field of list) field.update();
    };
    state.on(update);
    update();
  }

  photo.begin = () => {
    byId('corner-table').append(...handles);
    for (const radio of setting.querySelectorAll('input[type="radio"]')) radio.addEventListener('change', place);
    byId('picture-use').addEventListener('click', use);
    for (const id of ['picture-cancel', 'picture-ask-cancel']) byId(id).addEventListener('click', (event) => event.currentTarget.closest('dialog').close());
    for (const input of document.querySelectorAll('input[data-picture-file]')) {
      input.addEventListener('change', async () => {
        const file = input.files[0], camera = input.hasAttribute('capture');
        input.value = '';
        if (!file) return;
        try { await photo.bring(file, camera); } catch (fault) { if (asking.open) asking.close(); table.say(fault.message); }
      });
    }
    addEventListener('resize', place);
    card();
  };

  table.photo = photo;
})(table);
