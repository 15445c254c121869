"use strict";
// How the page talks to the server that it came from. See the documentation of package tablepage.
globalThis.table = (() => {
  let revision = "";

  const fault = (name, message, code, about) => Object.assign(new Error(message), { name, code, about });

  async function post(path, body, signal) {
    const response = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal, cache: "no-store" }).catch((e) => {
      throw e.name === "AbortError" ? e : fault("Error", e.message, "unreachable");
    });
    const answer = await response.json().catch((e) => {
      if (e.name === "AbortError") throw e;
      return { error: `${response.status} ${response.statusText}` };
    });
    if (answer.error) throw fault(response.status === 410 ? "RevisionError" : "Error", answer.error, answer.code, answer.about);
    return answer;
  }

  const at = (kind) => `${kind}?revision=${encodeURIComponent(revision)}`;

  const ready = post("file", {}).then((file) => {
    revision = file.revision;
    return { ...file, alone: false };
  });

  return {
    ready,
    async ask(kind, question, signal) {
      await ready;
      return post(at(kind), question, signal);
    },
    async save(changes) {
      const answer = await post(at("save"), { changes });
      if (answer.saved) revision = answer.revision;
      return answer;
    },
    async saveAs(name, changes) {
      return post(at("save-as"), { name, changes });
    },
    take(other) {
      revision = other;
    },
    papers(question) {
      const form = document.createElement("form");
      form.method = "post";
      form.action = at("papers");
      form.target = "_blank";
      form.rel = "noopener";
      form.hidden = true;
      const field = document.createElement("input");
      field.type = "hidden";
      field.name = "question";
      field.value = JSON.stringify(question);
      form.append(field);
      document.body.append(form);
      form.submit();
      form.remove();
    },
  };
})();
