// Puts the page together: node assemble.mjs CORE.js OUT.html
import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const kScripts = ['dom', 'state', 'bridge', 'fields', 'told', 'pair', 'pictures', 'bench', 'layers', 'tools', 'pointing', 'settings', 'photo',
  'slow', 'risk', 'sure', 'ways', 'weigh', 'reading', 'mix', 'files', 'main'];

const here = dirname(fileURLToPath(import.meta.url));
const part = (name) => readFileSync(join(here, name), 'utf8');

/// Text that may stand inside a script element: nothing in it ends or nests one. In strings and regular expressions
/// the backslash changes nothing.
const inScript = (text) => text.replace(/<(?=\/script|script|!--)/gi, '\\x3c');

function filled(page, marker, text) {
  const at = page.indexOf(marker);
  if (at < 0 || page.indexOf(marker, at + 1) >= 0) throw new Error(`page.html: ${marker} must stand there once`);
  return page.slice(0, at) + text + page.slice(at + marker.length);
}

const [core, out] = process.argv.slice(2);
if (!core || !out) {
  console.error('usage: node assemble.mjs CORE.js OUT.html');
  process.exit(2);
}
const scripts = kScripts.map((name) => `<script>\n${inScript(part(name + '.js'))}</script>`).join('\n');
let page = part('page.html');
page = filled(page, '<!--part:style.css-->', part('style.css') + part('reading.css'));
page = filled(page, '<!--scripts-->', scripts);
page = filled(page, '<!--core-->', inScript(readFileSync(core, 'utf8')));
writeFileSync(out + '.part', page);
renameSync(out + '.part', out);
