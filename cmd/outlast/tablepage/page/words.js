"use strict";
// What the page is made of: elements, drawings, and the words of the language that is spoken.

const byId = (id) => document.getElementById(id);

// make gives an element with properties ("hidden", "className", …), attributes where the name begins with "aria-" or "data-", and children.
function make(tag, props = {}, ...children) {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (/^(aria-|data-|role$|for$)/.test(name)) e.setAttribute(name, value);
    else e[name] = value;
  }
  e.append(...children);
  return e;
}

// draw gives a part of a drawing with attributes. Looks come from classes: the content policy allows no styles in the markup.
function draw(tag, attributes = {}, ...children) {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
  e.append(...children);
  return e;
}

// write puts a text into an element, and leaves alone what says it already: what is not touched need not be laid out anew.
function write(e, text) {
  if (e.textContent !== text) e.textContent = text;
}

// attributes does the same with attributes.
function attributes(e, list) {
  for (const [name, value] of Object.entries(list)) if (e.getAttribute(name) !== String(value)) e.setAttribute(name, value);
}

// renew makes the children of an element anew where what they are made of has changed; build gives them.
const madeOf = new WeakMap();
function renew(e, of, build) {
  const now = JSON.stringify(of);
  if (madeOf.get(e) === now) return;
  madeOf.set(e, now);
  e.replaceChildren(...build());
}

let words = { texts: {}, months: [], months_short: [], skies: [], lang: "en" };

// say puts arguments into a text of the table, one after the other.
function say(id, ...args) {
  const text = words.texts[id] ?? id;
  let n = 0;
  return text.replace(/%%|%[sd]/g, (mark) => (mark === "%%" ? "%" : String(args[n++] ?? "")));
}

// headed puts what a text is about before it, behind a colon: with the blank that French has before one.
const headed = (about, text = "") => say("headed", about, text);

// figure writes a number as people of the language do.
const figure = (value, digits = 2) => new Intl.NumberFormat(words.lang, { maximumFractionDigits: digits, useGrouping: false }).format(value);

const percent = (share) => figure(share * 100, 0);

const clock = (minute) => {
  const m = ((Math.round(minute) % 1440) + 1440) % 1440;
  return `${String(Math.floor(m / 60)).padStart(2, "0")}:${String(m % 60).padStart(2, "0")}`;
};

// shortMonth is as long as a thumb is wide.
const shortMonth = (month) => words.months_short[month - 1];

// translate says what stands in the markup in the language that is spoken.
function translate() {
  document.documentElement.lang = words.lang;
  for (const e of document.querySelectorAll("[data-say]")) e.textContent = say(e.dataset.say);
  // "Variant A" where there is room, the letter alone where there is none.
  for (const e of document.querySelectorAll("[data-variant]")) {
    const [before, behind] = say("variant", "\n").split("\n");
    e.replaceChildren(make("span", { className: "long", textContent: before }), e.dataset.variant, make("span", { className: "long", textContent: behind }));
  }
}

// Figures that a touch moved stay underlined until the next one. shown is what each said, before what it said when the touch began.
const shown = new Map();
let before = new Map();

function touchBegins() {
  before = new Map(shown);
}

// put writes a figure, and marks it if the touch moved it. key tells it from all others of the page.
function put(e, key, text) {
  write(e, text);
  shown.set(key, text);
  e.classList.toggle("moved", before.has(key) && before.get(key) !== text && text !== "");
}
