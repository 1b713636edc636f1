// A draft is saved by its button alone. While the form is on its way nothing is redrawn: a redraw that waited behind
// the press would come after it, and what is typed meanwhile would go with the page.
document.addEventListener("DOMContentLoaded", () => {
  const form = document.getElementById("schedule");
  const STOPPED_MS = 20_000; // no answer, and the page still stands: it takes figures again
  let sent = false;

  const open = () => {
    sent = false;
    form.inert = false;
  };
  form.addEventListener("submit", (event) => {
    if (sent) {
      event.preventDefault();
      return;
    }
    sent = true;
    form.inert = true;
    htmx.trigger(form, "htmx:abort");
    setTimeout(open, STOPPED_MS);
  });
  form.addEventListener("htmx:beforeRequest", (event) => {
    if (sent) event.preventDefault();
  });
  window.addEventListener("pageshow", open); // the page was left and is come back to

  // A balloon is lit on the drawing and in the schedule while its line has the focus, and leads there when pressed.
  const inSchedule = (number) =>
    [...form.querySelectorAll(".schedule-line .balloon")].filter((each) => each.textContent.trim() === number);
  const onDrawings = () => [...document.querySelectorAll("#sheet .layer-balloon text")];
  const light = () => {
    const number = document.activeElement?.closest(".schedule-line")?.querySelector(".balloon")?.textContent.trim();
    for (const word of onDrawings())
      for (const each of [word, word.previousElementSibling])
        each.classList.toggle("lit", word.textContent.trim() === number);
    for (const each of form.querySelectorAll(".schedule-line .balloon")) {
      each.classList.toggle("lit", each.closest(".schedule-line").contains(document.activeElement));
    }
  };
  form.addEventListener("focusin", light);
  form.addEventListener("focusout", () => setTimeout(light));
  document.body.addEventListener("htmx:afterSettle", light);
  document.addEventListener("click", (event) => {
    const pressed = event.target.closest("#sheet .layer-balloon :is(text, circle)");
    const word = pressed?.matches("circle") ? pressed.nextElementSibling : pressed;
    const [balloon] = word ? inSchedule(word.textContent.trim()) : [];
    balloon?.closest(".schedule-line").querySelector("input, select, textarea")?.focus();
  });
});
