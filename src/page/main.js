// Puts the table up: the core, the start design, tabs, keys, and the line that says what went wrong.
(function (table) {
  'use strict';
  const { byId } = table.dom;
  const state = table.state;

  const kSaidMs = 9000;
  let saidTimer = 0, startText = '';

  table.say = (text) => {
    const box = byId('notice');
    byId('notice-text').textContent = text;
    raise(box);
    box.classList.add('is-shown');
    clearTimeout(saidTimer);
    saidTimer = setTimeout(hush, kSaidMs);
  };

  function hush() {
    byId('notice').classList.remove('is-shown');
  }

  /// Above an open dialog too, where the browser knows how.
  function raise(box) {
    if (!box.showPopover) return;
    if (box.matches(':popover-open')) box.hidePopover();
    box.showPopover();
  }

  const main = {};

  main.openTab = (name) => {
    for (const tab of document.querySelectorAll('[role="tab"]')) {
      const chosen = tab.dataset.tab === name;
      tab.setAttribute('aria-selected', String(chosen));
      tab.tabIndex = chosen ? 0 : -1;
      byId('panel-' + tab.dataset.tab).hidden = !chosen;
    }
  };

  function tabs() {
    const all = [...document.querySelectorAll('[role="tab"]')];
    all.forEach((tab, i) => {
      tab.addEventListener('click', () => main.openTab(tab.dataset.tab));
      tab.addEventListener('keydown', (event) => {
        const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
        if (!by) return;
        event.preventDefault();
        const next = all[(i + by + all.length) % all.length];
        main.openTab(next.dataset.tab);
        next.focus();
      });
    });
    main.openTab('layers');
  }

  /// Nothing but the start design is on the table.
  main.isUntouched = () => JSON.stringify(state.doc) === startText;

  main.showDocument = () => {
    byId('title').value = state.doc.title;
    table.pictures.setLook(state.doc.knitting.shape === 'sock' ? 'sock' : 'fabric');
    table.layers.update();
  };

  function keys() {
    addEventListener('keydown', (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
      const typing = event.target.matches && event.target.matches('input[type="text"], input[type="number"]');
      const key = event.key.toLowerCase();
      if (key === 's') { event.preventDefault(); document.querySelector('[data-take="save"]').click(); }
      if (typing) return;
      if (key === 'z' && !event.shiftKey) { event.preventDefault(); state.undo(); }
      if (key === 'y' || (key === 'z' && event.shiftKey)) { event.preventDefault(); state.redo(); }
    });
  }

  function top() {
    byId('undo').addEventListener('click', state.undo);
    byId('redo').addEventListener('click', state.redo);
    byId('title').addEventListener('change', () => state.change((doc) => { doc.title = byId('title').value.slice(0, 80) || 'untitled'; }));
    for (const button of document.querySelectorAll('[data-units]')) button.addEventListener('click', () => state.setUnits(button.dataset.units));
    byId('paint').addEventListener('click', () => {
      if (main.isUntouched()) state.change((doc) => { doc.layers = []; });
      table.tools.press('brush');
      byId('blank-canvas').focus({ preventScroll: true });
    });
    for (const button of document.querySelectorAll('[data-empty]')) button.addEventListener('click', () => {
      state.change((doc) => { doc.layers = []; doc.picture = null; doc.nudge = null; });
      table.say('An empty blank. Undo brings the old one back.');
    });
    byId('notice-close').addEventListener('click', hush);
    const question = byId('start-over');
    byId('ask-start-over').addEventListener('click', () => question.showModal());
    byId('start-over-no').addEventListener('click', () => question.close());
    byId('start-over-yes').addEventListener('click', () => {
      question.close();
      state.forget();
      state.replace(state.harbour());
      main.showDocument();
    });
  }

  function follow(kind) {
    byId('undo').disabled = !state.canUndo();
    byId('redo').disabled = !state.canRedo();
    for (const button of document.querySelectorAll('[data-units]')) button.setAttribute('aria-pressed', String(button.dataset.units === state.units));
    if (document.activeElement !== byId('title')) byId('title').value = state.doc.title;
    const single = state.doc.blank.strands === 1;
    document.body.classList.toggle('has-one-strand', single);
    if (single) document.querySelector('input[name="weigh-ball"][value="1"]').checked = true;
    if (kind === 'live' || kind === 'settled') table.pictures.refresh();
  }

  async function startDocument() {
    const given = byId('start-state').textContent.trim();
    if (!table.reading.isOn) state.keepUnder(given);
    const kept = table.reading.isOn ? table.reading.asLeft(given) : state.kept();
    for (const text of [kept, given]) {
      if (!text) continue;
      try {
        const read = await state.read(text);
        table.bridge.prepare(read.doc);
        table.bridge.apply(read.doc);
        if (text === kept) byId('kept').textContent = 'As you left it.';
        return read;
      } catch (fault) {
        table.say(text === kept ? 'What this browser had kept could not be read; here is a fresh table.' : 'The design in this page could not be read: ' + fault.message);
      }
    }
    return { doc: state.harbour(), units: 'cm' };
  }

  async function begin() {
    table.bridge.wake();
    if (table.reading.isOn) table.reading.begin();
    else table.settings.begin();
    tabs();
    top();
    if (!table.reading.isOn) {
      keys();
      table.photo.begin();
      table.files.begin();
    }
    table.tools.choose('point');
    try {
      await table.bridge.start();
    } catch (fault) {
      byId('sentence').textContent = 'This browser is too old for the table (it has no WebAssembly): open it in a newer one.';
      byId('sentence-more').textContent = String(fault.message || fault);
      return;
    }
    const read = await startDocument();
    startText = JSON.stringify(state.harbour());
    state.doc = read.doc;
    state.units = read.units;
    state.select(state.doc.layers.length ? state.doc.layers[state.doc.layers.length - 1].id : null);
    state.on(follow);
    table.risk.begin();
    table.sure.begin();
    table.weigh.begin();
    if (!table.reading.isOn) {
      table.ways.begin();
      table.bench.begin();
      table.mix.begin();
    }
    table.slow.begin();
    main.showDocument();
    table.pictures.begin();
    follow();
    document.body.classList.remove('is-starting');
    table.slow.want('risk');
    table.slow.want('sure');
    requestAnimationFrame(() => requestAnimationFrame(table.pointing.begin));
  }

  table.main = main;
  begin();
})(table);
