"use strict";
// What has been decided at the table, and the questions to the engine. The state is two lists of changes to the site file, A and B, and the
// outage that is looked at; figures come from the engine alone.

const state = {
  file: "",
  alone: false,
  lists: { A: [], B: null }, // of entries {changes, did}: what a touch changed in the file, and how it is told
  undone: { A: [], B: [] },
  which: "A",
  view: { start_min: null, hours: 0, month: 0, sky: "usual", option: "" },
  promised: true, // the large figure is the promised one, where there is one
  answer: null, // the last good one
  earlier: null, // the one before the last touch
  others: null, // the answer to the other list
  weights: new Map(), // of circuits, for the answer that is shown
};

const other = () => (state.which === "A" ? "B" : "A");
const list = () => state.lists[state.which];
const changesOf = (entries) => entries.flatMap((e) => e.changes);
const question = (more = {}) => ({ lang: words.lang, changes: changesOf(list()), view: state.view, ...more });

// twoLists says whether there are two variants to compare.
const twoLists = () => state.lists.B !== null && JSON.stringify(changesOf(state.lists.A)) !== JSON.stringify(changesOf(state.lists.B));

// What draws itself anew when there is an answer: functions.
const drawers = [];

function redraw() {
  for (const d of drawers) d(state.answer);
}

// begin is the first thing that a touch does.
function begin() {
  touchBegins();
  state.earlier = state.answer;
  stopWeighing();
  settle(null);
  hushed = performance.now();
}
let hushed = 0;

// change makes changes to the site file as one touch.
function change(changes, did) {
  begin();
  list().push({ changes, did });
  state.undone[state.which] = [];
  ask();
}

// The last change of a gesture takes the place of the one before.
function changeOn(entry, changes, did) {
  const last = list().at(-1);
  if (last === entry && entry) Object.assign(entry, { changes, did });
  else {
    entry = { changes, did };
    list().push(entry);
    state.undone[state.which] = [];
  }
  ask(true);
  return entry;
}

function undo() {
  if (list().length === 0) return;
  begin();
  state.undone[state.which].push(list().pop());
  ask();
}

function redo() {
  const entry = state.undone[state.which].pop();
  if (!entry) return;
  begin();
  list().push(entry);
  ask();
}

// variant goes over to A or B. The first time, B begins as what A is.
function variant(which) {
  if (which === state.which) return;
  begin();
  if (state.lists.B === null) state.lists.B = [...state.lists.A];
  const others = state.answer;
  state.which = which;
  ask();
  state.others = others;
}

// look changes the outage that is looked at; within a gesture each step follows the one before.
function look(view, goesOn = false) {
  if (!goesOn) begin();
  Object.assign(state.view, view);
  state.others = null;
  ask(goesOn);
}

let flight = null; // the question that is on its way
let waiting = false; // another one wants to follow it

// ask asks for the picture of what is decided now. A newer touch overtakes what is on its way; the steps of one gesture wait for each other, so that
// the picture follows the finger.
function ask(goesOn = false) {
  if (flight && goesOn) {
    waiting = true;
    return;
  }
  flight?.abort();
  waiting = false;
  send();
}

// What a finger that comes down on a switch is going to ask is asked at once: by the time that it is lifted, most of the answer is worked out.
let foreseen = null; // {asks, own, answer}
const HELD_MS = 1500; // how long a finger stays down at most, before it is taken for one that slid away

function foresee(changes) {
  foreseen?.own.abort();
  stopWeighing();
  clearTimeout(settling);
  const asks = question({ changes: [...changesOf(list()), ...changes] });
  const own = new AbortController();
  const mine = (foreseen = { asks: JSON.stringify(asks), own, answer: table.ask("answer", asks, own.signal) });
  mine.answer.catch(() => {}); // told when the finger is lifted
  setTimeout(() => foreseen === mine && forgo(), HELD_MS);
}

// forgo is for a finger that slid away.
function forgo() {
  foreseen?.own.abort();
  foreseen = null;
  if (!flight) settle(state.answer);
}

async function send() {
  const asks = question();
  const known = foreseen?.asks === JSON.stringify(asks) ? foreseen : null;
  if (!known) foreseen?.own.abort();
  foreseen = null;
  const own = known?.own ?? new AbortController();
  flight = own;
  const begun = hushed;
  let answer;
  try {
    answer = await (known?.answer ?? table.ask("answer", asks, own.signal));
  } catch (e) {
    if (flight === own) {
      flight = null;
      trouble(e);
    }
    return;
  }
  if (flight !== own) return;
  flight = null;
  if (answer.problems) {
    refuse(answer.problems);
    return;
  }
  problem("");
  state.answer = answer;
  state.weights = new Map();
  redraw();
  performance.measure("touch", { start: begun, end: performance.now() });
  if (waiting) {
    waiting = false;
    send();
    return;
  }
  settle(answer);
}

// refuse takes back the change that the file does not allow, and says why.
function refuse(problems) {
  let at = problems[0].change;
  const entries = list();
  let which = entries.length - 1;
  if (at >= 0) which = entries.findIndex((e) => (at -= e.changes.length) < 0);
  entries.splice(which < 0 ? entries.length - 1 : which, 1);
  const text = say("refused", problems.map((p) => p.text).join(" "));
  if (entries.length === 0 && state.answer === null) {
    problem(text);
    return;
  }
  send().then(() => problem(text));
}

function problem(text, again = false) {
  const e = byId("problem");
  e.hidden = text === "";
  if (e.textContent !== text) e.textContent = text;
  if (again && words.texts["load-again"]) e.append(" ", make("button", { type: "button", textContent: say("load-again"), onclick: () => location.reload() }));
  if (text) speak(text);
}

// faultWords says what went wrong in the language of the page, as far as it has words for it.
function faultWords(e) {
  if (e.code && words.texts["error." + e.code]) return say("error." + e.code, ...(e.about ?? []));
  return words.texts["no-answer"] ? say("no-answer", e.message) : e.message;
}

function trouble(e) {
  if (e.name !== "AbortError") problem(faultWords(e), true);
}

// One polite voice: it speaks when nothing has been touched for a while.
let voice = 0;
function speak(text) {
  clearTimeout(voice);
  voice = setTimeout(() => byId("spoken").textContent !== text && (byId("spoken").textContent = text), 600);
}

// settle does what has time: the other variant, what circuits cost, the spoken word. A touch stops it.
const STILL_MS = 400; // how long nothing must have been touched: a hand that goes on does not meet a busy engine
let settling = 0;
let weighing = null;
function settle(answer) {
  clearTimeout(settling);
  if (answer === null) return;
  const o = answer.outage;
  speak([answer.verdict.title, o.promise ? headed(say("promised"), o.promise.text) + "." : say("no-promise"), plannerWords(answer), o.title].filter(Boolean).join(" "));
  settling = setTimeout(async () => {
    await askOther();
    if (state.answer === answer) weigh(answer);
  }, STILL_MS);
}

async function askOther() {
  if (!twoLists() || state.others) return;
  const answer = state.answer;
  try {
    const others = await table.ask("answer", question({ changes: changesOf(state.lists[other()]) }));
    if (state.answer !== answer || others.problems) return;
    state.others = others;
    redraw();
  } catch (e) {
    trouble(e);
  }
}

// weighAnew is for another large figure: what circuits cost is told of the one that is shown.
function weighAnew() {
  stopWeighing();
  state.weights = new Map();
  drawCosts();
  settle(flight ? null : state.answer);
}

function stopWeighing() {
  weighing?.abort();
  weighing = null;
}

const UNSEEN_MS = 1500; // how long nothing must have been touched until circuits are weighed that are not on the screen

// weigh asks what each circuit costs, a few at a time, those on the screen first. The others wait: a large home takes long, and the next touch
// is not to meet a busy engine.
async function weigh(answer) {
  stopWeighing();
  const own = new AbortController();
  weighing = own;
  const seen = (c) => {
    const place = rows.get(c.id)?.li.getBoundingClientRect();
    return place && place.bottom > 0 && place.top < innerHeight;
  };
  const ids = answer.circuits.filter(seen).map((c) => c.id);
  const onScreen = ids.length;
  ids.push(...answer.circuits.map((c) => c.id).filter((id) => !ids.includes(id)));
  const few = state.alone ? 1 : 4; // the engine of a file that stands alone does one thing at a time: a touch never waits for long
  for (let n = 0; n < ids.length; ) {
    if (n === onScreen) {
      await new Promise((done) => setTimeout(done, UNSEEN_MS));
      if (weighing !== own) return;
    }
    const next = Math.min(n + few, n < onScreen ? onScreen : ids.length);
    const begun = performance.now();
    try {
      const got = await table.ask("weigh", question({ circuits: ids.slice(n, next), figure: state.promised ? "promise" : "outage" }), own.signal);
      n = next;
      if (weighing !== own) return;
      for (const w of got.circuits ?? []) state.weights.set(w.id, w);
      if (n % 4 === 0 || n >= onScreen) drawCosts(); // marks that come in move what is below them: not one after the other
      // Half of the time that engine is free: each circuit takes a plan of the home.
      if (state.alone) await new Promise((done) => setTimeout(done, performance.now() - begun));
      if (weighing !== own) return;
    } catch (e) {
      if (weighing === own) trouble(e);
      return;
    }
  }
}

// hoursShown is the figure in large type: the promised one, or that of this very outage.
function hoursShown(answer) {
  return state.promised && answer.outage.promise ? answer.outage.promise : answer.outage;
}

// why asks for the working behind a number and writes it into the list of an opened details.
async function why(details) {
  const steps = details.querySelector(".steps");
  if (!details.open) return;
  const { steps: found } = await table.ask("why", question({ numbers: [details.dataset.name] }));
  steps.replaceChildren(
    ...(found ?? []).map((s) =>
      make("li", { value: s.no }, make("b", { textContent: headed(s.title) }), make("span", { className: "result", textContent: s.result }), make("br"),
        make("span", { className: "formula", textContent: s.formula }), ...(s.numbers ? [make("br"), make("span", { textContent: s.numbers })] : []),
        make("br"), make("i", { textContent: s.source }))));
}
