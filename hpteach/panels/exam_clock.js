// Shows the time that is left and counts it down here; the kernel alone knows the deadline and is asked again from time to time.
const ASK_EVERY = 20_000; // ms
const TOLD_AT = [600, 300, 60]; // seconds left at which it is said aloud
const COMMIT_AT = 2; // seconds left at which what is typed is sent

export function inWords(seconds) {
  const whole = Math.max(0, Math.ceil(seconds));
  const minutes = Math.floor(whole / 60);
  return minutes ? `${minutes} min ${String(whole % 60).padStart(2, "0")} s` : `${whole} s`;
}

function render({ model, el }) {
  const shown = document.createElement("div");
  shown.className = "hpteach-clock";
  shown.setAttribute("role", "timer");
  shown.setAttribute("aria-live", "off");
  const said = document.createElement("div");
  said.className = "hpteach-unseen";
  said.setAttribute("aria-live", "polite");
  el.append(shown, said);
  let end = null;
  let before = Infinity;
  let committed = false;

  function heard() {
    const left = model.get("left");
    end = left.length ? performance.now() + 1000 * left[0] : null;
    committed = false;
    before = Infinity;
    tick();
  }

  function tick() {
    if (end === null) {
      shown.textContent = "";
      return;
    }
    const left = (end - performance.now()) / 1000;
    shown.textContent = left > 0 ? `Time left: ${inWords(left)}` : "The time is over.";
    const reached = TOLD_AT.find((at) => before > at && left <= at && left > at - 5);
    if (reached) said.textContent = `${reached / 60} ${reached === 60 ? "minute" : "minutes"} left.`;
    if (left <= COMMIT_AT && !committed) {
      committed = true;
      if (document.activeElement?.closest(".hpteach-form")) document.activeElement.blur(); // what is typed is sent before the time is over
    }
    if (left <= 0 && before > 0) ask();
    before = left;
  }

  function ask() {
    model.send({ ask: true });
  }

  model.on("change:left", heard);
  heard();
  ask();
  const ticking = setInterval(tick, 500);
  const asking = setInterval(ask, ASK_EVERY);
  return () => {
    clearInterval(ticking);
    clearInterval(asking);
    model.off("change:left", heard);
  };
}

export default { render };
