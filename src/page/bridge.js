// Calls into the core. The page has one core for what must be quick; a second one, in a worker, for what takes its time.
(function (table) {
  'use strict';

  /// One core with its texts and pictures. Also runs inside the worker, so it uses nothing of the page.
  function makeDesk(core) {
    const encoder = new TextEncoder(), decoder = new TextDecoder();
    const slots = new Map();  // slot -> key of the picture that lies there

    function put(bytes) {
      const at = core._lr_room(bytes.length + 1);
      core.HEAPU8.set(bytes, at);
      core.HEAPU8[at + bytes.length] = 0;
      return at;
    }

    function heard(at) {
      let end = at;
      while (core.HEAPU8[end] !== 0) end += 1;
      const answer = JSON.parse(decoder.decode(core.HEAPU8.slice(at, end)));
      if (answer && typeof answer.error === 'string') throw new Error(answer.error);
      return answer;
    }

    const asked = (name, request) =>
      heard(request === undefined ? core['_' + name]() : core['_' + name](put(encoder.encode(JSON.stringify(request)))));

    /// wanted: slot -> {key, width, height, bytes}
    function lay(wanted) {
      for (const slot of [...slots.keys()]) {
        if (wanted.has(slot)) continue;
        heard(core._lr_set_picture(slot, 0, 0));
        slots.delete(slot);
      }
      for (const [slot, picture] of wanted) {
        if (slots.get(slot) === picture.key) continue;
        put(picture.bytes);
        heard(core._lr_set_picture(slot, picture.width, picture.height));
        slots.set(slot, picture.key);
      }
    }

    /// The pixels lie in the core's own memory: good until it is asked anything else.
    function sight(request) {
      const told = asked('lr_draw', request);
      return { told, bytes: new Uint8ClampedArray(core.HEAPU8.buffer, core._lr_pixels(), 4 * told.width * told.height) };
    }

    function draw(request) {
      const { told, bytes } = sight(request);
      return { told, bytes: bytes.slice() };
    }

    function stencil(layer) {
      const told = asked('lr_files', { what: 'stencil', layer });
      const at = core._lr_pixels();
      return { told, bytes: new Uint8ClampedArray(core.HEAPU8.slice(at, at + 4 * told.width * told.height).buffer) };
    }

    return { lay, sight, draw, stencil, asked };
  }

  /// The patient half: steps through one long question at a time, and drops it when another document comes.
  function makePatience(post, desk) {
    let turn = 0;
    let known = new Map();  // key -> picture: one that was sent is not sent again
    const rest = () => new Promise((go) => setTimeout(go, 0));

    async function answer(what, mine) {
      const name = { risk: 'lr_risk_step', sure: 'lr_sure_step', ways: 'lr_ways_step', nudge: 'lr_nudge_step', bench: 'lr_bench_step' }[what];
      let told, shown = 0;
      do {
        told = desk.asked(name);
        if (told.done >= 1 || Date.now() - shown > 100) {
          post({ what, told, turn: mine });
          shown = Date.now();
        }
        await rest();
      } while (turn === mine && told.done < 1);
      if (what !== 'ways' || turn !== mine) return;
      riskAgain(mine);
      for (let index = 0; index < told.ways.length; index += 1) {
        const drawn = desk.draw({ what: 'way', way: index, width: 220, height: 150, ball: 1, quick: true, dark: false });
        post({ what: 'way-picture', index, width: drawn.told.width, height: drawn.told.height, bytes: drawn.bytes, turn: mine });
        await rest();
        if (turn !== mine) return;
      }
    }

    /// The same layers in both orders.
    async function orders(mine) {
      const size = { what: 'order', width: 132, height: 400 };
      const dipped = desk.draw({ ...size, order: 'dipped-first' });
      await rest();
      if (turn !== mine) return;
      post({ what: 'orders', told: { done: 1 }, drawn: [dipped, desk.draw({ ...size, order: 'stencilled-first' })], turn: mine });
    }

    /// What would help most is known only with the ways.
    function riskAgain(mine) {
      try {
        const told = desk.asked('lr_risk_step');
        if (told.done >= 1) post({ what: 'risk', told, turn: mine });
      } catch { /* where no risk can be told that was said already */ }
    }

    /// The socks first, then the words.
    function sketch(message) {
      const { turn, request, words } = message;
      if (request) post({ what: 'socks', drawn: desk.draw(request), request, turn });
      post({ what: 'sketch', told: words ? desk.asked('lr_told') : null, turn });
    }

    return async function (message) {
      turn = message.turn;
      known = new Map(message.pictures.map((picture) => [picture.key, picture.bytes ? picture : known.get(picture.key)]));
      const laid = new Map(message.pictures.map((picture) => [picture.slot, { ...known.get(picture.key), slot: picture.slot }]));
      await rest();
      if (turn !== message.turn) return;
      for (const what of message.questions) {
        try {
          desk.lay(laid);
          desk.asked('lr_apply', message.doc);
          if (what === 'sketch') sketch(message);
          else if (what === 'mix') post({ what, told: desk.asked('lr_mix', message.mix), turn: message.turn });
          else if (what === 'orders') await orders(message.turn);
          else if (what !== 'prepare') await answer(what, message.turn);
        } catch (fault) {
          post({ what, fault: fault.message, turn: message.turn });
        }
        if (turn !== message.turn) return;
      }
    };
  }

  const bridge = {};
  let desk = null, helper = null, turn = 0;
  let whole = null, sentKeys = new Set();  // what the helper was asked last, and which pictures it has
  const listeners = new Map();

  /// The document as the core takes it, and the pictures that belong to it, each in its slot.
  function parcel(doc) {
    const wanted = new Map(), slotOf = new Map();
    const laid = (slot, key) => {
      const image = table.state.images.get(key);
      if (image) wanted.set(slot, { slot, key, width: image.width, height: image.height, bytes: image.pixels.data });
    };
    if (doc.picture) laid(0, doc.picture.image);
    const layers = doc.layers.map((layer) => {
      if (layer.kind !== 'motif') return layer;
      if (layer.shape !== 'mask') return { ...layer, image: undefined, mask: null };
      if (!slotOf.has(layer.image)) {
        slotOf.set(layer.image, slotOf.size + 1);
        laid(slotOf.get(layer.image), layer.image);
      }
      return { ...layer, image: undefined, mask: slotOf.get(layer.image) };
    });
    const picture = doc.picture ? { ...doc.picture, image: undefined } : null;
    return { doc: { ...doc, picture, layers }, pictures: wanted };
  }

  bridge.start = async () => {
    desk = makeDesk(await loopread_core());
    return desk.asked('lr_version');
  };

  bridge.apply = (doc) => {
    const sent = parcel(doc);
    desk.lay(sent.pictures);
    return desk.asked('lr_apply', sent.doc).settled || {};
  };
  bridge.told = () => desk.asked('lr_told');
  bridge.place = (request) => desk.asked('lr_place', request);
  bridge.weigh = (request) => desk.asked('lr_weigh', request);
  bridge.mix = (request) => desk.asked('lr_mix', request);
  bridge.file = (what) => desk.asked('lr_files', { what }).text;

  const asImage = ({ told, bytes }) => ({ told, image: new ImageData(bytes, told.width, told.height) });
  bridge.draw = (request) => asImage(desk.draw(request));
  /// To be put on a canvas at once: the next question to the core may draw over it.
  bridge.sight = (request) => asImage(desk.sight(request));
  bridge.stencil = (layer) => asImage(desk.stencil(layer));

  // ---- the worker; where the browser allows none, the same steps run here between two frames ----

  function startHelper() {
    const heard = (message) => {
      if (message.turn !== turn) return;
      const listener = listeners.get(message.what);
      if (listener) listener(message);
    };
    const here = () => {
      const coming = loopread_core().then((core) => makePatience(heard, makeDesk(core)));
      return { send: (message) => coming.then((take) => take(message)) };
    };
    try {
      const text = table.dom.byId('core').textContent + '\n' + makeDesk + '\n' + makePatience + '\n' +
        'const coming = loopread_core().then((core) => makePatience((message) => postMessage(message), makeDesk(core)));\n' +
        'onmessage = (event) => coming.then((take) => take(event.data));';
      const url = URL.createObjectURL(new Blob([text], { type: 'text/javascript' }));
      const worker = new Worker(url);
      const chosen = { send: (message) => worker.postMessage(message) };
      worker.onmessage = (event) => heard(event.data);
      worker.onerror = () => {
        worker.terminate();
        const stand = here();
        chosen.send = stand.send;
        if (whole) stand.send(whole);
      };
      return chosen;
    } catch {
      return here();
    }
  }

  bridge.listen = (what, listener) => { listeners.set(what, listener); };

  function send(doc, questions, more) {
    bridge.wake();
    turn += 1;
    const sent = parcel(doc);
    const pictures = [...sent.pictures.values()];
    whole = { turn, questions, ...more, doc: JSON.parse(JSON.stringify(sent.doc)), pictures };
    helper.send({ ...whole, pictures: pictures.map((picture) => (sentKeys.has(picture.key) ? { ...picture, bytes: null } : picture)) });
    sentKeys = new Set(pictures.map((picture) => picture.key));
  }

  /// Has the second core made ready before it is asked anything.
  bridge.wake = () => { if (!helper) helper = startHelper(); };

  /// A document that will be asked about soon.
  bridge.prepare = (doc) => send(doc, ['prepare']);

  // A sketch is never dropped, only overtaken: the next one goes out when it is back, and slow questions wait for it.
  let sketching = false, nextSketch = null, onSketch = null, onFree = null;

  function sketchIsBack(message) {
    sketching = false;
    onSketch(message);
    if (nextSketch) {
      const { doc, more } = nextSketch;
      nextSketch = null;
      bridge.sketch(doc, more);
    } else {
      onFree();
    }
  }

  /// Has a picture (request) and the words, if wanted, worked out beside the page, of the latest document first.
  bridge.sketch = (doc, more) => {
    if (sketching) {
      nextSketch = { doc, more: { ...more, words: more.words || Boolean(nextSketch && nextSketch.more.words) } };
      return;
    }
    sketching = true;
    send(doc, ['sketch'], more);
  };
  bridge.isSketching = () => sketching || nextSketch !== null;
  bridge.onFree = (listener) => { onFree = listener; };
  bridge.onSketch = (listener) => { onSketch = listener; listeners.set('sketch', sketchIsBack); };

  /// Asks the slow questions about a document, in order; what was asked before is dropped. A sketch drops them too: ask
  /// again when the helper is free.
  bridge.ask = (doc, questions, more) => { if (!sketching) send(doc, questions, more); };

  table.bridge = bridge;
})(table);
