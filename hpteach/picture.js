// Shows a picture that changes often: a still part, decoded once, and the pixels that stand over it, set down in one stroke.
const FADED = "grayscale(1) contrast(0.35) brightness(1.48)";

async function decoded(bytes) {
  const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/png" }), { colorSpaceConversion: "none" });
  const sheet = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d", { alpha: false });
  sheet.drawImage(bitmap, 0, 0);
  bitmap.close();
  return sheet.getImageData(0, 0, sheet.canvas.width, sheet.canvas.height);
}

// A patch: how many runs there are, where each begins, how long it is, and then all their pixels; every number in 32 bits.
function laidOver(still, patch) {
  const numbers = new Uint32Array(patch.buffer.slice(patch.byteOffset, patch.byteOffset + patch.byteLength));
  const pixels = new Uint32Array(still.data.buffer.slice(0));
  const runs = numbers.length ? numbers[0] : 0;
  let next = 1 + 2 * runs;
  for (let run = 0; run < runs; run++) {
    const length = numbers[1 + runs + run];
    pixels.set(numbers.subarray(next, next + length), numbers[1 + run]);
    next += length;
  }
  return new ImageData(new Uint8ClampedArray(pixels.buffer), still.width, still.height);
}

function render({ model, el }) {
  const canvas = document.createElement("canvas");
  canvas.className = "hpteach-picture";
  canvas.setAttribute("role", "img");
  canvas.style.cssText = "display: block; width: 100%; height: auto;";
  canvas.width = model.get("width");
  canvas.height = model.get("height");
  el.append(canvas);
  const context = canvas.getContext("2d", { alpha: false });
  context.fillStyle = "#ffffff";
  context.fillRect(0, 0, canvas.width, canvas.height);
  let still = null;
  let source = null; // the bytes that `still` was decoded from
  let frame = 0;

  function show() {
    canvas.style.filter = model.get("faded") ? FADED : "";
    if (source === null || source !== model.get("still")) return; // a patch belongs to the still part that came with it
    context.putImageData(laidOver(still, model.get("patch")), 0, 0);
    canvas.dataset.frame = String(++frame);
  }

  async function take() {
    const bytes = model.get("still");
    if (!bytes || !bytes.byteLength) return;
    const taken = await decoded(bytes);
    if (bytes !== model.get("still")) return; // another one came meanwhile
    [still, source] = [taken, bytes];
    if (canvas.width !== still.width || canvas.height !== still.height) {
      canvas.width = still.width;
      canvas.height = still.height;
    }
    show();
  }

  function tell() {
    canvas.setAttribute("aria-label", model.get("words"));
  }

  const watched = { "change:still": take, "change:patch": show, "change:faded": show, "change:words": tell };
  Object.entries(watched).forEach(([event, act]) => model.on(event, act));
  tell();
  take();
  if (window.devicePixelRatio > model.get("density")) {
    model.set("density", window.devicePixelRatio);
    model.save_changes();
  }
  return () => Object.entries(watched).forEach(([event, act]) => model.off(event, act));
}

export default { render };
