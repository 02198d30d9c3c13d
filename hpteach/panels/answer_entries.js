// Shows what is asked as a form: its entries, a button, and the verdict in a place of its own that is read out.
// Every text is set as text, never as markup.  Whatever is typed travels with the message that asks for a verdict, so that none is judged half.
const LONGEST = 1000; // characters that are sent; many fewer are read

function make(tag, properties = {}, ...children) {
  const { describes, ...rest } = properties;
  const element = Object.assign(document.createElement(tag), rest);
  if (describes) element.setAttribute("aria-describedby", describes);
  element.append(...children);
  return element;
}

function named() {
  return `hpteach-${Math.random().toString(36).slice(2)}`;
}

function button(text) {
  return make("button", { type: "submit", className: "jupyter-button widget-button hpteach-check", textContent: text });
}

// One field for a text.
function textEntry(model, verdict) {
  const asked = make("p", { className: "hpteach-asked-for", id: named(), textContent: model.get("asked") });
  const field = make("input", { type: "text", id: named(), className: "hpteach-field", placeholder: model.get("placeholder"), describes: `${asked.id} ${verdict.id}` });
  const label = make("label", { htmlFor: field.id, textContent: "your answer" });
  const listed = model.get("listed");
  const rows = listed.length ? [make("ol", {}, ...listed.map((text) => make("li", { textContent: text })))] : [];
  const row = make("div", { className: "hpteach-answer-row" }, label, field, button(model.get("button")));
  return {
    body: [asked, ...rows, row],
    fields: [field],
    read: () => field.value.slice(0, LONGEST),
    write: (value) => (field.value = value),
    mark: (said) => field.setAttribute("aria-invalid", String(said.kind === "wrong")),
  };
}

// Choices of which one holds, or several.
function choiceEntry(model, verdict) {
  const several = model.get("kind") === "several";
  const group = named();
  const choices = model.get("choices");
  const fields = choices.map(({ value }) => make("input", { type: several ? "checkbox" : "radio", name: group, value }));
  const labels = choices.map(({ letter, text }, index) =>
    make("label", { className: "hpteach-choice" }, fields[index], ...(letter ? [make("span", { textContent: letter })] : []), make("span", { textContent: text })),
  );
  const legend = make("legend", { className: "hpteach-asked-for", textContent: model.get("asked") });
  const set = make("fieldset", { className: "hpteach-choices", describes: verdict.id }, legend, ...labels);
  const none = fields.find((field) => several && field.value === "none"); // which excludes the others
  set.addEventListener("change", ({ target }) => {
    if (!none || !target.checked) return;
    fields.filter((field) => (target === none ? field !== none : field === none)).forEach((field) => (field.checked = false));
  });
  const chosen = () => fields.filter((field) => field.checked).map((field) => field.value);
  return {
    body: [set, make("div", { className: "hpteach-answer-row" }, button(model.get("button")))],
    fields,
    read: () => chosen().join(" "),
    write: (value) => fields.forEach((field) => (field.checked = several ? value.split(" ").includes(field.value) : field.value === value)),
    mark: () => {},
  };
}

// A grid of fields: rows are places, columns are quantities; what is given stands there as text.
function tableEntry(model, verdict) {
  const fields = [];
  const cell = ({ id, label, given }) => {
    if (!id) return make("td", { className: "hpteach-given", textContent: given });
    const field = make("input", { type: "text", className: "hpteach-field", size: 9, describes: verdict.id });
    field.dataset.part = id;
    field.setAttribute("aria-label", label);
    fields.push(field);
    return make("td", {}, field, make("span", { className: "hpteach-cell-word" }));
  };
  const head = make("tr", {}, ...model.get("columns").map((text) => make("th", { scope: "col", textContent: text })));
  const rows = model.get("rows").map(({ name, cells }) => make("tr", {}, make("th", { scope: "row", textContent: name }), ...cells.map(cell)));
  const caption = make("caption", { className: "hpteach-asked-for", textContent: model.get("asked") });
  const table = make("table", { className: "hpteach-table hpteach-grid" }, caption, make("thead", {}, head), make("tbody", {}, ...rows));
  return {
    body: [make("div", { className: "hpteach-wide" }, table), make("div", { className: "hpteach-answer-row" }, button(model.get("button")))],
    fields,
    read: () => Object.fromEntries(fields.map((field) => [field.dataset.part, field.value.slice(0, LONGEST)])),
    write: (values) => fields.forEach((field) => (field.value = values[field.dataset.part] ?? "")),
    mark: (said) => {
      for (const field of fields) {
        const one = said.cells?.[field.dataset.part];
        field.setAttribute("aria-invalid", String(one?.kind === "wrong"));
        field.nextElementSibling.textContent = one?.word ?? "";
        field.parentElement.className = one?.kind ? `hpteach-${one.kind}` : "";
      }
    },
  };
}

function row({ word, text, kind }) {
  const note = make("div", { className: kind ? `hpteach-note hpteach-${kind}` : "hpteach-note" }, make("b", { textContent: word }));
  if (text) note.append(` ${text}`);
  return note;
}

function render({ model, el }) {
  const verdict = make("div", { className: "hpteach-verdict", id: named() });
  verdict.setAttribute("role", "status");
  verdict.setAttribute("aria-live", "polite");
  const entry = { text: textEntry, one: choiceEntry, several: choiceEntry, table: tableEntry }[model.get("kind")](model, verdict);
  const form = make("form", { className: "hpteach-form", noValidate: true, autocomplete: "off" }, ...entry.body, verdict);
  let shown = JSON.stringify(entry.read());
  const sent = []; // our own words, which come back in their order

  function send(check) {
    const answer = entry.read();
    shown = JSON.stringify(answer);
    sent.push(shown);
    model.send({ answer, check });
  }

  function write() {
    const value = model.get("value");
    const told = JSON.stringify(value);
    const ours = sent.indexOf(told);
    sent.splice(0, ours + 1);
    if (ours !== -1 || told === shown) return; // our own words come back: what is typed meanwhile stays
    entry.write(value);
    shown = JSON.stringify(entry.read());
  }

  function say() {
    const said = model.get("verdict");
    verdict.replaceChildren();
    entry.mark(said);
    setTimeout(() => verdict.replaceChildren(...(said.rows ?? []).map(row)), 30); // so that the same words are read out again
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    send(true);
  });
  form.addEventListener("change", () => send(false));
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" && !event.ctrlKey && !event.metaKey) event.stopPropagation(); // no letter of an answer is a key of the panel round it
    if (event.key === "Enter" && ["radio", "checkbox"].includes(event.target.type)) {
      event.preventDefault();
      form.requestSubmit();
    }
  });
  el.append(form);
  const watched = { "change:value": write, "change:verdict": say };
  Object.entries(watched).forEach(([event, act]) => model.on(event, act));
  write();
  say();
  if (model.get("takes_focus")) requestAnimationFrame(() => entry.fields[0]?.focus());
  return () => Object.entries(watched).forEach(([event, act]) => model.off(event, act));
}

export default { render };
