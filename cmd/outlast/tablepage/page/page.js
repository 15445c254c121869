"use strict";
// Opening the page, and what hands do to it.

async function speakLanguage(lang) {
  words = await table.ask("words", { lang });
  translate();
  byId("language").value = words.lang;
  document.querySelectorAll(".why .steps").forEach((e) => e.replaceChildren());
  for (const b of document.querySelectorAll("button[data-label]")) b.setAttribute("aria-label", headed(say(b.dataset.label), b.closest(".counted").querySelector("[data-say]").textContent));
  buildWhen();
  buildClasses().catch(trouble);
  if (state.answer) {
    drawChanges();
    begin();
    ask();
  }
}

async function openPage() {
  const file = await table.ready;
  state.file = file.file;
  state.alone = file.alone;
  byId("papers").hidden = table.papers === null;
  byId("language").replaceChildren(...file.languages.map((lang) => {
    const name = new Intl.DisplayNames([lang], { type: "language" }).of(lang);
    return make("option", { value: lang, textContent: name, lang });
  }));
  await speakLanguage(file.lang);
  buildBand();
  buildEquipment();
  monthsHoldable();
  begin();
  ask();
}

byId("undo").addEventListener("click", undo);
byId("redo").addEventListener("click", redo);
byId("save").addEventListener("click", save);
byId("save-as").addEventListener("click", () => naming(byId("naming").hidden));
byId("naming").addEventListener("submit", saveAs);
byId("papers").addEventListener("click", () => table.papers(question()));
byId("language").addEventListener("change", (e) => speakLanguage(e.target.value).catch(trouble));
byId("variants").addEventListener("change", (e) => variant(e.target.value));
byId("which").addEventListener("change", (e) => {
  state.promised = e.target.value === "promised";
  touchBegins();
  if (!state.answer) return;
  drawHead(state.answer);
  weighAnew();
});
byId("skies").addEventListener("change", (e) => look({ sky: e.target.value }));
byId("worst").addEventListener("click", () => {
  look({ start_min: null });
  band.parts.begin.focus();
});
byId("search").addEventListener("input", search);
byId("add").addEventListener("toggle", () => buildClasses().catch(trouble));
for (const d of document.querySelectorAll("details.why")) d.addEventListener("toggle", () => why(d).catch(trouble));

document.addEventListener("keydown", (e) => {
  if (!(e.ctrlKey || e.metaKey) || e.altKey || /^(INPUT|TEXTAREA)$/.test(e.target.tagName) && /text|search|number/.test(e.target.type)) return;
  if (e.key.toLowerCase() === "z") {
    e.preventDefault();
    e.shiftKey ? redo() : undo();
  } else if (e.key.toLowerCase() === "y") {
    e.preventDefault();
    redo();
  } else if (e.key.toLowerCase() === "s") {
    e.preventDefault();
    if (!byId("save").disabled) save();
  }
});

// Whoever closes the page with changes that are not saved is asked by the browser.
addEventListener("beforeunload", (e) => {
  if (!state.alone && (state.lists.A.length || state.lists.B?.length)) e.preventDefault();
});

openPage().catch(trouble);
