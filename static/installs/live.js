// Pages that renew themselves: never under somebody's fingers; keyboard and side scroll stay where they were.
(() => {
  const parts = () => [...document.querySelectorAll("#live, [data-live]")];
  const all = (what) => parts().flatMap((part) => [...part.querySelectorAll(what)]);
  const FIELDS = "input:not([type=hidden]), select, textarea",
    REACHED = "a[href], button, summary, [tabindex]",
    SIDEWAYS = ".strip-frame, .wide";
  const typed = (field) => {
    if (field.tagName === "SELECT") {
      const first = [...field.options].findIndex((option) => option.defaultSelected);
      return field.selectedIndex !== Math.max(first, 0);
    }
    return (
      field.checked !== field.defaultChecked ||
      (!("defaultChecked" in field && /checkbox|radio/.test(field.type)) && field.value !== field.defaultValue)
    );
  };
  const busy = () => all(FIELDS).some((field) => field === document.activeElement || typed(field));
  const ours = (event) => event.target.id === "live";

  // --- where the keyboard stands, and how far a strip is scrolled ---

  let kept = null;
  const name = (e) =>
    [
      e.tagName,
      e.id,
      e.getAttribute("href"),
      e.getAttribute("aria-label"),
      e.form?.getAttribute("action"),
      e.value,
    ].join(" ");
  const alike = (part, key) =>
    [...document.getElementById(part).querySelectorAll(REACHED)].filter((e) => name(e) === key);
  const note = () => {
    const at = document.activeElement,
      part = parts().find((each) => each.contains(at))?.id;
    kept = {
      part,
      key: name(at),
      place: part ? alike(part, name(at)).indexOf(at) : 0,
      lefts: all(SIDEWAYS).map((e) => e.scrollLeft),
    };
  };
  const putBack = () => {
    if (!kept) return;
    all(SIDEWAYS).forEach((e, n) => {
      e.scrollLeft = kept.lefts[n] || 0;
    });
    if (kept.part && document.activeElement === document.body) {
      const found = alike(kept.part, kept.key);
      (found[kept.place] || found[0] || document.getElementById("live")).focus({ preventScroll: true });
    }
    kept = null;
  };

  // --- what is said where it cannot renew ---

  const line = () => document.getElementById("trouble");
  let last = new Date(),
    said = "";
  const say = (words) => {
    said = words;
    line().textContent = words;
    line().hidden = false;
  };
  const clear = () => {
    if (said && line().textContent === said) line().hidden = true;
    said = "";
    last = new Date();
  };
  const old = () => `This page is as of ${Words.clock(last)}`;
  const failed = (words) => (event) => {
    if (!ours(event)) return;
    event.stopPropagation();
    say(`${old()}: ${words(event)}`);
  };
  document.addEventListener(
    "htmx:sendError",
    failed(() => "no answer from the server since."),
    true,
  );
  document.addEventListener(
    "htmx:responseError",
    failed((event) => `the server no longer renews it (${event.detail.xhr.status}).`),
    true,
  );

  // which rows it shows, and as what: the answer brings those that differ (installs/checklists/live_rows.py)
  document.addEventListener("htmx:configRequest", (event) => {
    const rows = all("[data-row]").map((row) => `${row.id}_${row.dataset.row}`);
    if (ours(event) && rows.length) event.detail.parameters.rows = rows.join(".");
  });
  document.addEventListener("htmx:beforeRequest", (event) => {
    if (ours(event) && (document.hidden || busy())) event.preventDefault();
  });
  document.addEventListener("htmx:beforeSwap", (event) => {
    if (!ours(event) || event.detail.xhr.status >= 400) return;
    const answered = event.detail.xhr;
    if (answered.status !== 204 && !answered.getResponseHeader("X-Live")) {
      event.detail.shouldSwap = false;
      say(`${old()}: sign in again, then open it anew.`);
      return;
    }
    clear();
    if (answered.status === 204) return;
    if (busy()) event.detail.shouldSwap = false;
    else note();
  });
  document.addEventListener("htmx:afterSettle", putBack);
})();
