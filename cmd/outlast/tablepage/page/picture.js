"use strict";
// The picture of one power cut: the charge of the battery as a curve over day and night, what has power below it, and the limits. The band above
// the curve is the control: its left end is when the power fails, its right end the hours that are asked for.

const DAY = 1440;
const EDGE = 18; // px on both sides of the curve, so that the ends of the band can be held
const START_STEP = 15; // minutes
const MOST_HOURS = 336;

const band = {
  svg: null,
  parts: {},
  drag: null, // {kind, x0, from, begin, hours, minutesPerPx, entry}
  from: 0, // minute at the left edge, counted from the midnight before the power fails
  begin: 0, // when it fails
  hours: 24, // that the picture shows behind it
  asked: 0,
  left: 0,
  width: 0,
  measures: null, // what the page gives it, see measure
};

const atX = (minute) => band.left + ((minute - band.from) / (band.from + windowMin() - band.from)) * band.width;
const windowMin = () => band.hours * 60 * 1.05;

// nearest gives the minute that is the same time of day, as near as can be to another.
const nearest = (minute, to) => minute + Math.round((to - minute) / DAY) * DAY;

const sameCurve = (a, b) => a.length === b.length && a.every(([minute, share], i) => minute === b[i][0] && share === b[i][1]);

// tenth is as fine as anything is drawn.
const tenth = (x) => Math.round(x * 10) / 10;

function buildBand() {
  const p = band.parts;
  const handle = (kind, label) =>
    draw("g", { class: "handle", role: "slider", tabindex: "0", "data-kind": kind, "aria-label": say(label), "aria-orientation": "horizontal" },
      draw("rect", { class: "hit", width: 44 }), draw("line", { class: "edge" }), draw("circle", { class: "grip", r: 11 }), draw("path", { class: "arrows" }));
  p.nights = draw("g");
  p.ticks = draw("g");
  p.rest = draw("rect", { class: "kept" });
  p.floor = draw("line", { class: "floor" });
  p.words = draw("g");
  p.bar = draw("rect", { class: "bar", height: 8 });
  p.reached = draw("rect", { class: "reached", height: 10 });
  p.beyond = draw("line", { class: "beyond" });
  p.ghost = draw("path", { class: "ghost" });
  p.now = draw("path", { class: "curve" });
  p.end = draw("line", { class: "end" });
  p.begin = handle("begin", "fails-at");
  p.asked = handle("asked", "asked-hours");
  p.picture = draw("g", { role: "img" }, p.nights, p.rest, p.ticks, p.floor, p.words, p.bar, p.reached, p.beyond, p.ghost, p.end, p.now);
  band.svg = draw("svg", { class: "drawing" }, p.picture, p.begin, p.asked);
  byId("band").replaceChildren(band.svg);
  for (const h of [p.begin, p.asked]) holdable(h);
  const room = new ResizeObserver(() => {
    measure();
    if (state.answer) drawPicture(state.answer);
  });
  room.observe(byId("band"));
  room.observe(byId("months")); // which grows with the letters
}

const line = (e, x1, y1, x2, y2) => attributes(e, { x1, y1, x2, y2 });
const box = (e, x, y, width, height) =>
  attributes(e, { x, y, width: Math.max(0, width), ...(height === undefined ? {} : { height: Math.max(0, height) }) });

// measure reads the room that the band has, when that has changed: the page is laid out then, and no touch has to wait until it is.
function measure() {
  const style = getComputedStyle(byId("band"));
  band.measures = {
    rem: parseFloat(getComputedStyle(document.documentElement).fontSize),
    total: byId("band").clientWidth,
    wide: style.getPropertyValue("--wide").trim() === "1",
    gutterRem: parseFloat(style.getPropertyValue("--gutter")),
  };
}

function drawBand(answer) {
  const p = band.parts;
  const { rem, total, wide, gutterRem } = band.measures;
  const gutter = wide ? gutterRem * rem : 0;
  const o = answer.outage;
  const c = answer.curve;
  band.left = gutter + EDGE;
  band.width = Math.max(60, total - band.left - EDGE);
  if (!band.drag) {
    band.hours = state.view.hours || o.length_h;
    band.begin = o.from_min;
    band.from = band.begin - band.hours * 60 * 0.05;
    band.asked = answer.required_h;
  }
  const begin = nearest(o.from_min, band.begin);
  const middle = 1.25 * rem + 13;
  const top = middle + 24;
  const height = Math.min(Math.max(band.width * 0.27, 96), 170);
  const bottom = top + height;
  const right = band.left + band.width;
  const lowest = Math.min(0, c.floor - (1.5 * rem) / height);
  const atY = (share) => bottom - ((share - lowest) / (1.02 - lowest)) * height;
  attributes(band.svg, { width: total, height: bottom + 1.5 * rem, viewBox: `0 0 ${total} ${bottom + 1.5 * rem}` });

  const clipX = (x) => Math.min(Math.max(x, band.left - EDGE), right + EDGE);
  const text = (words, x, y, anchor = "start", look = "") => draw("text", { x, y, "text-anchor": anchor, class: look }, words);

  // Night, known for the outage, and what the clock says.
  const nights = (o.nights ?? []).map(([from, to]) => [clipX(atX(begin + from)), clipX(atX(begin + to))]);
  renew(p.nights, [nights, top, height], () =>
    nights.map(([x, to]) => draw("rect", { class: "night", x, y: top, width: Math.max(0, to - x), height })));
  const perHour = (band.width / windowMin()) * 60;
  const step = [1, 2, 3, 6, 12, 24, 48].find((h) => h * perHour >= 3.4 * rem) ?? 96;
  const ticks = []; // where, and the words and the look of what the clock says there
  for (let m = Math.ceil(band.from / (step * 60)) * step * 60; m <= band.from + windowMin(); m += step * 60) {
    const x = atX(m);
    const half = 1.4 * rem;
    const room = x - half >= (wide ? band.left - EDGE : 0) && x + half <= total;
    const day = Math.floor(m / DAY) + 1;
    const newDay = (step >= 24 || m % DAY === 0) && day > 1;
    ticks.push([x, room ? (newDay ? say("day", day) : clock(m)) : "", newDay ? "strong" : ""]);
  }
  renew(p.ticks, [ticks, band.left, right, top, bottom, rem], () => [
    ...ticks.flatMap(([x, words, look]) => [
      draw("line", { class: "tick", x1: x, x2: x, y1: top, y2: bottom }),
      ...(words ? [text(words, x, bottom + rem, "middle", look)] : [])]),
    draw("line", { class: "axis", x1: band.left, x2: right, y1: bottom, y2: bottom })]);

  // The charge.
  box(p.rest, band.left, atY(c.floor), band.width, bottom - atY(c.floor));
  line(p.floor, band.left, atY(c.floor), right, atY(c.floor));
  const path = (points, from) => {
    let d = "";
    for (const [m, share] of points) {
      const x = atX(from + m);
      if (x < band.left - 1 || x > right + 1) continue;
      d += `${d ? "L" : "M"}${tenth(x)} ${tenth(atY(share))}`;
    }
    return d;
  };
  const before = Math.max(band.left, Math.min(atX(band.from), right));
  const lead = atX(begin) > before ? `M${tenth(before)} ${tenth(atY(c.points[0][1]))}H${tenth(Math.min(atX(begin), right))}` : "";
  attributes(p.now, { d: lead + path(c.points, begin) });
  const ghost = twoLists() ? state.others : state.earlier;
  const differs = ghost && ghost !== answer && !sameCurve(ghost.curve.points, c.points);
  attributes(p.ghost, { d: differs ? path(ghost.curve.points, nearest(ghost.outage.from_min, begin)) : "" });
  const words = []; // each as text takes it
  if (wide) {
    const at = band.left - EDGE - 6;
    words.push([answer.curve.floor_word, at, atY(c.floor) - 0.25 * rem, "end"], [percent(c.floor) + " %", at, atY(c.floor) + 0.85 * rem, "end", "strong"]);
    if (atY(c.points[0][1]) < atY(c.floor) - 2.2 * rem) words.push([percent(c.points[0][1]) + " %", at, atY(c.points[0][1]) + 0.35 * rem, "end", "strong"]);
  } else {
    words.push([`${percent(c.floor)} % ${answer.curve.floor_word}`, Math.max(band.left, clipX(atX(band.begin))) + 8, Math.min(atY(c.floor) + rem, bottom - 3)]);
  }
  const night = (o.nights ?? []).find(([from, to]) => atX(begin + to) - atX(begin + from) > 4 * rem && atX(begin + from) > band.left + (wide ? 0 : 11 * rem) && atX(begin + to) < right);
  if (night) words.push([say("night"), (atX(begin + night[0]) + atX(begin + night[1])) / 2, bottom - 5, "middle"]);

  // The band: solid as far as everything has power, hollow for what was asked for and is missing.
  const x0 = clipX(atX(band.begin));
  const xAsked = clipX(atX(band.begin + band.asked * 60));
  const ends = o.long ? Infinity : begin + o.hours * 60;
  const xEnd = clipX(Math.min(right, atX(ends)));
  box(p.bar, x0, middle - 4, xAsked - x0);
  box(p.reached, x0, middle - 5, o.idle ? 0 : Math.min(xAsked, xEnd) - x0);
  line(p.beyond, Math.min(xAsked, xEnd), middle, Math.max(xAsked, xEnd), middle);
  attributes(p.beyond, { visibility: xEnd > xAsked && !o.idle ? "visible" : "hidden" });
  line(p.end, xEnd, middle - 8, xEnd, bottom);
  attributes(p.end, { visibility: o.long || xEnd >= right ? "hidden" : "visible" });
  const askedWords = say("asked", answer.required);
  const roomLeft = xAsked - x0;
  words.push([clock(band.begin), x0 - 10, rem, "start", "strong"]);
  const long = askedWords.length * 0.42 * rem;
  if (roomLeft > long + 4 * rem) words.push([askedWords, Math.min(xAsked + 10, total - 2), rem, "end", "strong"]);
  else words.push([askedWords, Math.min(Math.max(xAsked - 10, x0 + 3.2 * rem), total - long), rem, "start", "strong"]);
  renew(p.words, words, () => words.map((w) => text(...w)));
  place(p.begin, x0, middle, bottom);
  place(p.asked, xAsked, middle, bottom);
  attributes(p.begin, { "aria-label": say("fails-at"), "aria-valuemin": 0, "aria-valuemax": DAY - 1, "aria-valuenow": ((band.begin % DAY) + DAY) % DAY,
    "aria-valuetext": clock(band.begin) + (o.worst ? ", " + say("worst") : "") });
  attributes(p.asked, { "aria-label": say("asked-hours"), "aria-valuemin": 1, "aria-valuemax": MOST_HOURS, "aria-valuenow": band.asked, "aria-valuetext": answer.required });
  attributes(p.picture, { "aria-label": say("curve", percent(c.points[0][1]), percent(Math.min(...c.points.map((x) => x[1])))) });
  drawKey(answer, differs);
}

function place(handle, x, middle, bottom) {
  const [hit, edge, grip, arrows] = handle.children;
  box(hit, x - 22, middle - 22, 44, bottom - middle + 22);
  line(edge, x, middle, x, bottom);
  attributes(grip, { cx: x, cy: middle });
  attributes(arrows, { d: `M${x - 2.5} ${middle - 4}l-4 4l4 4M${x + 2.5} ${middle - 4}l4 4l-4 4` });
}

// drawKey tells the two curves apart in words.
function drawKey(answer, differs) {
  const sample = (look) => draw("svg", { width: 28, height: 10, "aria-hidden": "true" }, draw("path", { class: look, d: "M1 5H27" }));
  const two = twoLists();
  const [now, ghost] = two ? [say("variant", state.which), say("variant", other())] : [say("now"), say("before")];
  renew(byId("key"), differs && [now, ghost], () => (differs ? [sample("curve"), " " + now, "  ", sample("ghost"), " " + ghost] : []));
}

// The ends of the band are held by pointer and moved by keys.
function holdable(handle) {
  const kind = handle.dataset.kind;
  const moveTo = (minutes) => {
    if (kind === "begin") {
      const to = Math.round(minutes / START_STEP) * START_STEP;
      if (to === band.begin) return;
      band.begin = to;
      if (to < band.from) band.from = to;
      look({ start_min: ((to % DAY) + DAY) % DAY }, true);
    } else {
      const hours = Math.min(Math.max(1, Math.round(minutes / 60)), MOST_HOURS);
      if (hours === band.asked) return;
      band.asked = hours;
      band.drag.entry = changeOn(band.drag.entry, [{ do: "set", table: "outage", key: "autonomy_h", value: hours }], ["length", hours]);
    }
    drawBand(state.answer);
  };
  handle.addEventListener("pointerdown", (e) => {
    if (e.button !== 0 || !state.answer) return;
    e.preventDefault();
    handle.focus();
    handle.setPointerCapture(e.pointerId);
    begin();
    band.drag = { x0: e.clientX, at: kind === "begin" ? band.begin : band.asked * 60, minutesPerPx: windowMin() / band.width, entry: null };
  });
  handle.addEventListener("pointermove", (e) => {
    if (!band.drag || !handle.hasPointerCapture(e.pointerId)) return;
    const to = band.drag.at + (e.clientX - band.drag.x0) * band.drag.minutesPerPx;
    moveTo(kind === "asked" ? Math.min(to, band.hours * 60 * 1.04) : to);
  });
  const letGo = () => {
    if (!band.drag) return;
    band.drag = null;
    if (state.answer) {
      if (fitted(state.answer)) drawPicture(state.answer);
    }
  };
  handle.addEventListener("lostpointercapture", letGo);
  handle.addEventListener("keydown", (e) => {
    const steps = kind === "begin" ? { small: START_STEP, large: 60 } : { small: 60, large: 360 };
    const now = kind === "begin" ? band.begin : band.asked * 60;
    const to = {
      ArrowRight: now + steps.small, ArrowUp: now + steps.small, ArrowLeft: now - steps.small, ArrowDown: now - steps.small,
      PageUp: now + steps.large, PageDown: now - steps.large, Home: kind === "begin" ? 0 : 60, End: kind === "begin" ? DAY - START_STEP : MOST_HOURS * 60,
    }[e.key];
    if (to === undefined || !state.answer) return;
    e.preventDefault();
    const last = list().at(-1);
    const goesOn = e.repeat || performance.now() - keyed < 900;
    if (!goesOn || (kind === "asked" && last?.did[0] !== "length")) begin();
    keyed = performance.now();
    band.drag = { entry: goesOn && last?.did[0] === "length" ? last : null };
    moveTo(to);
    band.drag = null;
  });
}
let keyed = 0; // when a key moved an end of the band: several in a row are one touch

// fitted says whether the picture shows as many hours as it should; if not, they are asked for.
function fitted(answer) {
  const hours = answer.outage.show_h;
  state.view.hours = hours;
  if (hours === answer.outage.length_h) return true;
  state.others = null;
  ask(true);
  return false;
}

function untilWords(h) {
  if (h.days_on === 0) return say("until", h.until);
  return h.days_on === 1 ? say("until-next", h.until) : say("until-day", h.until, h.days_on + 1);
}

function drawHead(answer) {
  const fails = answer.verdict.status === "fail";
  const o = answer.outage;
  put(byId("site"), "site", answer.site);
  if (document.title !== answer.site) document.title = answer.site;
  write(byId("verdict"), answer.verdict.title);
  write(byId("scene"), o.title);
  byId("title").classList.toggle("fails", fails);
  put(byId("reason"), "reason", fails ? answer.verdict.sentence : answer.verdict.note);
  const h = hoursShown(answer);
  const promised = h !== o;
  // Of a plan that fails the hours of this one power cut are told, but not in large type: nobody is to take them for a promise.
  put(byId("hours"), "hours", fails ? say("ends", say("this-one"), h.text) : h.text);
  byId("hours").parentElement.classList.toggle("unpromised", fails);
  put(byId("until"), "until", h.idle ? "" : h.hours === 0 && !h.long ? say("at-once-dark", h.from) : (h.long ? [say("begins", h.from)] : [say("begins", h.from), untilWords(h)]).join(" "));
  put(byId("asked"), "asked", say("asked", answer.required) + (h.missing ? ", " + say("short", h.missing) : ""));
  byId("no-promise").hidden = !fails;
  write(byId("rests"), [h.sentence, promised ? answer.verdict.more : ""].filter(Boolean).join(" "));
  const [promise, own] = byId("which").querySelectorAll("input");
  promise.disabled = fails;
  promise.checked = promised;
  own.checked = !promised;
  const others = twoLists() ? state.others : null;
  put(byId("other"), "other", others ? say("variant-hours", other(), hoursShown(others).text) : "");
  write(byId("planner"), plannerWords(answer));
  byId("medical").hidden = !answer.medical;
  byId("medical").replaceChildren(
    ...[...(answer.medical ?? [])].sort((a, b) => (a.end_min ?? Infinity) - (b.end_min ?? Infinity) || 0).map((m) => {
      const p = make("p", {}, make("b", { textContent: headed(m.name) }));
      const s = make("span");
      put(s, "medical:" + key(m.ref), m.sentence);
      p.append(s);
      return p;
    }),
    ...(answer.medical ? [make("p", { textContent: answer.medical_advice })] : []));
}

// movedByPlanner are the circuits that the last touch did not name and the planner put on the other board.
function movedByPlanner(answer) {
  const was = new Map((state.earlier?.circuits ?? []).map((c) => [c.id, c]));
  return answer.circuits.filter((c) => c.asked === "either" && was.get(c.id)?.asked === "either" && was.get(c.id).board !== c.board);
}

function plannerWords(answer) {
  const moved = movedByPlanner(answer);
  const names = (board) => moved.filter((c) => c.board === board).map((c) => c.label).join(", ");
  const [on, off] = [names("backup"), names("main")];
  return [on && say("planner-on", on), off && say("planner-main", off)].filter(Boolean).join(" ");
}

function drawWhen(answer) {
  const o = answer.outage;
  for (const input of byId("months").querySelectorAll("input")) input.checked = Number(input.value) === o.month;
  for (const input of byId("skies").querySelectorAll("input")) input.checked = input.value === o.sky;
  byId("skies").hidden = !answer.choices.has_array;
  byId("worst").hidden = o.worst;
}

// buildWhen writes the months and the skies.
function buildWhen() {
  const choice = (name, value, word, spoken) =>
    make("label", {}, make("input", { type: "radio", name, value, "aria-label": spoken }), make("span", { textContent: word, "aria-hidden": "true" }));
  byId("months").replaceChildren(byId("months").querySelector("legend"), ...words.months.map((m, i) => choice("month", i + 1, shortMonth(i + 1), m)));
  byId("skies").replaceChildren(byId("skies").querySelector("legend"), ...words.skies.map((s) => choice("sky", s.id, s.word, s.word)));
}

// A finger may draw across the months, and the year goes by.
function monthsHoldable() {
  const months = byId("months");
  let last = 0;
  const pick = (e, goesOn) => {
    const input = document.elementFromPoint(e.clientX, e.clientY)?.closest("#months label")?.querySelector("input");
    if (!input || Number(input.value) === last) return;
    last = Number(input.value);
    input.checked = true;
    look({ month: last }, goesOn);
  };
  months.addEventListener("pointerdown", (e) => {
    if (e.button !== 0 || e.pointerType === "mouse" && e.target === months) return;
    last = state.answer?.outage.month ?? 0;
    begin();
    pick(e, true);
    months.setPointerCapture(e.pointerId);
  });
  months.addEventListener("pointermove", (e) => months.hasPointerCapture(e.pointerId) && pick(e, true));
  months.addEventListener("change", (e) => {
    if (Number(e.target.value) !== state.view.month) look({ month: Number(e.target.value) });
  });
}

const MANY_STRIPS = 16; // from which on a strip has one line

// Strips are kept and brought up to date, one a circuit: what a touch does not move need not be laid out anew.
const strips = new Map();

function newStrip() {
  const parts = Object.fromEntries(["night", "powered", "runs", "stop"].map((look) => [look, draw("path", { class: look })]));
  const name = make("span", { className: "name" });
  const why = make("span", { className: "why-ends" });
  const svg = draw("svg", { class: "strip", viewBox: "0 0 1000 14", preserveAspectRatio: "none", "aria-hidden": "true" }, ...Object.values(parts));
  return { li: make("li", {}, make("span", { className: "who" }, name, " ", why), svg), name, why, parts };
}

// oblong is a rectangle of a path.
const oblong = (x, y, width, height) => `M${tenth(x)} ${y}h${tenth(width)}v${height}h${tenth(-width)}z`;

function drawStrips(answer) {
  const o = answer.outage;
  const begin = nearest(o.from_min, band.begin);
  const at = (minute) => ((begin + minute - band.from) / windowMin()) * 1000;
  const whole = at(band.hours * 60);
  const night = (o.nights ?? []).map(([from, to]) => oblong(at(from), 0, at(to) - at(from), 14)).join("");
  const ol = byId("strips");
  const seen = new Set();
  for (const c of answer.circuits) {
    if (c.board !== "backup") continue;
    let s = strips.get(c.id);
    if (!s) strips.set(c.id, (s = newStrip()));
    if (ol.children[seen.size] !== s.li) ol.insertBefore(s.li, ol.children[seen.size] ?? null);
    seen.add(c.id);
    const end = c.end_min ?? Infinity;
    const used = (c.strips ?? []).length > 0 || c.end_min !== null;
    attributes(s.parts.night, { d: night });
    attributes(s.parts.powered, { d: used ? oblong(at(0), 6, Math.max(0, Math.min(at(end), whole) - at(0)), 2) : "" });
    attributes(s.parts.runs, { d: (c.strips ?? []).map(([from, to]) => oblong(at(from), 2, Math.max(1.5, Math.min(at(to), whole) - at(from)), 10)).join("") });
    attributes(s.parts.stop, { d: c.end_min !== null ? oblong(Math.min(at(end), 997), 0, 3, 14) : "" });
    write(s.name, c.label);
    put(s.why, "end:" + c.id, c.end_min !== null ? say("ends", whenWords(begin, c.end_min), c.end_word) : used ? "" : say("not-used"));
  }
  ol.classList.toggle("many", seen.size > MANY_STRIPS);
  for (const [id, s] of strips) {
    if (seen.has(id)) continue;
    s.li.remove();
    strips.delete(id);
  }
  const happens = (o.events ?? []).slice(0, 8).map((e) => say("ends", whenWords(begin, e.min), e.text));
  renew(byId("happens"), happens, () => happens.map((textContent) => make("li", { textContent })));
}

// whenWords is a time of the outage as people say it: the hour, and the day where it is not the first.
function whenWords(begin, minute) {
  const day = Math.floor(begin / DAY);
  const on = Math.floor((begin + minute) / DAY) - day;
  return clock(begin + minute) + (on > 0 ? ` (${say("day", on + 1)})` : "");
}

const LIMIT_AT = 700; // of 1000: where the limit of a bar stands; bars never change their scale

function bar(value, limit, old) {
  const svg = draw("svg", { class: "limit-bar", viewBox: "0 0 1000 16", preserveAspectRatio: "none", "aria-hidden": "true" }, draw("rect", { class: "track", width: 1000, height: 16 }));
  if (limit === null || limit === undefined || !(limit > 0)) return svg;
  const x = Math.min((value / limit) * LIMIT_AT, 990);
  svg.append(draw("rect", { class: "used", y: 3, width: Math.min(x, LIMIT_AT), height: 10 }));
  if (value > limit * (1 + 1e-9)) {
    svg.append(draw("path", { class: "over", d: `M${LIMIT_AT + 14} 3H${Math.max(x, LIMIT_AT + 30)}V13H${LIMIT_AT + 14}l8 -3.3l-8 -3.4z` }));
  }
  if (old !== undefined) svg.append(draw("rect", { class: "old", x: Math.min((old / limit) * LIMIT_AT, 990) - 2, y: 0, width: 4, height: 16 }));
  svg.append(draw("rect", { class: "limit", x: LIMIT_AT - 2, width: 4, height: 16 }));
  return svg;
}

// drawLimits draws the four bars; those of a trial beside the marks of what is.
function drawLimits(limits, settled) {
  const ul = byId("limits");
  for (const l of limits) {
    let li = ul.querySelector(`[data-bar="${l.bar}"]`);
    if (!li) {
      li = make("li", { "data-bar": l.bar },
        make("details", { className: "why", "data-name": l.bar },
          make("summary", {}, make("span", { className: "row" }, make("span", { className: "name" }), " ", make("span", { className: "text" }), " ", make("span", { className: "ears", "data-say": "why", textContent: say("why") })),
            make("span", { className: "bars" })),
          make("ol", { className: "steps" })),
        make("p", { className: "says" }));
      li.querySelector("details").addEventListener("toggle", (e) => why(e.target).catch(trouble));
      ul.append(li);
    }
    const over = l.limit !== null && l.value > l.limit * (1 + 1e-9);
    li.classList.toggle("broken", over);
    put(li.querySelector(".name"), "limit-name:" + l.bar, l.name);
    put(li.querySelector(".text"), "limit:" + l.bar, (l.text || say("not-known")) + (over ? " – " + say("beyond") : ""));
    const was = settled?.find((s) => s.bar === l.bar);
    const phases = (l.phases ?? []).length > 1;
    renew(li.querySelector(".bars"), [words.lang, l.value, l.limit, l.phases, was], () =>
      phases ? l.phases.map((p, i) => make("span", { className: "phase" }, make("span", { textContent: say("phase", p.phase) }), bar(p.value, p.limit, was?.phases?.[i]?.value))) : [bar(l.value, l.limit, was?.value)]);
    put(li.querySelector(".says"), "limit-says:" + l.bar, l.status === "pass" ? "" : [l.sentence, l.remedy].filter(Boolean).join(" "));
  }
}

function drawFoot({ safety, checks, cautions }) {
  renew(byId("safety"), safety, () => [make("p", { textContent: (safety ?? []).join(" ") })]);
  renew(byId("points"), [checks, cautions], () => [
    ...(checks ?? []).map((c) => make("li", { className: c.status }, make("b", { textContent: headed(c.name) }), c.text)),
    ...(cautions ?? []).map((c) => make("li", { textContent: c }))]);
}

function drawPicture(answer) {
  if (!band.measures) measure();
  drawHead(answer);
  drawBand(answer);
  drawWhen(answer);
  drawStrips(answer);
  drawLimits(answer.limits);
}

drawers.push((answer) => {
  if (!band.drag) fitted(answer);
  drawPicture(answer);
  drawFoot(answer);
  for (const d of document.querySelectorAll("details.why[open]")) why(d);
});
