// Whatever document the core is handed, it answers in JSON, goes on, and keeps its last good state.
//   node any_document.mjs CORE.js [HOW MANY]
import { loadedCore } from './core.mjs';

const [coreFile, howMany = '400'] = process.argv.slice(2);
const core = await loadedCore(coreFile);
const faults = [];
let refused = 0, taken = 0;

// SplitMix64's little brother: the same documents every time.
let seed = 12345;
const random = () => {
    seed = (seed + 0x6d2b79f5) | 0;
    let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
};
const oneOf = (list) => list[Math.floor(random() * list.length)];

const good = {
    loopread: 1, title: 'harbour', unknown: { a: [1] },
    blank: { stitches: 12, rows: 20, width_cm: 6.2, length_cm: 8, strand_m: 5, strands: 2, ball_g: 5, construction: 'flat', tail: 'left', painted: 'face', undyed: '#f3ede0' },
    picture: { name: 'x', kind: 'design', fit: 'stretch', ravel_edge: 'top', corners: null, ground: 'undyed', penetration: 0.4, count: true },
    layers: [
        { id: 'a', kind: 'dip', name: 'sea', colour: '#2f7d9b', strength: 1, penetration: 1, on: true, mix: { depth_pct: 1, stock_pct: 2, as: 'paste', paste_pct: null }, edge: 'ravel', level: 0.5, fade_cm: 2 },
        { id: 'b', kind: 'bands', colour: '#397', along: 'rows', width_cm: 1, gap_cm: 1, start_cm: 0, slant_deg: 3, soft_cm: 0.1 },
        { id: 'c', kind: 'dots', size_cm: 0.6, spacing_cm: 1, jitter: 0.5, seed: 7 },
        { id: 'd', kind: 'brush', strokes: [{ width_cm: 0.5, soft: 0.3, points: [1, 2, 30, 40] }] },
        { id: 'e', kind: 'motif', shape: 'leaf', size_cm: 2, turn_deg: 10, repeat: { across_cm: 2, along_cm: 2, stagger: 0.5 }, places: [1, 2], way: { rotate: 90, mirror: true } },
        { id: 'f', kind: 'motif', shape: 'mask', mask: 1, size_cm: 2, repeat: null, places: [20, 20] },
    ],
    way: { rotate: 0, mirror: false }, nudge: null,
    dye: { wrap: 0.7, creep_mm: 2, strike: 0.6 }, mix: { balls: 2, class: 'acid', acid: 'vinegar', acid_pct: 5, ratio: 30 },
    knitting: { stitches: 20, gauge_stitches: 32, gauge_rows: 42, yarn_per_round_cm: null, shape: 'flat', heel: 'flap', foot_cm: null, leg_cm: null, start: 'ravel-end', worked: 'round' },
    chance: { knitters: 5 }, seed: 1,
};
const odd = [null, true, false, 0, -1, 1e308, -1e308, 0.5, 3, 64, 2 ** 53, 1e-300, '', 'x', '#12', '#gggggg', '\u0000', '\ud800', 'flat', 'mask',
    [], [1], [[]], [null], ['a'], {}, { a: 1 }, [1e9, 1e9], 90, 45, 'sock', 31, 100000];

/// All places of a value, as paths.
function places(value, path = []) {
    const here = [path];
    if (value && typeof value === 'object')
        for (const key of Object.keys(value)) here.push(...places(value[key], [...path, key]));
    return here;
}

function changed(document) {
    const copy = structuredClone(document);
    for (let n = 1 + Math.floor(random() * 3); n > 0; --n) {
        const path = oneOf(places(copy).filter((p) => p.length > 0));
        const holder = path.slice(0, -1).reduce((value, key) => value?.[key], copy);
        if (!holder || typeof holder !== 'object') continue;
        if (random() < 0.15) delete holder[path.at(-1)];
        else holder[path.at(-1)] = oneOf(odd);
    }
    return copy;
}

const sentence = (text) => typeof text === 'string' && /^[^\n]{3,400}$/.test(text) && text.includes(':');
function answered(what, answer) {
    if (answer === null || typeof answer !== 'object') faults.push(`${what}: is no object`);
    else if ('error' in answer && !sentence(answer.error)) faults.push(`${what}: says "${answer.error}"`);
    else if ('error' in answer && /internal fault/.test(answer.error)) faults.push(`${what}: ${answer.error}`);
    return !('error' in answer);
}
function tried(what, name, object) {
    try {
        return answered(what, typeof object === 'string' ? core.callText(name, object) : core.call(name, object));
    } catch (fault) {
        faults.push(`${what}: ${fault}`);
        return false;
    }
}

const nothingYet = core.call('told');
if (!('error' in nothingYet)) faults.push('told before any document: no error');
core.setPicture(0, 3, 4, Uint8Array.from({ length: 48 }, (_, i) => 5 * i));
core.setPicture(1, 2, 2, Uint8Array.from({ length: 16 }, (_, i) => (i % 4 === 3 ? 255 : 60 * (i >> 2))));
if (!tried('the good document', 'apply', good)) throw new Error(JSON.stringify(core.call('apply', good)));
const before = JSON.stringify(core.call('told'));

for (let i = 0; i < Number(howMany); ++i) {
    const document = changed(good), text = JSON.stringify(document);
    if (!tried(text, 'apply', document)) {
        ++refused;
        continue;
    }
    ++taken;
    tried(text + ' told', 'told');
    for (const what of ['blank', 'ribbons', 'fabric', 'sock', 'design'])
        tried(`${text} ${what}`, 'draw', { what, width: 60, height: 80, quick: random() < 0.7 });
    tried(text + ' risk', 'risk_step');
    tried(text + ' sure', 'sure_step');
    tried(text + ' bench', 'bench_step');
    tried(text + ' mix', 'mix', { units: random() < 0.5 ? 'us' : 'metric' });
    for (const order of ['dipped-first', 'stencilled-first'])
        tried(`${text} ${order}`, 'draw', { what: 'order', order, width: 20, height: 60 });
    tried(text + ' place', 'place', { blank: { x_mm: 10, y_mm: 10 } });
}
// Texts that are no documents, whole ones cut short, and requests of all kinds.
for (const text of ['', '{', '[]', 'null', '"x"', '{"a":', '['.repeat(5000), '{"blank":'.repeat(2000), JSON.stringify(good).slice(0, 300), '\u00ff\u0000'])
    if (tried(text.slice(0, 40), 'apply', text)) faults.push(`${text.slice(0, 40)}: was taken for a document`);
if (!tried('the good document again', 'apply', good)) faults.push('the good document is refused at the end');
for (const name of ['draw', 'place', 'weigh', 'mix', 'files'])
    for (let i = 0; i < 60; ++i) {
        const fields = ['what', 'width', 'height', 'ball', 'quick', 'from_round', 'way', 'lines', 'blank', 'yarn', 'fabric', 'sock', 'drawn', 'mm', 'grams_left', 'from_full_g', 'layer', 'order', 'units'];
        const request = {};
        for (let n = 0; n < 4; ++n) request[oneOf(fields)] = oneOf([...odd, 'fabric', 'blank', { mm: 5 }, { x_mm: 1, y_mm: 1 }, { round: 1, stitch: 2 }, { x: 1, y: 1 }, 200,
            { pixels_per_cm: 14, socks: [{ ball: 1, x: 0, y: 0, width: 90, height: 120 }] }, { pixels_per_cm: 0, socks: [] }, { pixels_per_cm: 9, socks: [7] }]);
        tried(`${name} ${JSON.stringify(request)}`, name, request);
    }
for (const [slot, width, height] of [[-1, 1, 1], [99, 1, 1], [2, 100, 100], [2, -5, 3], [2, 1 << 20, 1 << 20]]) core.setPicture(slot, width, height, new Uint8Array(8));
if (JSON.stringify(core.call('told')) !== before) faults.push('the good document tells something else than at first');
if (refused < Number(howMany) / 10 || taken < Number(howMany) / 10) faults.push(`${refused} refused, ${taken} taken: the documents try too little`);

faults.slice(0, 20).forEach((fault) => console.error(fault.slice(0, 700)));
console.log(`${taken} documents taken, ${refused} refused, ${faults.length} faults`);
process.exit(faults.length === 0 ? 0 : 1);
