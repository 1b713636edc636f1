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
});
