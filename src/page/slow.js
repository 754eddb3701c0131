// The questions that take seconds: asked again when the table has been quiet for a moment.
(function (table) {
  'use strict';
  const kQuietMs = 600;
  const kOrder = ['bench', 'orders', 'mix', 'risk', 'sure', 'ways', 'nudge'];  // how sure the risk is can be told once it is known
  const kOfNow = ['orders', 'nudge'];  // for the document as it is, not for the next one

  const slow = { starts: new Map() };
  const wanted = new Set(), done = new Set();
  let timer = 0;

  function go() {
    timer = 0;
    const questions = kOrder.filter((what) => wanted.has(what) && !done.has(what));
    if (questions.length) table.bridge.ask(table.state.doc, questions, { mix: table.mix.request() });
  }

  /// From now on this question is kept answered; some only for the document as it is now.
  slow.want = (what) => {
    if (wanted.has(what) && !done.has(what)) return;
    wanted.add(what);
    done.delete(what);
    clearTimeout(timer);
    timer = setTimeout(go, 30);
  };

  /// Nobody looks at the answer any more.
  slow.drop = (what) => { wanted.delete(what); };

  /// Asks again what depends on more than the document.
  slow.again = (what) => {
    done.delete(what);
    if (wanted.has(what)) slow.want(what);
  };

  slow.begin = () => {
    table.bridge.onFree(() => { if (!timer) go(); });
    table.state.on((kind) => {
      if (kind !== 'settled' && kind !== 'live') return;
      done.clear();
      for (const what of kOfNow) wanted.delete(what);
      for (const start of slow.starts.values()) start();
      clearTimeout(timer);
      timer = setTimeout(go, kQuietMs);
    });
  };

  /// begins: what is shown is of an older document. heard: an answer, perhaps not the last.
  slow.on = (what, begins, heard) => {
    slow.starts.set(what, begins);
    table.bridge.listen(what, (message) => {
      if (message.fault || message.told.done >= 1) done.add(what);
      heard(message.fault ? null : message.told, message.fault, message);
    });
  };

  table.slow = slow;
})(table);
