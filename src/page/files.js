// Reading pictures and saved tables, and taking things away.
(function (table) {
  'use strict';
  const { byId, el } = table.dom;
  const state = table.state;

  const kMostPixels = 16e6;       // kept of a picture; a stitch needs eight pixels, a blank has ten thousand stitches
  const kRefusedPixels = 250e6;   // more than any browser decodes
  const kMostBytes = 120e6;

  const files = {};

  // ---- the size a picture says it has, before it is decoded ----

  function jpegSize(view) {
    let at = 2;
    while (at + 9 < view.byteLength) {
      if (view.getUint8(at) !== 0xff) return null;
      const marker = view.getUint8(at + 1);
      if (marker === 0xff) { at += 1; continue; }
      if (marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)) return { width: view.getUint16(at + 7), height: view.getUint16(at + 5) };
      at += 2 + view.getUint16(at + 2);
    }
    return null;
  }

  function saidSize(buffer) {
    const view = new DataView(buffer);
    if (view.byteLength < 30) return null;
    if (view.getUint32(0) === 0x89504e47) return { width: view.getUint32(16), height: view.getUint32(20) };
    if (view.getUint16(0) === 0xffd8) return jpegSize(view);
    if (view.getUint32(0) === 0x47494638) return { width: view.getUint16(6, true), height: view.getUint16(8, true) };
    return null;
  }

  function asDataUrl(blob) {
    return new Promise((done, failed) => {
      const reader = new FileReader();
      reader.onload = () => done(reader.result);
      reader.onerror = () => failed(new Error('The file could not be read.'));
      reader.readAsDataURL(blob);
    });
  }

  files.imageFromBlob = async (blob, name) => {
    const called = String(name || 'picture').slice(0, 60);
    if (!blob.size) throw new Error(called + ' is empty.');
    if (blob.size > kMostBytes) throw new Error(called + ' is too large a file: make it smaller than 120 MB.');
    const said = saidSize(await blob.slice(0, 4e6).arrayBuffer());
    if (said && said.width * said.height > kRefusedPixels) throw new Error(called + ' has too many pixels (' + said.width + ' x ' + said.height + '): make it smaller.');
    const options = { imageOrientation: 'from-image', colorSpaceConversion: 'default', premultiplyAlpha: 'none' };
    let bitmap;
    try { bitmap = await createImageBitmap(blob, options); } catch {
      throw new Error(called + ' is not a picture this browser can read: save it as JPEG or PNG.');
    }
    const shrink = Math.min(1, Math.sqrt(kMostPixels / (bitmap.width * bitmap.height)));
    const width = Math.max(1, Math.floor(bitmap.width * shrink)), height = Math.max(1, Math.floor(bitmap.height * shrink));
    const canvas = el('canvas', { width, height });
    const context = canvas.getContext('2d', { willReadFrequently: true, colorSpace: 'srgb' });
    context.imageSmoothingQuality = 'high';
    context.drawImage(bitmap, 0, 0, width, height);
    bitmap.close();
    let pixels;
    try { pixels = context.getImageData(0, 0, width, height); } catch { throw new Error(called + ' is too large for this browser: make it smaller.'); }
    const data = shrink < 1 ? canvas.toDataURL('image/jpeg', 0.92) : await asDataUrl(blob);
    if (shrink < 1) table.say(called + ' is larger than it need be: worked with at ' + width + ' x ' + height + '.');
    return { name: called, width, height, pixels, data, type: blob.type };
  };

  files.imageFromDataUrl = (url, name) => {
    const match = /^data:(image\/[a-z0-9.+-]+);base64,([A-Za-z0-9+/=\s]+)$/i.exec(url);
    if (!match) throw new Error(name + ' is not a picture.');
    const raw = atob(match[2]), bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i += 1) bytes[i] = raw.charCodeAt(i);
    return files.imageFromBlob(new Blob([bytes], { type: match[1] }), name);
  };

  // ---- opening ----

  files.open = async (file) => {
    const read = await state.read(await file.text());
    try { table.bridge.apply(read.doc); } catch (fault) {
      table.bridge.apply(state.doc);
      throw fault;
    }
    state.setUnits(read.units);
    state.replace(read.doc);
    table.main.showDocument();
    table.say(read.missing.length ? 'Opened, without ' + read.missing.join(', ') + ', which could not be read.' : 'Opened ' + file.name + '.');
  };

  files.take = async (file) => {
    try {
      if (!file) throw new Error('Nothing was dropped: drop a picture or a saved table.');
      if (/\.json$/i.test(file.name) || file.type === 'application/json') await files.open(file);
      else await table.photo.bring(file);
    } catch (fault) {
      table.say(sentence(fault, file));
    }
  };

  const sentence = (fault, file) => {
    const text = fault.message || 'That did not work.';
    return file && /^this /.test(text) ? file.name + ': ' + text : text;
  };

  function catchDrops() {
    let depth = 0;
    const veil = byId('drop-veil');
    const holdsFile = (event) => [...(event.dataTransfer ? event.dataTransfer.types : [])].includes('Files');
    addEventListener('dragenter', (event) => { if (holdsFile(event)) { depth += 1; veil.hidden = false; } });
    addEventListener('dragleave', () => { depth = Math.max(0, depth - 1); veil.hidden = depth === 0; });
    addEventListener('dragover', (event) => event.preventDefault());
    addEventListener('drop', (event) => {
      event.preventDefault();
      depth = 0;
      veil.hidden = true;
      files.take(event.dataTransfer.files[0]);
    });
    addEventListener('paste', (event) => {
      const file = event.clipboardData && event.clipboardData.files[0];
      if (file) { event.preventDefault(); files.take(file); }
    });
  }

  // ---- taking away ----

  const stem = () => (state.doc.title || 'blank').toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') || 'blank';

  function hand(blob, name) {
    const url = URL.createObjectURL(blob);
    const link = el('a', { href: url, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(url), 20000);
    table.say(name + ' is saved where your browser puts downloads.');
  }

  const pngOf = (canvas) => new Promise((done, failed) => canvas.toBlob((blob) => (blob ? done(blob) : failed(new Error('This picture could not be written.'))), 'image/png'));

  function canvasOf(image) {
    const canvas = el('canvas', { width: image.width, height: image.height });
    canvas.getContext('2d').putImageData(image, 0, 0);
    return canvas;
  }

  // A zip file with its parts stored as they are (PKWARE APPNOTE 4.3): PNG is packed already.
  const kCrc = Uint32Array.from({ length: 256 }, (none, n) => {
    let c = n;
    for (let k = 0; k < 8; k += 1) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
    return c >>> 0;
  });
  function crcOf(bytes) {
    let crc = 0xffffffff;
    for (const byte of bytes) crc = kCrc[(crc ^ byte) & 0xff] ^ (crc >>> 8);
    return (crc ^ 0xffffffff) >>> 0;
  }
  const kDesignBox = { what: 'design', width: 1600, height: 4000 };
  const kFirstDay = 0x21;  // 1 January 1980: no clock in the file

  function header(signature, entry, inDirectory) {
    const size = inDirectory ? 46 : 30, view = new DataView(new ArrayBuffer(size));
    view.setUint32(0, signature, true);
    let at = 4;
    if (inDirectory) { view.setUint16(at, 20, true); at += 2; }
    view.setUint16(at, 20, true);
    view.setUint16(at + 2, 0x800, true);  // names are UTF-8
    view.setUint16(at + 8, kFirstDay, true);
    view.setUint32(at + 10, entry.crc, true);
    view.setUint32(at + 14, entry.bytes.length, true);
    view.setUint32(at + 18, entry.bytes.length, true);
    view.setUint16(at + 22, entry.name.length, true);
    if (inDirectory) view.setUint32(42, entry.offset, true);
    return new Uint8Array(view.buffer);
  }

  async function zipOf(parts) {
    const out = [], directory = [];
    let offset = 0, directorySize = 0;
    for (const [name, blob] of parts) {
      const bytes = new Uint8Array(await blob.arrayBuffer());
      const entry = { name: new TextEncoder().encode(name), bytes, crc: crcOf(bytes), offset };
      const local = header(0x04034b50, entry, false);
      out.push(local, entry.name, bytes);
      offset += local.length + entry.name.length + bytes.length;
      const central = header(0x02014b50, entry, true);
      directory.push(central, entry.name);
      directorySize += central.length + entry.name.length;
    }
    const end = new DataView(new ArrayBuffer(22));
    end.setUint32(0, 0x06054b50, true);
    end.setUint16(8, parts.length, true);
    end.setUint16(10, parts.length, true);
    end.setUint32(12, directorySize, true);
    end.setUint32(16, offset, true);
    return new Blob([...out, ...directory, end.buffer], { type: 'application/zip' });
  }

  /// As it is laid, before it creeps: who reads it again lets it creep.
  function drawnSharp(changed) {
    table.bridge.apply({ ...state.doc, ...changed, dye: { ...state.doc.dye, creep_mm: 0 } });
    try {
      return table.bridge.draw(kDesignBox).image;
    } finally {
      table.bridge.apply(state.doc);
    }
  }

  async function takeDesign() {
    const parts = [['design.png', await pngOf(canvasOf(drawnSharp({})))],
      ['design.toml', new Blob([table.bridge.file('design.toml')], { type: 'text/plain' })],
      ['amounts.txt', new Blob([table.mix.text()], { type: 'text/plain' })]];
    // The ground that design.toml names: without what was painted over it.
    if (state.doc.picture) parts.push(['picture.png', await pngOf(canvasOf(drawnSharp({ layers: [] })))]);
    let number = 0;
    for (const layer of state.doc.layers) {
      if (!layer.on) continue;
      number += 1;
      parts.push(['stencil-' + number + '.png', await pngOf(canvasOf(table.bridge.stencil(layer.id).image))]);
    }
    hand(await zipOf(parts), stem() + '-design.zip');
  }

  async function takePicture() {
    const height = 1200, margin = 60, parts = [
      table.bridge.draw({ what: 'blank', width: 500, height, quick: false, dark: false }).image,
      table.bridge.draw({ what: 'ribbons', width: 800, height, quick: false, dark: false }).image,
      table.bridge.draw({ what: table.pictures.settled.sock === false ? 'fabric' : 'sock', ball: table.pictures.settled.sock === false ? 1 : undefined, width: 1000, height, quick: false, dark: false }).image].map(canvasOf);
    const width = parts.reduce((sum, part) => sum + part.width + margin, margin);
    const canvas = el('canvas', { width, height: height + 230 }), context = canvas.getContext('2d');
    context.fillStyle = '#f4ecdd';
    context.fillRect(0, 0, canvas.width, canvas.height);
    let x = margin;
    for (const part of parts) {
      context.drawImage(part, x, 150 + (height - part.height) / 2);
      x += part.width + margin;
    }
    context.fillStyle = '#2a2320';
    context.font = '46px Georgia, "Times New Roman", serif';
    context.fillText(byId('sentence').textContent, margin, 92, width - 2 * margin);
    context.font = '26px Georgia, "Times New Roman", serif';
    context.fillText(state.doc.title + ', at ' + state.doc.knitting.stitches + ' stitches', margin, height + 200);
    hand(await pngOf(canvas), stem() + '-pictures.png');
  }

  const kTakes = {
    save: () => hand(new Blob([state.asText()], { type: 'application/json' }), stem() + '.loopread.json'),
    design: takeDesign,
    pictures: takePicture,
    yarn: () => hand(new Blob([table.bridge.file('yarn.csv')], { type: 'text/csv' }), stem() + '-yarn.csv'),
    runs: () => hand(new Blob([table.bridge.file('runs.csv')], { type: 'text/csv' }), stem() + '-runs.csv'),
    print: () => print()
  };

  files.begin = () => {
    catchDrops();
    for (const button of document.querySelectorAll('[data-take]')) {
      button.addEventListener('click', async () => {
        try { await kTakes[button.dataset.take](); } catch (fault) { table.say(fault.message); }
      });
    }
    const input = byId('open-file');
    input.addEventListener('change', () => { files.take(input.files[0]); input.value = ''; });
    byId('open').addEventListener('click', () => input.click());
  };

  table.files = files;
})(table);
