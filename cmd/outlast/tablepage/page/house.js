"use strict";
// The things of the house: circuits by priority, each with what is on it, what can be added, and battery and inverter.

const MOST_PRIORITY = 5;
const MANY_ROWS = 24; // from which on those that are not to be seen are not laid out either
const rows = new Map(); // of circuits, by id
const order = []; // of ids, as they were first seen: a row moves only when somebody moves it

const key = (ref) => JSON.stringify(ref);
const setLoad = (l, name, value) => ({ do: "set", table: "load", ...l.ref, key: name, value });

// moveCircuit gives a circuit a priority: it is that of the most important load on it that is in use.
function moveCircuit(c, to) {
  const used = c.loads.some((l) => !l.held_off) ? c.loads.filter((l) => !l.held_off) : c.loads;
  const moved = used.filter((l) => (to < c.priority ? l.priority === c.priority : l.priority < to));
  if (moved.length) change(moved.map((l) => setLoad(l, "priority", to)), ["priority", c.label, to]);
}

// mover is a handle that takes something to another priority, by pointer and by keys. now() is what it is, set(to) moves it.
function mover(name, now, set, row) {
  const handle = make("span", { className: "mover", role: "slider", tabIndex: 0, "aria-valuemin": 1, "aria-valuemax": MOST_PRIORITY, "aria-orientation": "vertical" });
  handle.append(draw("svg", { width: 18, height: 22, viewBox: "0 0 18 22", "aria-hidden": "true" }, draw("path", { d: "M5 7l4 -5l4 5M5 15l4 5l4 -5M9 2V20", class: "arrows" })));
  handle.refresh = () => attributes(handle, { "aria-label": say("move", name()), "aria-valuenow": now(), "aria-valuetext": say("priority", now()) });
  handle.addEventListener("keydown", (e) => {
    const to = { ArrowUp: now() - 1, ArrowDown: now() + 1, ArrowLeft: now() - 1, ArrowRight: now() + 1, Home: 1, End: MOST_PRIORITY }[e.key];
    if (to === undefined) return;
    e.preventDefault();
    if (to >= 1 && to <= MOST_PRIORITY && to !== now()) set(to);
  });
  let y0 = null;
  handle.addEventListener("pointerdown", (e) => {
    if (e.button !== 0) return;
    e.preventDefault();
    handle.focus();
    handle.setPointerCapture(e.pointerId);
    y0 = e.clientY;
    row.classList.add("carried");
  });
  // Where a row is let go decides: in which priority it lies, or how far a load was moved from its own.
  const target = (y) => {
    const groups = [...document.querySelectorAll("#rows > section:not([hidden])")];
    if (!row.classList.contains("circuit")) return Math.min(Math.max(1, now() + Math.round((y - y0) / 44)), MOST_PRIORITY);
    const under = groups.filter((g) => g.getBoundingClientRect().top <= y).at(-1) ?? groups[0];
    const last = groups.at(-1);
    if (under === last && y > last.getBoundingClientRect().bottom + 12) return Math.min(Number(last.dataset.priority) + 1, MOST_PRIORITY);
    return Number(under.dataset.priority);
  };
  handle.addEventListener("pointermove", (e) => {
    if (y0 === null) return;
    row.style.transform = `translateY(${e.clientY - y0}px)`;
    const to = target(e.clientY);
    for (const g of document.querySelectorAll("#rows > section")) g.classList.toggle("aimed", row.classList.contains("circuit") && Number(g.dataset.priority) === to && to !== now());
    handle.setAttribute("aria-valuetext", say("priority", to));
  });
  const letGo = (e) => {
    if (y0 === null) return;
    const to = e.type === "pointerup" ? target(e.clientY) : now();
    y0 = null;
    row.style.transform = "";
    row.classList.remove("carried");
    for (const g of document.querySelectorAll("#rows > section")) g.classList.remove("aimed");
    if (to !== now()) set(to);
  };
  handle.addEventListener("pointerup", letGo);
  handle.addEventListener("pointercancel", letGo);
  return handle;
}

// toggle is a switch with its name and, in words, how it stands. touch(on) is what it changes and how that is told.
function toggle(touch) {
  const input = make("input", { type: "checkbox", role: "switch", onchange: () => change(...touch(input.checked)) });
  const name = make("span", { className: "name" });
  const how = make("span", { className: "how" });
  const whole = make("label", { className: "switch" }, input, make("span", { className: "knob", "aria-hidden": "true" }), make("span", { className: "called" }, name, " ", how));
  const comesDown = () => foresee(touch(!input.checked)[0]);
  whole.addEventListener("pointerdown", (e) => e.button === 0 && comesDown());
  whole.addEventListener("keydown", (e) => e.key === " " && !e.repeat && comesDown());
  whole.addEventListener("pointercancel", forgo);
  return { whole, input, name, how };
}

// number is a field of figures; change is asked for when it was left or Enter was pressed.
function number(id, min, max, step, onChange) {
  const input = make("input", { type: "number", min, max, step, inputMode: "decimal" });
  input.addEventListener("change", () => {
    const v = Number(input.value);
    if (input.value === "" || !Number.isFinite(v)) redraw();
    else onChange(v);
  });
  const caption = make("span", { "data-say": id, textContent: say(id) });
  return { whole: make("label", { className: "number" }, caption, " ", input), input };
}

const setNumber = (field, value) => {
  if (field.input.value === "" || Number(field.input.value) !== value) field.input.value = value === "" ? "" : String(Math.round(value * 1e6) / 1e6);
};

// counted is a number with a button on each side.
function counted(id, min, max, now, onChange) {
  const n = number(id, min, max, 1, (v) => onChange(Math.round(v)));
  const button = (by, sign, word) => make("button", { type: "button", className: "step", "data-label": word, "aria-label": headed(say(word), say(id)), textContent: sign,
    onclick: () => { const to = now() + by; if (to >= min && to <= Number(n.input.max)) onChange(to); } });
  const less = button(-1, "−", "one-less");
  const more = button(1, "+", "one-more");
  return { whole: make("div", { className: "counted" }, n.whole, less, more), input: n.input, less, more };
}

// holdToTry shows what would happen for as long as it is held, by finger or key. A press without a hold, as a screen reader makes it, holds until
// the next one.
function holdToTry(button, load) {
  let held = false;
  let byHold = false;
  let n = 0;
  const hold = async () => {
    if (held || !state.answer) return;
    held = true;
    button.setAttribute("aria-pressed", "true");
    const mine = ++n;
    const answer = state.answer;
    touchBegins();
    try {
      const trial = await table.ask("try", question({ load: load().ref }));
      if (!held || mine !== n || state.answer !== answer) return;
      drawLimits(trial.limits ?? answer.limits, answer.limits);
      showTrial(button, say("trying", load().name), trial.sentence);
    } catch (e) {
      trouble(e);
    }
  };
  const release = () => {
    if (!held) return;
    held = false;
    n++;
    button.setAttribute("aria-pressed", "false");
    showTrial(button, "", "");
    touchBegins();
    if (state.answer) drawLimits(state.answer.limits);
  };
  button.setAttribute("aria-pressed", "false");
  button.addEventListener("pointerdown", (e) => {
    if (e.button !== 0) return;
    byHold = true;
    button.setPointerCapture(e.pointerId);
    hold();
  });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture", "blur"]) button.addEventListener(end, release);
  button.addEventListener("contextmenu", (e) => e.preventDefault()); // a long press is no menu here
  button.addEventListener("keydown", (e) => {
    if (e.key !== " " && e.key !== "Enter") return;
    e.preventDefault();
    byHold = true;
    if (!e.repeat) hold();
  });
  button.addEventListener("keyup", (e) => (e.key === " " || e.key === "Enter") && (e.preventDefault(), release(), (byHold = false)));
  button.addEventListener("click", () => {
    if (!byHold) held ? release() : hold();
    byHold = false;
  });
}

function showTrial(button, lead, sentence) {
  const words = [lead, sentence].filter(Boolean).join(" ");
  const p = button.closest("li").querySelector(".trial");
  p.hidden = words === "";
  p.textContent = words;
  byId("title").classList.toggle("aside", words !== "");
  let over = byId("trial");
  if (!over) byId("title").before((over = make("p", { id: "trial", className: "title trial-title" })));
  over.hidden = words === "";
  over.textContent = words;
  if (words) speak(words);
}

function newLoad(ref) {
  const li = make("li", { className: "load" });
  const r = { li, load: null };
  const l = () => r.load;
  const sw = toggle((on) => [[setLoad(l(), "held_off", !on)], [on ? "use" : "off", l().name]]);
  const attempt = make("button", { type: "button", className: "try", textContent: say("try"), "data-say": "try" });
  holdToTry(attempt, l);
  const quantity = counted("quantity", 1, 1000, () => l().quantity, (v) => change([setLoad(l(), "quantity", v)], ["quantity", l().name, v]));
  const hours = number("hours-a-day", 0, 24, "any", (v) => change([setLoad(l(), "hours_per_day", v)], ["hours", l().name, v]));
  const watts = number("measured-w", 0, 1e6, "any", (v) => change([setLoad(l(), "running_w", v)], ["watts", l().name, v]));
  const start = number("measured-va", 0, 1e6, "any", (v) => change([setLoad(l(), "starting_va", v)], ["start", l().name, v]));
  const typical = make("p", { className: "typical" });
  const note = make("p", { className: "note" });
  const handle = mover(() => l().name, () => l().priority, (to) => change([setLoad(l(), "priority", to)], ["priority", l().name, to]), li);
  const rank = make("span", { className: "rank" });
  const away = make("button", { type: "button", className: "quiet", textContent: say("take-away"), "data-say": "take-away",
    onclick: () => { const next = li.nextElementSibling ?? li.previousElementSibling ?? li.closest(".circuit"); change([{ do: "drop", table: "load", ...l().ref }], ["drop", l().name]); next?.querySelector("input")?.focus(); } });
  li.append(make("div", { className: "line" }, sw.whole, attempt), make("p", { className: "trial", hidden: true }), note,
    make("div", { className: "fields" }, quantity.whole, hours.whole, make("span", { className: "moves" }, rank, handle), away),
    typical, make("div", { className: "fields measured" }, watts.whole, start.whole));
  r.update = (now) => {
    r.load = now;
    sw.input.checked = !now.held_off;
    write(sw.name, now.name);
    write(sw.how, now.held_off ? say("left-off") : say("in-use"));
    attempt.hidden = !now.held_off;
    attempt.setAttribute("aria-label", say("try-name", now.name));
    away.setAttribute("aria-label", say("ends", say("take-away"), now.name));
    setNumber(quantity, now.quantity);
    setNumber(hours, now.hours_per_day);
    write(rank, say("priority", now.priority));
    handle.refresh();
    write(note, [now.medical ? say("depended-on") : "", now.out_of_season ? say("out-of-season") : ""].filter(Boolean).join(" "));
    const is = (name) => (now.typical ?? []).includes(name);
    write(typical, [is("running_w") ? say("typical", figure(now.low_w ?? 0, 0), figure(now.high_w ?? 0, 0)) : "", is("starting_va") ? say("typical-start") : ""].filter(Boolean).join(" "));
    watts.whole.hidden = !is("running_w");
    start.whole.hidden = !is("starting_va");
    watts.input.placeholder = figure(now.running_w, 0);
    if (is("running_w")) watts.input.value = "";
    if (is("starting_va")) start.input.value = "";
  };
  return r;
}

function newCircuit() {
  const li = make("li", { className: "circuit" });
  const r = { li, circuit: null, moved: false, says: "", loads: new Map() };
  const c = () => r.circuit;
  // A circuit that the file does not have yet is written into it first.
  const sw = toggle((on) => [[...(c().write ?? []), { do: "set", table: "circuit", ...c().ref, key: "board", value: on ? "backup" : "main" }], [on ? "backup" : "main", c().label]]);
  const cost = make("span", { className: "cost" });
  const then = make("p", { className: "then", hidden: true });
  const mark = make("p", { className: "mark", hidden: true });
  const handle = mover(() => c().label, () => c().priority, (to) => moveCircuit(c(), to), li);
  const count = make("span", { className: "what" }, make("span"), make("span", { className: "ears" }));
  const summary = make("summary", {}, count, " ", cost);
  const inside = make("ul", { className: "loads" });
  const details = make("details", { className: "opened" }, summary, inside);
  details.addEventListener("toggle", () => r.update(c()));
  li.append(make("div", { className: "line" }, handle, sw.whole), details, then, mark);
  r.update = (now) => {
    r.circuit = now;
    const on = now.board === "backup";
    sw.input.checked = on;
    // On a large home most rows are closed, and say what they said.
    sw.how.classList.toggle("moved", r.moved);
    const says = JSON.stringify([words.lang, now.label, now.board, now.priority, now.loads.length]);
    if (!details.open && r.says === says) {
      r.costs();
      return;
    }
    r.says = says;
    write(sw.name, now.label);
    write(sw.how, on ? say("stays-on") : say("main-board"));
    handle.refresh();
    write(count.firstChild, headed(say("loads"), now.loads.length));
    write(count.lastChild, ` (${now.label})`);
    r.costs();
    if (!details.open) return;
    const seen = new Set();
    let last = null;
    for (const l of now.loads) {
      const id = key(l.ref);
      seen.add(id);
      let row = r.loads.get(id);
      if (!row) r.loads.set(id, (row = newLoad()));
      row.update(l);
      if (last ? row.li.previousElementSibling !== last : inside.firstElementChild !== row.li) last ? last.after(row.li) : inside.prepend(row.li);
      last = row.li;
    }
    for (const [id, row] of r.loads) {
      if (seen.has(id)) continue;
      row.li.remove();
      r.loads.delete(id);
    }
  };
  r.costs = () => {
    const w = state.weights.get(c().id);
    // What is not of this answer yet is not shown, but keeps its place: nothing moves away under a finger.
    cost.classList.toggle("stale", !w);
    then.classList.toggle("stale", !w);
    if (w) {
      write(cost, w.text);
      write(then, w.then);
      then.hidden = w.then === "";
    }
    mark.classList.toggle("stale", !w && c().mark === "");
    if (!w && c().mark === "") return;
    const text = [...new Set([c().mark, ...(w && (w.board === "main" || !w.allowed) ? (w.breaks ?? []).slice(0, 1) : [])])].filter(Boolean).join(" ");
    write(mark, text);
    mark.hidden = text === "";
  };
  return r;
}

function drawCosts() {
  for (const r of rows.values()) r.costs();
}

function drawHouse(answer) {
  const all = byId("rows");
  const seen = new Set();
  const keep = document.activeElement;
  const moved = new Set(movedByPlanner(answer).map((c) => c.id));
  for (const c of answer.circuits) {
    seen.add(c.id);
    if (!order.includes(c.id)) order.push(c.id);
    let r = rows.get(c.id);
    if (!r) rows.set(c.id, (r = newCircuit()));
    r.moved = moved.has(c.id);
    r.update(c);
  }
  for (const [id, r] of rows) {
    if (seen.has(id)) continue;
    r.li.remove();
    rows.delete(id);
  }
  const most = Math.max(...answer.circuits.map((c) => c.priority), 1);
  for (let p = 1; p <= MOST_PRIORITY; p++) {
    let group = all.querySelector(`section[data-priority="${p}"]`);
    if (!group) all.append((group = make("section", { "data-priority": p }, make("h3"), make("ul"))));
    group.hidden = p > most;
    const ul = group.querySelector("ul");
    const wanted = order.map((id) => rows.get(id)).filter((r) => r && r.circuit.priority === p).map((r) => r.li);
    write(group.querySelector("h3"), [say("priority", p), wanted.length ? p === 1 && say("first") : say("nothing-here")].filter(Boolean).reduce((about, text) => headed(about, text)));
    wanted.forEach((li, i) => ul.children[i] !== li && ul.insertBefore(li, ul.children[i] ?? null));
  }
  all.classList.toggle("many", seen.size > MANY_ROWS);
  if (keep && keep !== document.activeElement && keep.isConnected) keep.focus({ preventScroll: true }); // a row that moved keeps the hand on it
}

// Adding.

// The classes of the catalog are asked for when the list is opened, once in each language.
let listed = "";

async function buildClasses() {
  const lang = words.lang;
  if (!byId("add").open || listed === lang) return;
  listed = lang;
  let rooms;
  try {
    ({ rooms } = await table.ask("classes", { lang }));
  } catch (e) {
    listed = "";
    throw e;
  }
  if (lang !== words.lang) return;
  byId("classes").replaceChildren(
    ...(rooms ?? []).map((room) =>
      make("section", { className: "room" }, make("h3", { textContent: room.name }),
        make("ul", {}, ...room.classes.map((c) => {
          const li = make("li", { "data-search": c.search.join(" ") }, make("button", { type: "button", onclick: () => addLoad(c) }, c.label + " ", make("small", { textContent: `${figure(c.running_w, 0)} W` })));
          return li;
        })))));
  search();
}

const plain = (text) => text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");

function search() {
  const wanted = plain(byId("search").value).split(/\s+/).filter(Boolean);
  let found = 0;
  for (const room of document.querySelectorAll("#classes .room")) {
    let here = 0;
    for (const li of room.querySelectorAll("li")) {
      const text = plain(li.dataset.search + " " + li.textContent);
      li.hidden = !wanted.every((w) => text.includes(w));
      if (!li.hidden) here++;
    }
    room.hidden = here === 0;
    found += here;
  }
  byId("none-found").hidden = found > 0 || byId("classes").childElementCount === 0;
}

function addLoad(c) {
  const values = { use: c.id };
  if (byId("add-to").value) values.circuit = byId("add-to").value;
  change([{ do: "add", table: "load", values }], ["add", c.label]);
}

// drawAddTo offers the circuits to which a load can be added, in the order of the rows.
function drawAddTo() {
  const select = byId("add-to");
  const now = select.value;
  const options = [["", say("own-circuit")], ...order.flatMap((id) => rows.get(id)?.circuit ?? []).filter((c) => !c.assumed).map((c) => [c.id, c.label])];
  renew(select, options, () => options.map(([value, text]) => make("option", { value, textContent: text })));
  if (select.value !== now) select.value = now;
}

// Battery and inverter.

const owned = {};
function buildEquipment() {
  owned.strings = counted("strings", 1, 99, () => state.answer.choices.strings, (v) => change([{ do: "set", table: "bank", key: "strings", value: v }], ["strings", v]));
  owned.reserve = number("reserve", 1, 100, 1, (v) => change([{ do: "set", table: "outage", key: "reserve", value: Math.round(v * 10) / 1000 }], ["reserve", v]));
  owned.option = make("select", { id: "option", onchange: () => look({ option: owned.option.value, hours: 0 }) });
  owned.optionRow = make("label", {}, make("span", { "data-say": "option", textContent: say("option") }), " ", owned.option);
  byId("choices").replaceChildren(owned.strings.whole, owned.reserve.whole, owned.optionRow);
}

function drawEquipment(answer) {
  const c = answer.choices;
  put(byId("owned"), "owned", [c.bank, c.inverter].filter(Boolean).join(" · "));
  owned.strings.input.max = Math.max(c.max_strings, c.strings);
  setNumber(owned.strings, c.strings);
  owned.strings.less.disabled = c.strings <= 1;
  owned.strings.more.disabled = c.strings >= c.max_strings;
  setNumber(owned.reserve, c.reserve * 100);
  const options = [["", say("no-option")], ...(c.options ?? []).map((o) => [o, o])];
  owned.optionRow.hidden = options.length < 2;
  renew(owned.option, options, () => options.map(([value, text]) => make("option", { value, textContent: text })));
  owned.option.value = state.view.option;
}

drawers.push((answer) => {
  drawHouse(answer);
  drawAddTo();
  drawEquipment(answer);
});
