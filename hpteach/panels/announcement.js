// Paragraphs with a title that are read out as they come: the region stays, and only what is new is added to it.
function block({ title, text, kind }) {
  const note = document.createElement("div");
  note.className = kind ? `hpteach-note hpteach-${kind}` : "hpteach-note";
  const head = document.createElement("b");
  head.textContent = title;
  const body = document.createElement("span");
  body.className = "hpteach-said";
  body.textContent = text;
  note.append(head, title && text ? " " : "", body);
  return note;
}

function render({ model, el }) {
  const region = document.createElement("div");
  region.className = "hpteach-announced";
  region.setAttribute("role", "log");
  region.setAttribute("aria-live", "polite");
  el.append(region);
  let shown = [];

  function show() {
    const blocks = model.get("blocks");
    const same = shown.findIndex((one, index) => JSON.stringify(one) !== JSON.stringify(blocks[index]));
    const kept = same === -1 ? shown.length : same;
    while (region.children.length > kept) region.lastChild.remove();
    region.append(...blocks.slice(kept).map(block));
    shown = blocks;
  }

  model.on("change:blocks", show);
  show();
  return () => model.off("change:blocks", show);
}

export default { render };
