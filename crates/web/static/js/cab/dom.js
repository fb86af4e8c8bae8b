// Making elements. No markup is ever made from text, so nothing typed can become markup.

const SVG = "http://www.w3.org/2000/svg";

/** What stands inside an element: nodes, texts, lists of them; null and false are left out. @typedef {any} Inside */

/**
 * `h("button", {class: "save", onclick}, "Save")`. Attributes that are null or false are left out.
 * @param {string} tag @param {Record<string, any> | null} [attributes] @param {...Inside} inside
 * @returns {any}
 */
export function h(tag, attributes, ...inside) {
  return fill(document.createElement(tag), attributes, inside);
}

/** The same for a picture. @param {string} tag @param {Record<string, any> | null} [attributes] @param {...Inside} inside */
export function svg(tag, attributes, ...inside) {
  return fill(document.createElementNS(SVG, tag), attributes, inside);
}

/** @param {Element} element @param {Record<string, any> | null | undefined} attributes @param {Inside[]} inside */
function fill(element, attributes, inside) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value") /** @type {HTMLInputElement} */ (element).value = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  for (const one of inside.flat(Infinity)) {
    if (one !== null && one !== undefined && one !== false) element.append(one instanceof Node ? one : String(one));
  }
  return element;
}
