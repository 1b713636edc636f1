// No wrong bolt: a form that has just come takes no press from a finger that was meant for the one before it, and the
// last press can be taken back for a minute. What was taken back is kept, struck, as the office keeps it
// (installs/checklists/services.py); later a line is struck with its reason.
const Guard = (() => {
  const STILL_MS = 700,
    BACK_MS = 60_000,
    LAST = "last press";
  let turn = 0,
    shown = "";

  const stepOf = (place) => {
    const form = place?.querySelector("form[data-step]");
    return form ? JSON.parse(form.dataset.step).key : "";
  };
  const steps = () => document.getElementById("steps");

  // the form that the page came with was pressed for by nobody
  const begin = () => {
    shown = stepOf(steps());
  };

  // while the second tap of one finger may still land on another form than it was meant for
  async function settle() {
    const key = stepOf(steps());
    if (key === shown) return;
    shown = key;
    const mine = ++turn,
      { dataset } = document.documentElement;
    dataset.still = "yes";
    await new Promise((done) => {
      setTimeout(done, STILL_MS);
    });
    if (mine === turn) delete dataset.still;
  }
  const still = () => "still" in document.documentElement.dataset;

  function pressed(step, entries) {
    sessionStorage.removeItem(LAST);
    if (!step.back) return;
    const kept = entries.map(({ uuid, job, code, subject }) => ({ uuid, job, code, subject }));
    const of = { words: step.back, key: step.key, title: step.title, path: location.pathname };
    sessionStorage.setItem(LAST, JSON.stringify({ ...of, at: Date.now(), entries: kept }));
  }

  function last() {
    const kept = JSON.parse(sessionStorage.getItem(LAST) || "null"),
      left = kept ? kept.at + BACK_MS - Date.now() : 0;
    return kept && kept.path === location.pathname && left > 0 && left <= BACK_MS ? { ...kept, left } : null;
  }

  // beside the form that came after it, where the thumb is; ``take`` strikes it
  function offer(take) {
    for (const old of document.querySelectorAll(".take-back")) old.remove();
    const kept = last(),
      place = steps()?.querySelector("form[data-step]") || steps();
    if (!kept || !place) return;
    const line = document.createElement("p"),
      button = document.createElement("button");
    line.className = "take-back";
    Object.assign(button, { type: "button", textContent: `Take back ${kept.words}` });
    button.addEventListener("click", () => {
      if (still() || !last()) return;
      sessionStorage.removeItem(LAST);
      line.remove();
      take(kept);
    });
    line.append(button);
    place.prepend(line);
    setTimeout(() => line.remove(), kept.left);
  }

  const struck = ({ entries }) =>
    entries.map(({ uuid, ...of }) => ({
      uuid: crypto.randomUUID(),
      ...of,
      corrects: uuid,
      taken_at: new Date().toISOString(),
      data: { struck: true },
    }));

  return { begin, settle, still, pressed, offer, struck };
})();
