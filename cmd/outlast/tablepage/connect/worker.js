// The engine apart from the page: it is unpacked and compiled while the page is still being read, started, and asked one question after the other.
const go = new Go();
const unpacking = new DecompressionStream("gzip");
const pieces = unpacking.writable.getWriter();
const engine = WebAssembly.instantiateStreaming(new Response(unpacking.readable, { headers: { "Content-Type": "application/wasm" } }), go.importObject);
engine.catch(() => {}); // who waits for it is told

const STILL_MS = 60; // how long nobody must have asked until the engine tidies up, which the next question would have to wait for
let resting = 0;

onmessage = async ({ data }) => {
  if (data.piece) {
    pieces.write(bytesOf(data.piece)).catch(() => {}); // what cannot be unpacked gives no engine
    return;
  }
  try {
    pieces.close().catch(() => {});
    const { instance } = await engine;
    go.run(instance); // it never ends
    const wrong = globalThis.outlast.open(new TextDecoder().decode(await unpacked(data.home)));
    if (wrong) {
      postMessage({ wrong });
      return;
    }
    let asked = false;
    onmessage = ({ data: { kind, question } }) => {
      asked = true;
      clearTimeout(resting);
      postMessage(globalThis.outlast.ask(kind, question));
      resting = setTimeout(globalThis.outlast.rest, STILL_MS);
    };
    postMessage({ wrong: "" });
    warmUp(JSON.parse(data.question).lang, () => asked);
  } catch (e) {
    postMessage({ wrong: String(e) });
  }
};

// warmUp asks what nobody has asked yet, until somebody asks: the browser makes the engine faster where it has run, and the first touch is not to
// wait for it.
async function warmUp(lang, asked) {
  do await new Promise((done) => setTimeout(done));
  while (!asked() && globalThis.outlast.warmUp(lang));
  if (!asked()) globalThis.outlast.rest();
}

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
