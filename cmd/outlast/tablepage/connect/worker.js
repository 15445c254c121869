// The engine apart from the page: it is unpacked, started, and asked one question after the other.
onmessage = async ({ data }) => {
  onmessage = null;
  try {
    const go = new Go();
    const { instance } = await WebAssembly.instantiate(await unpacked(data.engine), go.importObject);
    go.run(instance); // it never ends
    const wrong = globalThis.outlast.open(new TextDecoder().decode(await unpacked(data.home)));
    if (wrong) {
      postMessage({ wrong });
      return;
    }
    onmessage = ({ data: { kind, question } }) => postMessage(globalThis.outlast.ask(kind, question));
    postMessage({ wrong: "" });
  } catch (e) {
    postMessage({ wrong: String(e) });
  }
};

async function unpacked(text) {
  return new Response(new Blob([bytesOf(text)]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}

// bytesOf reads base 85: five signs for four bytes, "z" for four that are zero; "v" stands for "<" and "w" for "&", which mean something in a page.
function bytesOf(text) {
  const value = new Uint8Array(128);
  for (let i = 0; i < 85; i++) value[33 + i] = i;
  value["v".charCodeAt(0)] = "<".charCodeAt(0) - 33;
  value["w".charCodeAt(0)] = "&".charCodeAt(0) - 33;
  const out = new Uint8Array(text.length * 4);
  let n = 0;
  let i = 0;
  while (i < text.length) {
    if (text[i] === "z") {
      n += 4;
      i += 1;
      continue;
    }
    const digits = Math.min(5, text.length - i);
    let v = 0;
    for (let k = 0; k < 5; k++) v = v * 85 + (k < digits ? value[text.charCodeAt(i + k)] : 84);
    for (let k = 0; k < digits - 1; k++) out[n + k] = v >>> (24 - 8 * k);
    n += digits - 1;
    i += digits;
  }
  return out.subarray(0, n);
}
