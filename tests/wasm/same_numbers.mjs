// The core in WebAssembly against the program on the command line: the same pictures, the same numbers.
//   node same_numbers.mjs CORE.js PROGRAM SAMPLES
import { execFileSync } from 'child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'fs';
import { tmpdir } from 'os';
import { join } from 'path';
import { loadedCore } from './core.mjs';
import { greyPng } from '../page/png.mjs';
import { decodedPng } from './png.mjs';

const [coreFile, program, samples] = process.argv.slice(2);
const core = await loadedCore(coreFile);
const folder = mkdtempSync(join(tmpdir(), 'same-numbers-'));
const kAllWays = 'gulls.png';  // the slow answers of one picture are enough
let compared = 0, widest = 0;  // band of the risk
const faults = [];

// The program rounds what it writes to so many decimals; beyond that both are double precision throughout.
const near = (what, own, written, decimals) => {
    ++compared;
    const allowed = 0.5 * 10 ** -decimals + 1e-6;
    if (!(Math.abs(own - written) <= allowed)) faults.push(`${what}: ${own}, but the program says ${written}`);
};

const told = (args) => JSON.parse(execFileSync(program, [...args, '--json'], { maxBuffer: 1 << 28 }).toString());
const csv = (file) => {
    const [head, ...rows] = readFileSync(file, 'utf8').trim().split('\n').map((line) => line.split(','));
    return rows.map((row) => Object.fromEntries(row.map((cell, i) => [head[i], cell])));
};
const applied = (name, document) => {
    const answer = core.call('apply', document);
    if (answer.error) throw new Error(`${name}: ${answer.error}`);
};

function compareStrands(name, own, summary) {
    summary.strands.forEach((strand, s) =>
        strand.mean_lab.forEach((value, i) => near(`${name}: mean colour ${s + 1}`, own.balls[s].mean_lab[i], value, 3)));
    near(`${name}: pair`, own.pair.mean_de00, summary.pair.mean_de00, 3);
    near(`${name}: pair, 95 %`, own.pair.p95_de00, summary.pair.p95_de00, 3);
    summary.pair.mean_de00_range.forEach((value, i) => near(`${name}: pair range`, own.pair.mean_de00_range[i], value, 3));
    near(`${name}: rounds a row`, own.rounds_per_row, summary.rounds_per_row, 4);
}

/// Every piece of both strands, as yarn.csv has it.
function compareYarn(name, file) {
    const own = core.call('files', { what: 'yarn.csv' }).text, written = readFileSync(file, 'utf8');
    ++compared;
    if (own === written) return;
    const ownLines = own.split('\n'), lines = written.split('\n');
    if (ownLines.length !== lines.length) faults.push(`${name}: yarn.csv has ${ownLines.length} lines, not ${lines.length}`);
    // Another library's power function may turn the last digit.
    lines.forEach((line, i) => {
        const a = ownLines[i]?.split(',') ?? [], b = line.split(',');
        for (const column of [6, 7, 8])
            if (i > 0 && b.length > 8 && Math.abs(a[column] - b[column]) > 0.00101)
                faults.push(`${name}: yarn.csv line ${i + 1}: ${ownLines[i]} is not ${line}`);
    });
}

function compareShares(name, own, knitted) {
    const decimals = { stripe: 4, pool: 4, dash: 4, speckle: 4, lean: 0, colour_range: 3, fade: 4, wiggle: 4, pooled_contrast: 3 };
    knitted.knitting.balls.forEach((ball, s) => {
        for (const [share, places] of Object.entries(decimals))
            near(`${name}: ${share} of ball ${s + 1}`, own.balls[s].shares[share], ball.look[share], places);
        ++compared;
        if (own.balls[s].sentence !== ball.look.sentence)
            faults.push(`${name}: "${own.balls[s].sentence}", but the program says "${ball.look.sentence}"`);
    });
}

/// @param rows  pooling.csv: the larger risk of the strands at each count
function compareRisk(name, rows) {
    let risk = { done: 0 };
    while (risk.done < 1) {
        risk = core.call('risk_step');
        if (risk.error) throw new Error(`${name}: ${risk.error}`);
    }
    const written = new Map();
    for (const row of rows) {
        const stitches = Number(row.stitches);
        written.set(stitches, Math.max(written.get(stitches) ?? 0, Number(row.pool_risk)));
    }
    ++compared;
    if (risk.points.length !== written.size) faults.push(`${name}: ${risk.points.length} risks, not ${written.size}`);
    for (const point of risk.points) near(`${name}: risk at ${point.stitches}`, point.risk, written.get(point.stitches), 5);
}

/// What other guesses at what was not measured make of it. What to do about it is said with options there, with the
/// page's own fields here.
function compareSureness(name, written) {
    let sure = { done: 0 };
    while (sure.done < 1) {
        sure = core.call('sure_step');
        if (sure.error) throw new Error(`${name}: ${sure.error}`);
    }
    const own = [sure.pools?.dyer, sure.look?.dyer].filter(Boolean).join(' ');
    const plain = (words) => words.replace(/ Most depends on how[^.]*\./g, ' ~').replace(/ Most depends on the yarn[^.]*\./g, ' =');
    ++compared;
    if (plain(own) !== plain(written.sentence)) faults.push(`${name}: "${own}", but the program says "${written.sentence}"`);
    const { p5, p95 } = written.yarn_per_round_mm;
    if (p5 < p95) [p5, p95].forEach((value, i) => near(`${name}: yarn in a round`, sure.round_mm[i], value, 2));
    widest = Math.max(widest, ...sure.bands.map(([low, high]) => high - low));
}

/// All sixteen ways, as lays.csv has them.
function compareWays(name, rows) {
    let ways = { done: 0 };
    while (ways.done < 1) ways = core.call('ways_step');
    for (const row of rows) {
        const own = ways.ways.find((way) =>
            way.rotate === Number(row.rotate) && way.mirror === (row.mirror === '1') && way.painted === row.painted);
        for (const share of ['stripe', 'pool', 'dash', 'speckle', 'pool_risk'])
            near(`${name}: ${share} of way ${row.rotate} ${row.mirror} ${row.painted}`, own[share], Number(row[share]), 5);
        near(`${name}: rank`, own.rank, Number(row.rank), 0);
        near(`${name}: tie`, own.tie, Number(row.tie), 0);
    }
}

function compareNudge(name, written) {
    let nudge = { done: 0 };
    while (nudge.done < 1) nudge = core.call('nudge_step');
    near(`${name}: nudges tried`, nudge.tried, written.tried, 0);
    near(`${name}: risk before`, nudge.risk_before, written.worst_risk_before, 5);
    near(`${name}: risk with the nudge`, nudge.worst_risk, written.worst_risk, 5);
    near(`${name}: change`, nudge.nudge?.change_cm ?? 0, written.change_cm, 3);
    ++compared;
    if (nudge.found !== written.clear) faults.push(`${name}: nudge found ${nudge.found}, not ${written.clear}`);
}

/// A dyed ground with a stencil over it, on square stitches, so that a mask's pixels are the raster's: areas, amounts and
/// how each layer holds.
function compareBench() {
    const [width, height, cm] = [320, 480, 30];  // eight pixels a stitch, 40 x 60 stitches
    const stencil = (x, y) => (((x >> 5) + (y >> 5)) % 3 === 0 ? 0 : 255);
    const file = (name) => join(folder, name);
    writeFileSync(file('all.png'), greyPng(width, height, undefined, () => 0));
    writeFileSync(file('boats.png'), greyPng(width, height, undefined, stencil));
    const dyes = [{ name: 'sea', colour: '#2b6f92', strength: 0.5, penetration: 1 }, { name: 'boats', colour: '#b8402e', strength: 0.1, penetration: 0.3 }];
    const stencils = ['all.png', 'boats.png'];
    writeFileSync(file('bench.toml'), 'undyed = "#f3ede0"\n\n[ground]\ncolour = "#f3ede0"\n' + dyes.map((dye, i) =>
        `\n[[layer]]\nname = "${dye.name}"\nstencil = "${stencils[i]}"\ncolour = "${dye.colour}"\nstrength = ${dye.strength}\npenetration = ${dye.penetration}\n`).join(''));
    const rgba = new Uint8Array(4 * width * height);
    for (let i = 0; i < width * height; ++i) rgba.set([...Array(3).fill(stencil(i % width, Math.floor(i / width))), 255], 4 * i);
    core.setPicture(1, width, height, rgba);
    const depths = [0.4, 2], stocks = [1, 4];
    const mixes = depths.map((depth_pct, i) => ({ depth_pct, stock_pct: stocks[i] }));
    applied('bench', {
        loopread: 1,
        blank: { stitches: 40, rows: 60, width_cm: 20, length_cm: cm, ball_g: 33 },
        layers: [
            { id: 'a', kind: 'bands', width_cm: 900, start_cm: -400, mix: { ...mixes[0], as: 'stock' }, ...dyes[0] },
            { id: 'b', kind: 'motif', shape: 'mask', mask: 1, size_cm: cm, places: [100, 10 * cm / 2], mix: mixes[1], ...dyes[1] },
        ],
    });
    const blank = ['--blank', '40x60', '--size', `20x${cm}cm`];
    let bench = { done: 0 };
    while (bench.done < 1) bench = core.call('bench_step');
    told(['contrast', file('bench.toml'), '-o', file('contrast'), ...blank]).layers.forEach((layer, i) => {
        near(`bench: L* of ${layer.layer}`, bench.layers[i].delta_L, layer.delta_L, 3);
        near(`bench: CIEDE2000 of ${layer.layer}`, bench.layers[i].delta_e00, layer.delta_e00, 3);
        compared += 3;
        if (bench.layers[i].holds !== (layer.verdict === 'holds')) faults.push(`bench: ${layer.layer} holds: ${bench.layers[i].holds}`);
        if (bench.layers[i].motif.hex !== layer.hex) faults.push(`bench: ${bench.layers[i].motif.hex} is not ${layer.hex}`);
        if (bench.layers[i].ground.hex !== layer.beneath) faults.push(`bench: ${bench.layers[i].ground.hex} is not ${layer.beneath}`);
    });
    const mix = core.call('mix', {});
    const dyed = told(['dye', '--design', file('bench.toml'), '--fibre', '66g', '--class', 'acid', ...blank, '--paste', 'boats=2%',
        ...dyes.flatMap((dye, i) => ['--dye', `${dye.name}=${depths[i]}%`, '--stock', `${dye.name}=${stocks[i]}%`])]);
    mix.layers.forEach((layer, i) => {
        near(`mix: share under ${layer.name}`, layer.covered_share, dyed.areas[i].covered_share, 5);
        near(`mix: share that ${layer.name} dyes`, layer.dyed_share, dyed.areas[i].dyed_share, 5);
        near(`mix: yarn of ${layer.name}`, layer.fibre_g, dyed.areas[i].fibre_g, 5);
        near(`mix: depth of ${layer.name}`, layer.dos_pct, dyed.dyes[i].dos_pct, 5);
        near(`mix: stock of ${layer.name}`, layer.stock_ml, dyed.dyes[i].stock_ml, 5);
        near(`mix: dye of ${layer.name}`, layer.dye_g, dyed.dyes[i].dye_g, 5);
    });
    near('mix: bath', mix.bath.l, dyed.bath_l, 5);
    near('mix: vinegar', mix.acid.ml, dyed.acid.ml, 5);
    compared += 2;
    if (mix.cautions.length !== dyed.cautions.length) faults.push(`mix: ${mix.cautions.length} cautions, not ${dyed.cautions.length}`);
    if (mix.layers.length !== 2 || bench.layers.length !== 2) faults.push('bench: a layer is missing');
}

/// A design of stencils over a bath: the page that preview writes must tell what the sheet beside it tells. It takes
/// bath and stencils from pictures of 8 bits, so the figures are near, the words the same.
function comparePreview() {
    const kEightBits = { share: 0.005, lab: 0.1 };
    const out = join(folder, 'preview');
    const sheet = told(['preview', join(samples, 'lanterns.toml'), '-o', out, '--knitters', '20']);
    const page = readFileSync(join(out, 'index.html'), 'utf8');
    const { pictures, units, ...document } = JSON.parse(page.match(/id="start-state"[^>]*>([^]*?)<\/script>/)[1]);
    const laid = (slot, key) => {
        const file = join(folder, 'layer.png');
        writeFileSync(file, Buffer.from(pictures[key].data.split(',')[1], 'base64'));
        const { width, height, rgba } = decodedPng(file);
        core.setPicture(slot, width, height, rgba);
    };
    laid(0, document.picture.image);
    document.layers = document.layers.map((layer, i) => { laid(i + 1, layer.image); return { ...layer, mask: i + 1 }; });
    applied('preview', { ...document, chance: { knitters: 20 } });
    const own = core.call('told');
    sheet.knitting.balls.forEach((ball, i) => {
        compared += 2;
        if (own.balls[i].sentence !== ball.look.sentence)
            faults.push(`preview: the page says "${own.balls[i].sentence}", the sheet "${ball.look.sentence}"`);
        for (const share of ['stripe', 'pool', 'dash', 'speckle'])
            if (!(Math.abs(own.balls[i].shares[share] - ball.look[share]) < kEightBits.share))
                faults.push(`preview: ${share} ${own.balls[i].shares[share]} on the page, ${ball.look[share]} on the sheet`);
    });
    sheet.strands.forEach((strand, i) => strand.mean_lab.forEach((value, j) => {
        ++compared;
        if (!(Math.abs(own.balls[i].mean_lab[j] - value) < kEightBits.lab))
            faults.push(`preview: mean colour ${own.balls[i].mean_lab[j]} on the page, ${value} on the sheet`);
    }));
    let sure = { done: 0 };
    while (sure.done < 1) sure = core.call('sure_step');
    ++compared;
    if (!sheet.how_sure.sentence.startsWith(sure.look.dyer.split(' Most')[0]))
        faults.push(`preview: the page says "${sure.look.dyer}", the sheet "${sheet.how_sure.sentence}"`);
}

try {
    comparePreview();
    compareBench();
    for (const file of readdirSync(samples).filter((name) => name.endsWith('.png') && !name.includes('stencil'))) {
        const path = join(samples, file), out = join(folder, file);
        const { width, height, rgba } = decodedPng(path);
        core.setPicture(0, width, height, rgba);
        const document = {
            loopread: 1,
            picture: { name: file, kind: 'design' },
            knitting: { stitches: 64, shape: 'flat', worked: 'round' },
            chance: { knitters: 20 },
            seed: 1,
        };
        applied(file, document);
        const own = core.call('told');
        compareStrands(file, own, told(['unravel', path, '-o', out]));
        compareYarn(file, join(out, 'yarn.csv'));
        compareShares(file, own, told(['knit', path, '-o', out + '.png', '--stitches', '64']));
        const pooling = told(['pooling', path, '-o', out, '--stitches', '64', '--knitters', '20']);
        compareRisk(file, csv(join(out, 'pooling.csv')));
        compareSureness(file, pooling.how_sure);
        if (file === kAllWays) {
            const lays = told(['lay', path, '-o', out, '--stitches', '64', '--knitters', '20', '--nudge']);
            compareWays(file, csv(join(out, 'lays.csv')));
            compareNudge(file, lays.nudge);
        }

        // Turned a quarter, painted on the purl side, other measures, the far end first.
        applied(file, {
            ...document,
            way: { rotate: 90, mirror: true },
            blank: { stitches: 40, rows: 180, width_cm: 20, length_cm: 70, painted: 'back', tail: 'right' },
            dye: { wrap: 0.5, creep_mm: 1 },
            picture: { ...document.picture, ground: '#ddccbb', penetration: 0.2 },
            knitting: { ...document.knitting, stitches: 60, start: 'far-end', gauge_stitches: 30, gauge_rows: 40 },
            seed: 3,
        });
        const blank = ['--blank', '40x180', '--size', '20x70cm', '--painted', 'back', '--tail', 'right', '--rotate', '90', '--mirror',
            '--wrap', '0.5', '--creep', '1mm', '--ground', '#ddccbb', '--penetration', '0.2', '--seed', '3'];
        const knitting = ['--stitches', '60', '--start', 'far-end', '--gauge', '30x40'];
        const turned = core.call('told');
        compareStrands(file + ' turned', turned, told(['unravel', path, '-o', out, ...blank, ...knitting]));
        const knitted = told(['knit', path, '-o', out + '.png', ...blank, ...knitting]);
        compareShares(file + ' turned', turned, knitted);
        compareSureness(file + ' turned', knitted.how_sure);
    }
} finally {
    rmSync(folder, { recursive: true });
}
if (!(widest > 0.2)) faults.push(`no band of the risk is wider than ${widest}`);
if (compared < 500) faults.push(`only ${compared} numbers were compared`);
faults.slice(0, 20).forEach((fault) => console.error(fault));
console.log(`${compared} numbers compared, ${faults.length} differ`);
process.exit(faults.length === 0 ? 0 : 1);
