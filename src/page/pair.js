// How a pair of socks lies in its room: ball A's at the upper right, ball B's tucked in below it, as large as they go.
(function (table) {
  'use strict';
  const kGap = 0.03;       // between the socks, of a sock's height
  const kOpaque = 160;     // alpha from which a pixel is sock and not shadow
  const kSteps = 20;       // places tried from beneath each other to side by side

  /// The first and the last row of every column that a sock covers.
  function outline(image, sock) {
    const top = new Array(sock.width).fill(Infinity), bottom = new Array(sock.width).fill(-Infinity);
    for (let y = 0; y < sock.height; y += 1) {
      let at = 4 * ((sock.y + y) * image.width + sock.x) + 3;
      for (let x = 0; x < sock.width; x += 1, at += 4) {
        if (image.data[at] < kOpaque) continue;
        if (y < top[x]) top[x] = y;
        bottom[x] = y;
      }
    }
    return { top, bottom };
  }

  /// How far right and up the second sock goes so that both are as large as can be in the room and do not touch.
  function nested(image, [a, b], { width, height }) {
    const first = outline(image, b), second = outline(image, a), gap = Math.round(kGap * a.height);
    let best = null;
    for (let part = 4; part <= kSteps; part += 1) {
      const dx = Math.round(part / kSteps * (a.width + gap));
      let dy = 0;
      for (let x = Math.max(0, dx - gap); x < a.width; x += 1) {
        for (const near of [x - dx - gap, x - dx, x - dx + gap]) {
          if (near >= 0 && near < b.width && second.bottom[near] >= 0 && first.top[x] < Infinity) dy = Math.max(dy, second.bottom[near] - first.top[x] + gap);
        }
      }
      const wide = Math.max(a.width, dx + b.width), tall = Math.max(a.height + dy, b.height);
      const scale = Math.min(width / wide, height / tall);
      if (!best || scale > best.scale * 1.01) best = { scale, dx, dy, wide, tall };
    }
    return { dx: best.dx / a.height, dy: best.dy / a.height, wide: best.wide / a.height, tall: best.tall / a.height };
  }

  table.pair = { nested };
})(table);
