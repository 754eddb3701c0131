// Making and finding parts of the page. Whatever comes from a file or from the core goes in as text, never as markup.
var table = window.table || {};
(function (table) {
  'use strict';

  const kSvg = 'http://www.w3.org/2000/svg';

  function dressed(node, props, children) {
    for (const [name, value] of Object.entries(props || {})) {
      if (value === null || value === undefined || value === false) continue;
      if (name === 'text') node.textContent = value;
      else if (name === 'on') for (const [event, does] of Object.entries(value)) node.addEventListener(event, does);
      else if (name === 'style') for (const [rule, to] of Object.entries(value)) node.style.setProperty(rule, to);
      else node.setAttribute(name, value === true ? '' : String(value));
    }
    for (const child of children) {
      if (child === null || child === undefined) continue;
      node.append(child);
    }
    return node;
  }

  const el = (tag, props, ...children) => dressed(document.createElement(tag), props, children);
  const svg = (tag, props, ...children) => dressed(document.createElementNS(kSvg, tag), props, children);
  const byId = (id) => document.getElementById(id);

  function icon(name) {
    return svg('svg', { class: 'icon', 'aria-hidden': 'true' }, svg('use', { href: '#icon-' + name }));
  }

  function refill(node, ...children) {
    node.replaceChildren(...children.filter((child) => child !== null && child !== undefined));
    return node;
  }

  /// A number short enough to read: "84.2", "84", never "84.19999".
  function short(number, digits) {
    if (!Number.isFinite(number)) return '';
    return String(Number(number.toFixed(digits === undefined ? 1 : digits)));
  }

  const held = (number, least, most) => Math.min(most, Math.max(least, number));

  table.dom = { el, svg, byId, icon, refill, short, held };
})(table);
