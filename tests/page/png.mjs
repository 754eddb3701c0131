// Grey PNG files of any size (ISO/IEC 15948), for pictures too large to keep.
import { deflateSync } from 'node:zlib';

const kCrcOf = Uint32Array.from({ length: 256 }, (none, n) => {
  let c = n;
  for (let k = 0; k < 8; k += 1) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

function crc(bytes) {
  let c = 0xffffffff;
  for (const byte of bytes) c = kCrcOf[(c ^ byte) & 0xff] ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

function chunk(type, data) {
  const out = Buffer.alloc(12 + data.length);
  out.writeUInt32BE(data.length);
  out.write(type, 4, 'latin1');
  data.copy(out, 8);
  out.writeUInt32BE(crc(out.subarray(4, 8 + data.length)), 8 + data.length);
  return out;
}

const bands = (x, y) => (y % 500 < 200 ? 220 : 120);

/// A byte a pixel, broad bands of two greys if no others are given. Says it is `says` large, if that is given.
export function greyPng(width, height, says = { width, height }, greyAt = bands) {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(says.width, 0);
  head.writeUInt32BE(says.height, 4);
  head[8] = 8;  // bits; colour type 0 is grey
  const raw = Buffer.alloc((width + 1) * height);
  for (let y = 0; y < height; y += 1) for (let x = 0; x < width; x += 1) raw[y * (width + 1) + 1 + x] = greyAt(x, y);
  return Buffer.concat([Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]), chunk('IHDR', head),
    chunk('IDAT', deflateSync(raw, { level: 1 })), chunk('IEND', Buffer.alloc(0))]);
}
