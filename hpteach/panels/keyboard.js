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
    handle.setAttribute("aria-disabled", String(handle.closest(".noUi-target")?.hasAttribute("disabled") ?? false));
  }
}

// Which of several buttons is pressed is told by its look alone, so whoever hears the page would not know it, nor what the row is called.
function nameButtons(panel) {
  for (const row of panel.querySelectorAll(".widget-toggle-buttons")) {
    const label = row.querySelector(".widget-label:not(:empty)") ?? row.parentElement.querySelector(":scope > .widget-label");
    row.setAttribute("role", "group");
    if (label) row.setAttribute("aria-label", label.textContent);
  }
  for (const button of panel.querySelectorAll(".widget-toggle-button")) button.setAttribute("aria-pressed", String(button.classList.contains("mod-active")));
}

// What slides sideways, such as a wide table on a phone, is a stop of the Tab key, so that arrow keys slide it; what fits is none.
function reachSliding(panel) {
  for (const one of panel.querySelectorAll(".hpteach-wide, .hpteach-broad, .widget-html-content, .widget-box:not(.hpteach-view)")) {
    const cut = one.scrollWidth > one.clientWidth + 1 && ["auto", "scroll"].includes(getComputedStyle(one).overflowX);
    const slides = cut && !one.querySelector("a[href], button, input, select, summary, [tabindex]:not(.hpteach-slides)");
    if (slides === one.classList.contains("hpteach-slides")) continue;
    one.classList.toggle("hpteach-slides", slides);
    if (slides) one.tabIndex = 0;
    else one.removeAttribute("tabindex");
  }
}

// Looks after a panel whenever its size or its parts change: at once, or when a hand that moves it rests.
function lookAfter(panel, signal) {
  const resized = new ResizeObserver(() => reachSliding(panel));
  let rests = 0;
  const changed = new MutationObserver(() => {
    clearTimeout(rests);
    rests = setTimeout(() => {
      nameSliders(panel);
      nameButtons(panel);
      reachSliding(panel);
    }, 150);
  });
  resized.observe(panel);
  nameButtons(panel);
  changed.observe(panel, { childList: true, subtree: true, attributes: true, attributeFilter: ["class"] });
  signal.addEventListener("abort", () => [resized, changed].forEach((one) => one.disconnect()));
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
    lookAfter(panel, listening.signal);
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
