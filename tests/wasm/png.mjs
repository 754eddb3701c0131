// Plain PNG pictures of 8 bits, grey or RGB with or without alpha, not interlaced: what samples/ holds. [PNG 2003]
import { readFileSync } from 'fs';
import { inflateSync } from 'zlib';

const kChannels = { 0: 1, 2: 3, 4: 2, 6: 4 };

function paeth(left, up, corner) {
    const guess = left + up - corner;
    const toLeft = Math.abs(guess - left), toUp = Math.abs(guess - up), toCorner = Math.abs(guess - corner);
    if (toLeft <= toUp && toLeft <= toCorner) return left;
    return toUp <= toCorner ? up : corner;
}

export function decodedPng(file) {
    const bytes = readFileSync(file);
    let header = null;
    const packed = [];
    for (let at = 8; at < bytes.length;) {
        const length = bytes.readUInt32BE(at), name = bytes.toString('latin1', at + 4, at + 8);
        const data = bytes.subarray(at + 8, at + 8 + length);
        if (name === 'IHDR') header = data;
        if (name === 'IDAT') packed.push(data);
        at += 12 + length;
    }
    const width = header.readUInt32BE(0), height = header.readUInt32BE(4);
    const channels = kChannels[header[9]];
    if (header[8] !== 8 || !channels || header[12] !== 0) throw new Error(file + ': is a PNG of another kind');
    const raw = inflateSync(Buffer.concat(packed)), line = width * channels;
    const plain = Buffer.alloc(line * height);
    for (let y = 0; y < height; ++y) {
        const filter = raw[y * (line + 1)];
        for (let i = 0; i < line; ++i) {
            const left = i < channels ? 0 : plain[y * line + i - channels];
            const up = y === 0 ? 0 : plain[(y - 1) * line + i];
            const corner = y === 0 || i < channels ? 0 : plain[(y - 1) * line + i - channels];
            const added = [0, left, up, (left + up) >> 1, paeth(left, up, corner)][filter];
            plain[y * line + i] = raw[y * (line + 1) + 1 + i] + added;
        }
    }
    const rgba = new Uint8Array(4 * width * height);
    for (let i = 0; i < width * height; ++i) {
        const pixel = plain.subarray(i * channels, (i + 1) * channels);
        const colour = channels < 3 ? [pixel[0], pixel[0], pixel[0]] : [pixel[0], pixel[1], pixel[2]];
        rgba.set([...colour, channels % 2 === 0 ? pixel[channels - 1] : 255], 4 * i);
    }
    return { width, height, rgba };
}
