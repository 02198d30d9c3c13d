// Sends the keys pressed inside a panel to it, keeps them from the notebook round it, and copies the picture code.
function panelOf(element) {
  return element.closest(".hpteach-view");
}

function isTyping(target) {
  if (target.isContentEditable || target.tagName === "TEXTAREA" || target.tagName === "SELECT") return true;
  return target.tagName === "INPUT" && !["radio", "checkbox", "button", "range"].includes(target.type);
}

// A slider's handle stands apart from its label, so whoever hears the page would hear a number without a name.
function nameSliders(panel) {
  for (const handle of panel.querySelectorAll("[role=slider]")) {
    const label = handle.closest(".widget-inline-hbox, .widget-hslider")?.querySelector(".widget-label");
    if (label && handle.getAttribute("aria-label") !== label.textContent) handle.setAttribute("aria-label", label.textContent);
  }
}

function whenConnected(element, act) {
  if (element.isConnected && panelOf(element)) act(panelOf(element));
  else requestAnimationFrame(() => whenConnected(element, act));
}

function render({ model, el }) {
  const listening = new AbortController();
  whenConnected(el, (panel) => {
    if (listening.signal.aborted) return;
    panel.setAttribute("data-lm-suppress-shortcuts", "true");
    panel.tabIndex = -1;
    panel.setAttribute("role", "group");
    panel.setAttribute("aria-label", model.get("panel"));
    nameSliders(panel);
    setTimeout(() => nameSliders(panel), 1000);
    panel.addEventListener("focusin", () => nameSliders(panel), { signal: listening.signal });
    panel.addEventListener(
      "keydown",
      (event) => {
        if (event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
        if (panelOf(event.target) !== panel || !model.get("listens_to").includes(event.key)) return;
        event.preventDefault();
        event.stopPropagation();
        model.send({ key: event.key });
      },
      { signal: listening.signal },
    );
  });
  if (model.get("copies")) {
    const button = document.createElement("button");
    button.className = "jupyter-button widget-button hpteach-copy";
    button.textContent = "Copy";
    button.title = "Copy the picture code";
    button.addEventListener("click", async () => {
      const field = panelOf(el).querySelector(".hpteach-code input");
      try {
        await navigator.clipboard.writeText(field.value);
        button.textContent = "Copied";
      } catch {
        field.select();
        button.textContent = "Press Ctrl C";
      }
      setTimeout(() => (button.textContent = "Copy"), 2000);
    });
    el.append(button);
  }
  return () => listening.abort();
}

export default { render };
