"use strict";
// What was done, and keeping it: undo and redo, the two variants, Save, a file that was changed elsewhere, and the papers.

function drawChanges() {
  const entries = list();
  byId("undo").disabled = entries.length === 0;
  byId("redo").disabled = state.undone[state.which].length === 0;
  byId("save").disabled = entries.length === 0;
  write(byId("save"), state.lists.B === null ? say("save") : say("save-variant", state.which));
  byId("no-changes").hidden = entries.length > 0;
  renew(byId("changes"), [words.lang, entries.map((e) => e.did)], () =>
    entries.map((e) => make("li", { textContent: say("did." + e.did[0], ...e.did.slice(1).map((v) => (typeof v === "number" ? figure(v) : v))) })));
  for (const input of byId("variants").querySelectorAll("input")) input.checked = input.value === state.which;
}

// told says below the head what became of the file; it stands until the next touch.
function told(text) {
  const p = byId("kept");
  p.hidden = text === "";
  p.textContent = text;
  showKeep();
  if (text) speak(text);
}

function showKeep() {
  byId("keep").hidden = byId("naming").hidden && byId("kept").hidden && byId("conflict").hidden;
}

// cleared begins new lists: what was changed is in the file now, or was given up. What was touched since stays.
function cleared(since = []) {
  state.lists = { A: since, B: null };
  state.undone = { A: [], B: [] };
  state.which = "A";
  state.others = null;
}

async function save() {
  const saved = [...list()];
  try {
    const answer = await table.save(changesOf(saved));
    if (!answer.saved) {
      conflict(answer);
      return;
    }
    closeConflict();
    if (state.alone) { // the browser keeps a copy; the home on the page is as it was opened
      told(say("saved", state.file));
      return;
    }
    const gone = twoLists() ? " " + say("other-gone", other()) : "";
    cleared(list().filter((e) => !saved.includes(e)));
    told((answer.copy ? say("saved-copy", state.file, answer.copy) : say("saved", state.file)) + gone);
    begin();
    ask();
    byId("kept").focus();
  } catch (e) {
    trouble(e);
  }
}

function naming(open) {
  byId("naming").hidden = !open;
  byId("save-as").setAttribute("aria-expanded", String(open));
  showKeep();
  if (!open) return;
  if (!byId("name").value) byId("name").value = state.file.replace(/\.toml$/, "") + "-2.toml";
  byId("name").focus();
  byId("name").select();
}

async function saveAs(e) {
  e.preventDefault();
  try {
    const answer = await table.saveAs(byId("name").value, changesOf(list()));
    naming(false);
    told(say("saved-as", answer.name));
    byId("kept").focus();
  } catch (e) {
    told(faultWords(e));
  }
}

// diff pairs the lines of two texts: [mark, line] with " ", "-" or "+". Site files are short; what is equal at both ends is left out of the work.
function diff(a, b) {
  let head = 0;
  while (head < a.length && head < b.length && a[head] === b[head]) head++;
  let tail = 0;
  while (tail < a.length - head && tail < b.length - head && a[a.length - 1 - tail] === b[b.length - 1 - tail]) tail++;
  const x = a.slice(head, a.length - tail);
  const y = b.slice(head, b.length - tail);
  const n = Array.from({ length: x.length + 1 }, () => new Uint32Array(y.length + 1));
  for (let i = x.length - 1; i >= 0; i--) for (let j = y.length - 1; j >= 0; j--) n[i][j] = x[i] === y[j] ? n[i + 1][j + 1] + 1 : Math.max(n[i + 1][j], n[i][j + 1]);
  const out = a.slice(0, head).map((l) => [" ", l]);
  let i = 0;
  let j = 0;
  while (i < x.length || j < y.length) {
    if (i < x.length && j < y.length && x[i] === y[j]) out.push([" ", x[i++]]) && j++;
    else if (j >= y.length || (i < x.length && n[i + 1][j] >= n[i][j + 1])) out.push(["-", x[i++]]);
    else out.push(["+", y[j++]]);
  }
  return out.concat(a.slice(a.length - tail).map((l) => [" ", l]));
}

function conflict({ revision, disk, yours, problem: wrong }) {
  const pairs = diff(disk.split("\n"), yours.split("\n"));
  const side = (mark, heading) => {
    const pre = make("pre", { tabIndex: 0, "aria-label": heading });
    // Only what differs, with two lines around it.
    pairs.forEach(([m], i) => {
      if (m !== " " && m !== mark) return;
      const near = pairs.slice(Math.max(0, i - 2), i + 3).some(([other]) => other !== " ");
      if (!near) {
        if (pre.lastChild?.textContent !== "…\n") pre.append(make("span", { textContent: "…\n" }));
        return;
      }
      const line = `${m === " " ? " " : mark} ${pairs[i][1]}\n`;
      pre.append(m === " " ? line : make("mark", { textContent: line }));
    });
    return make("div", {}, make("h3", { textContent: heading }), pre);
  };
  const button = (id, what) => make("button", { type: "button", textContent: say(id), onclick: what });
  const box = byId("conflict");
  box.replaceChildren(
    make("p", {}, make("b", { textContent: say("conflict") }), wrong ? " " + wrong : ""),
    make("div", { className: "both" }, side("-", say("conflict-disk")), side("+", say("conflict-yours"))),
    make("p", { className: "answers" },
      ...(wrong ? [] : [
        button("conflict-both", () => { closeConflict(); table.take(revision); begin(); state.others = null; ask(); byId("save").focus(); }),
        button("conflict-theirs", () => { closeConflict(); table.take(revision); cleared(); begin(); ask(); byId("site").focus(); })]),
      button("save-as", () => naming(true))));
  box.hidden = false;
  byId("kept").hidden = true;
  showKeep();
  box.focus();
  speak(say("conflict"));
}

function closeConflict() {
  byId("conflict").hidden = true;
  showKeep();
}

drawers.push(drawChanges);
