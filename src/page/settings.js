// How it is knitted, and the blank itself, in a dyer's words.
(function (table) {
  'use strict';
  const { byId, el } = table.dom;
  const f = table.fields;
  const part = (name, key) => ({ get: (doc) => doc[name][key], set: (doc, value) => { doc[name][key] = value; } });
  const settled = (key) => () => table.pictures.settled[key];
  const percent = (share) => Math.round(share * 100) + ' %';

  function knittingPanel() {
    const k = (key) => part('knitting', key);
    const shape = f.choice({ label: 'Knitted as', get: (doc) => doc.knitting.shape, set: (doc, value) => {
      doc.knitting.shape = value;
      if (value === 'sock') doc.knitting.worked = 'round';
      table.pictures.setLook(value === 'sock' ? 'sock' : 'fabric');
    }, options: [['sock', 'socks', 'sock'], ['flat', 'plain fabric', 'fabric']] });
    const heel = f.choice({ label: 'Heel', ...k('heel'), options: [['flap', 'flap'], ['short-row', 'short rows'], ['afterthought', 'put in last']] });
    const worked = f.choice({ label: 'Worked', ...k('worked'), options: [['round', 'in the round'], ['back-and-forth', 'back and forth']] });
    const bySize = [
      f.number({ label: 'Leg', unit: 'cm', ...k('leg_cm'), min: 1, max: 60, step: 0.5, settled: settled('leg_cm') }),
      f.number({ label: 'Foot', unit: 'cm', ...k('foot_cm'), min: 5, max: 40, step: 0.5, settled: settled('foot_cm') })
    ];
    const size = f.folded('Sock size', 'Left empty, it is an ordinary sock.', ...bySize);
    const list = [
      f.number({ label: 'Stitches in a round', ...k('stitches'), min: 16, max: 200, step: table.settings.stitchStep, whole: true, leap: 4, leaps: true }),
      shape, heel, worked,
      f.choice({ label: 'Which end is knitted first', ...k('start'), options: [['ravel-end', 'the ravel edge'], ['far-end', 'the far end']] }),
      f.number({ label: 'Yarn in one round', unit: 'cm', ...k('yarn_per_round_cm'), min: 10, max: 400, step: 0.5, settled: settled('yarn_per_round_cm'),
        hint: 'Mark the yarn, knit a round, unpick, measure: nothing decides more where colours meet.' }),
      f.number({ label: 'Stitches in 10 cm', ...k('gauge_stitches'), min: 10, max: 60, step: 0.5, settled: settled('gauge_stitches') }),
      f.number({ label: 'Rows in 10 cm', ...k('gauge_rows'), min: 10, max: 90, step: 0.5, settled: settled('gauge_rows') })
    ];
    const crowd = f.number({ label: 'Knitters to imagine', ...part('chance', 'knitters'), min: 20, max: 1000, step: 10, whole: true });
    const show = { update: () => {
      const sock = table.state.doc.knitting.shape === 'sock';
      heel.hidden = size.hidden = !sock;
      worked.hidden = sock;
    } };
    byId('panel-knitting').append(...list, size, f.folded('How many customers', 'More give a surer answer and take longer.', crowd));
    f.panel(byId('panel-knitting'), [...list, ...bySize, crowd, show]);
  }

  function blankPanel() {
    const b = (key) => part('blank', key);
    const list = [
      f.number({ label: 'Stitches across', ...b('stitches'), min: 4, max: 400, step: 1, whole: true, leap: 10, settled: settled('stitches') }),
      f.number({ label: 'Rows', ...b('rows'), min: 4, max: 2000, step: 1, whole: true, leap: 10, settled: settled('rows') }),
      f.number({ label: 'Width', unit: 'cm', ...b('width_cm'), min: 2, max: 200, step: 0.5, settled: settled('width_cm') }),
      f.number({ label: 'Length', unit: 'cm', ...b('length_cm'), min: 2, max: 500, step: 0.5, settled: settled('length_cm') }),
      f.number({ label: 'Yarn in one ball', unit: 'm', ...b('strand_m'), min: 2, max: 3000, step: 1, settled: settled('strand_m') }),
      f.number({ label: 'Weight of one ball', unit: 'g', ...b('ball_g'), min: 1, max: 1000, step: 1 })
    ];
    const strands = f.choice({ label: 'Knitted from', get: (doc) => String(doc.blank.strands), set: (doc, value) => { doc.blank.strands = Number(value); },
      options: [['2', 'two strands: a pair'], ['1', 'one strand']] });
    const painted = f.choice({ label: 'Painted on', ...b('painted'), options: [['face', 'knit side', 'knit-side'], ['back', 'purl side', 'purl-side']] });
    const undyed = f.colour({ label: 'Undyed yarn', ...b('undyed'), pots: false });
    const apart = [
      f.choice({ label: 'Made', ...b('construction'), options: [['flat', 'flat'], ['tube', 'as a tube']] }),
      f.choice({ label: 'Loose end at the ravel edge hangs', ...b('tail'), options: [['left', 'left'], ['right', 'right']] })
    ];
    const dye = [
      f.slider({ label: 'Goes round the thread', ...part('dye', 'wrap'), min: 0, max: 1, step: 0.05, words: percent }),
      f.number({ label: 'Creeps sideways before it sets', unit: 'mm', ...part('dye', 'creep_mm'), min: 0, max: 30, step: 0.5 })
    ];
    byId('panel-blank').append(el('div', { class: 'pairs' }, ...list), strands, painted, undyed,
      f.folded('How it comes apart', 'Left alone: a flat blank, its loose end at the left.', ...apart),
      f.folded('How the dye behaves', 'Guesses nobody has measured: ravel a corner and set them by what you see.', ...dye));
    f.panel(byId('panel-blank'), [...list, strands, painted, undyed, ...apart, ...dye]);
  }

  table.settings = {
    begin() { knittingPanel(); blankPanel(); },
    /// Socks are cast on in fours.
    stitchStep: () => (table.state.doc.knitting.shape === 'sock' ? 4 : 1)
  };
})(table);
