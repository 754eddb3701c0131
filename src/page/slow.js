// The questions that take seconds: asked again when the table has been quiet for a moment.
(function (table) {
  'use strict';
  const kQuietMs = 600;
  const kOrder = ['risk', 'ways', 'nudge'];

  const slow = { starts: new Map() };
  const wanted = new Set(), done = new Set();
  let timer = 0;

  function go() {
    timer = 0;
    const questions = kOrder.filter((what) => wanted.has(what) && !done.has(what));
    if (questions.length) table.bridge.ask(table.state.doc, questions);
  }

  /// From now on this question is kept answered; a nudge only for the document as it is now.
  slow.want = (what) => {
    if (wanted.has(what) && !done.has(what)) return;
    wanted.add(what);
    done.delete(what);
    clearTimeout(timer);
    timer = setTimeout(go, 30);
  };

  slow.begin = () => {
    table.bridge.onFree(() => { if (!timer) go(); });
    table.state.on((kind) => {
      if (kind !== 'settled' && kind !== 'live') return;
      done.clear();
      wanted.delete('nudge');
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
      heard(message.fault ? null : message.told, message.fault);
    });
  };

  table.slow = slow;
})(table);
