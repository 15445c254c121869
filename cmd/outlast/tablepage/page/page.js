"use strict";
const { ready, ask } = globalThis.table;
ready.then(async ({ lang }) => {
  const answer = await ask("answer", { lang });
  document.documentElement.lang = lang;
  document.getElementById("site").textContent = answer.site;
  document.getElementById("verdict").textContent = answer.verdict.title + " " + answer.verdict.sentence;
  document.getElementById("hours").textContent = answer.promise ? answer.promise.text : "";
});
