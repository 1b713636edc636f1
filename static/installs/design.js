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
  // The page was left and is come back to: the browser puts back what was typed, and the drawing is made of it.
  // A select that says no choice stands on its first one.
  const chosen = (field, of) => Math.max(0, [...field.options].findIndex(of));
  const typed = (field) =>
    field.type === "checkbox" || field.type === "radio"
      ? field.checked !== field.defaultChecked
      : field.options
        ? chosen(field, (each) => each.selected) !== chosen(field, (each) => each.defaultSelected)
        : field.type !== "hidden" && "defaultValue" in field && field.value !== field.defaultValue;
  window.addEventListener("pageshow", () => {
    open();
    if ([...form.elements].some(typed)) htmx.trigger(form, "change");
  });

  // What is chosen from a list is read whole under it where the list would cut it (as design_forms.py has it).
  const WHOLE = 34;
  form.addEventListener("change", (event) => {
    const under = event.target.closest?.(".chosen")?.querySelector("[data-chosen]");
    const words = event.target.selectedOptions?.[0]?.textContent.trim() ?? "";
    if (under) under.textContent = event.target.value && words.length > WHOLE ? words : "";
  });

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
    const line = balloon?.closest(".schedule-line");
    if (line?.closest("details")) line.closest("details").open = true;
    line?.querySelector("input, select, textarea")?.focus();
  });

  // What stands further down beside the schedule is named under the drawing, and a press brings it into sight.
  const sheet = document.getElementById("sheet");
  const words = (heading) => [...heading.childNodes].filter((each) => !each.classList?.contains("balloon"));
  const name = (heading) =>
    words(heading)
      .map((each) => each.textContent)
      .join("")
      .trim()
      .split(":")[0];
  const further = () => {
    sheet.querySelector(".jumps")?.remove();
    const headings = [...sheet.querySelectorAll(".drawings h2, .below-notes h2")];
    if (headings.length < 2) return;
    const row = document.createElement("p");
    row.className = "jumps no-print";
    for (const heading of headings) {
      const to = Object.assign(document.createElement("button"), { type: "button", textContent: name(heading) });
      to.addEventListener("click", () => heading.scrollIntoView({ block: "start" }));
      row.append(to);
    }
    sheet.append(row);
  };
  document.body.addEventListener("htmx:afterSettle", further);
  further();

  // What is wrong is never folded away: a fault that a redraw brings, or a link that leads to a field
  const unfold = (within) => {
    for (const fold of form.querySelectorAll("details:not([open])")) if (within(fold)) fold.open = true;
  };
  const faulty = (fold) => fold.querySelector(".faults > *") || fold.closest(".schedule-line:has(.faults > *)");
  document.body.addEventListener("htmx:afterSettle", () => unfold(faulty));
  const lead = () => {
    const field = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!field) return;
    unfold((fold) => fold.contains(field));
    field.scrollIntoView({ block: "center" });
  };
  window.addEventListener("hashchange", lead);
  if (location.hash) lead();
});
