"use strict";
// How the page talks to the engine that came with it in one file. See the documentation of package tablepage. The engine works apart from the
// page, so that a long answer never holds up a finger; a question that was dropped before its turn is never asked. What the page asks first was
// answered when the file was made: the picture stands before the engine is even read, which comes in pieces behind this script.
globalThis.table = (() => {
  const carried = (id) => document.getElementById(id).textContent;
  const about = JSON.parse(carried("outlast-about"));
  const first = JSON.parse(carried("outlast-first"));
  const script = URL.createObjectURL(new Blob([carried("outlast-worker")], { type: "text/javascript" }));
  const worker = new Worker(script);
  const waiting = [];
  let working = null;

  const fault = (name, message, code, about) => Object.assign(new Error(message), { name, code, about });

  function next() {
    if (working || !waiting.length) return;
    working = waiting.shift();
    worker.postMessage({ kind: working.kind, question: working.question });
  }

  const runs = new Promise((resolve, reject) => {
    worker.onerror = (e) => {
      const failed = fault("Error", e.message || "the engine of this page cannot run here", "engine", [e.message ?? ""]);
      reject(failed);
      for (const one of [working, ...waiting.splice(0)]) one?.reject(failed);
    };
    worker.onmessage = ({ data }) => {
      URL.revokeObjectURL(script);
      if (data.wrong) {
        reject(fault("Error", data.wrong, "engine", [data.wrong]));
        return;
      }
      resolve();
      worker.onmessage = ({ data: answer }) => {
        const one = working;
        working = null;
        next();
        const given = JSON.parse(answer);
        if (given.error) one.reject(fault("Error", given.error, given.code));
        else one.resolve(given);
      };
    };
    const home = carried("outlast-home");
    document.addEventListener("DOMContentLoaded", () => worker.postMessage({ home, question: first.question }));
    for (const id of ["outlast-home", "outlast-worker", "outlast-first"]) document.getElementById(id).remove();
  });
  runs.catch(() => {}); // who asks is told

  // feed passes on the piece of the engine before the script that calls it.
  function feed() {
    const piece = document.currentScript.previousElementSibling;
    worker.postMessage({ piece: piece.textContent });
    piece.remove();
  }

  async function ask(kind, question, signal) {
    if (kind === "words" && question.lang === first.words.lang) return structuredClone(first.words);
    if (kind === "answer" && JSON.stringify(question) === first.question) return structuredClone(first.answer);
    await runs;
    return new Promise((resolve, reject) => {
      if (signal?.aborted) {
        reject(fault("AbortError", "dropped"));
        return;
      }
      const one = { kind, question: JSON.stringify(question), resolve, reject };
      signal?.addEventListener("abort", () => {
        const i = waiting.indexOf(one);
        if (i >= 0) waiting.splice(i, 1);
        reject(fault("AbortError", "dropped"));
      });
      waiting.push(one);
      next();
    });
  }

  async function keep(name, question) {
    const { text } = await ask("text", question);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/toml" }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  return {
    ready: Promise.resolve({ ...about, alone: true }),
    runs,
    feed,
    ask,
    async save(changes) {
      await keep(about.file, { changes });
      return { saved: true, revision: about.revision, copy: "" };
    },
    async saveAs(name, changes) {
      await keep(name, { changes, name });
      return { saved: true, name };
    },
    take() {},
    papers: null,
  };
})();
