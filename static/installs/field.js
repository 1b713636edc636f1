// The phone's cards with or without signal: what is entered goes to the queue, the next step comes from this page.
// Without JavaScript, or on plain http, the same forms are posted as they stand.
(() => {
  const root = document.documentElement, person = Number(root.dataset.person);
  const line = document.getElementById("waiting");
  if (!person || !line) return;
  if (!window.isSecureContext) {
    line.textContent = "Working without signal needs https: ask the office for the address that begins with https.";
    line.hidden = false;
    return;
  }
  const made = () => new Date(root.dataset.made);
  const age = async () => Date.now() - (await Queue.ahead().catch(() => 0)) - made();
  const clock = (time) => new Date(time).toLocaleTimeString([], { hour: "numeric", minute: "2-digit" });
  const day = (time) => new Date(time).toLocaleDateString([], { weekday: "short", month: "short", day: "numeric" });
  const make = (tag, words, of = {}) => Object.assign(document.createElement(tag), { textContent: words, ...of });

  // --- from a form to an entry ---------------------------------------------------------------

  class Fault extends Error { constructor(name, words) { super(words); this.field = name; } }
  const text = (form, name) => {
    const fields = form.elements[name];
    const field = fields instanceof RadioNodeList ? [...fields].find((f) => !f.closest("[hidden]")) : fields;
    return (field?.value ?? "").trim();
  };
  const ticked = (form, name) => [...form.querySelectorAll(`input[name="${name}"]:checked`)].map((box) => box.value);

  function number(form, name) {
    const typed = text(form, name).replace("−", "-");
    if (!typed) return null;
    const plain = /^-?\d{1,3}(,\d{3})+(\.\d+)?$/.test(typed) ? typed.replaceAll(",", "") : typed;
    const value = /^-?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : NaN;
    if (!Number.isFinite(value)) throw new Fault(name, "Enter a number, decimals with a point.");
    return value;
  }

  const builds = {
    item(form, step) {
      const cannot = text(form, "cannot");
      const entry = { code: step.code, subject: text(form, "subject"), text: text(form, "text"), data: {} };
      const corrects = text(form, "corrects");
      if (corrects) entry.corrects = corrects;
      if (step.per && !entry.subject) throw new Fault("subject", `Which ${step.per}?`);
      if (cannot) return { ...entry, text: cannot, data: { cannot: true } };
      const photo = form.elements.photo?.files?.length > 0;
      const signed = text(form, "signed");
      if (signed) entry.data.signed = signed;
      if (step.kind === "signature" && !signed && !photo) throw new Fault("signed", "Sign, or photograph the signed card.");
      if (step.kind === "photo" && !photo) throw new Fault("photo", "Take a photo, or say why not.");
      if (step.kind === "document" && !entry.text && !photo) throw new Fault("text", "Give its number, or photograph it.");
      if (step.kind === "reading") reading(form, step, entry);
      return entry;
    },
    pass(form, step) {
      const failed = ticked(form, "failed"), wrench = needWrench(step);
      return { ...step.entry, data: { wrench, failed, torqued: step.bolts - failed.length } };
    },
    bolt(form, step, pressed) {
      const entry = { ...step.entry, data: { wrench: document.getElementById("id_wrench")?.value || "" } };
      if (pressed === "torqued") needWrench(step);
      else { delete entry.number; delete entry.unit; }
      if (pressed === "kept turning") entry.data.failed = true;
      if (pressed === "new bolt") entry.data.new_bolt = true;
      return entry;
    },
    check(form, step) {
      const bolts = form.elements.all_bolts?.checked ? step.all : ticked(form, "checked"), moved = ticked(form, "moved");
      if (!bolts.length && !moved.length) throw new Fault("checked", "Which bolts were checked?");
      const data = { bolts, wrench: needWrench(step, "Checked with which wrench?") };
      if (moved.length) data.failed = moved;
      return { ...step.entry, data };
    },
    ticket(form, step) {
      const ticket = text(form, "ticket"), yards = number(form, "yards"), batched = text(form, "batched");
      if (!ticket) throw new Fault("ticket", "The ticket's number.");
      if (yards === null || yards < 0.25 || yards > 15) throw new Fault("yards", "Yards of the ticket, 0.25 to 15.");
      const data = { ticket };
      if (batched) {
        const at = new Date();
        at.setHours(...batched.split(":").map(Number), 0, 0);
        if (at > new Date()) at.setDate(at.getDate() - 1);  // a truck batched before midnight
        data.batched_at = at.toISOString();
      }
      return { ...step.entry, number: yards, text: ticket, data };
    },
    figure(form, step) {
      const cannot = text(form, "cannot"), value = number(form, "number"), why = text(form, "why");
      if (cannot) return { ...step.entry, text: cannot, data: { cannot: true } };
      if (value === null) throw new Fault("number", "Enter the reading, or say why it cannot be taken.");
      if (value < step.least || value > step.most)
        throw new Fault("number", `${value} ${step.unit}: it can be ${step.least} to ${step.most} ${step.unit}.`);
      return { ...step.entry, number: value, ...(why ? { text: why } : {}) };
    },
    async reject(form, step) {
      const why = text(form, "why");
      if (!why) throw new Fault("why", "Say why the truck is rejected.");
      if (step.entry.corrects) return { ...step.entry, text: why };
      // its ticket was entered on this phone since the page was made: it waits here, or was sent since
      const waits = await Queue.waiting(person);  // read before what was sent: an entry only moves that way
      const own = [...(await Queue.sent(person, location.pathname)), ...waits]
        .filter((row) => row.path === location.pathname && row.key === step.of && row.state !== "refused");
      const ticket = own.at(-1)?.entry;
      if (!ticket) throw new Fault("why", "Enter its ticket first.");
      const data = { ...ticket.data, ticket: ticket.text, yards: ticket.number, refused: true };
      return { ...step.entry, text: why, data, corrects: ticket.uuid };
    },
  };

  function reading(form, step, entry) {
    const value = number(form, "number");
    if (value === null) throw new Fault("number", "Enter the reading, or say why it cannot be taken.");
    entry.number = value;
    const outside = (step.low !== null && value < step.low) || (step.high !== null && value > step.high);
    if (!outside) return;
    const again = form.querySelector(".look-again");
    if (again) again.hidden = false;
    entry.text = text(form, "text");
    if (form.dataset.looked !== String(value) || !entry.text) {
      form.dataset.looked = String(value);
      throw new Fault("text", `${step.words} Look again; if it is so, say what you saw.`);
    }
    entry.data.out_of_tolerance = true;
  }

  function needWrench(step, words = "Which wrench?") {
    const wrench = document.getElementById("id_wrench")?.value || "";
    if (step.torqued && !wrench) throw new Fault("", words);
    return wrench;
  }
  // the wrench stays chosen from one card to the next
  document.addEventListener("change", (event) => {
    if (event.target.id === "id_wrench") sessionStorage.setItem("wrench", event.target.value);
  });
  const sameWrench = () => {
    const field = document.getElementById("id_wrench"), kept = sessionStorage.getItem("wrench");
    if (field && kept && !field.value && [...field.options].some((o) => o.value === kept)) field.value = kept;
  };
  document.addEventListener("card:new", sameWrench);

  // --- photos: a megabyte at most; when and where it was taken go along as figures --------------

  async function scaled(file) {
    let picture;
    try {
      picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    } catch {
      return file.arrayBuffer();  // the phone cannot draw it; the office says what it thinks of it
    }
    for (const [side, quality] of [[1600, 0.82], [1600, 0.6], [1200, 0.6], [900, 0.5]]) {
      const grow = Math.min(1, side / Math.max(picture.width, picture.height));
      const canvas = Object.assign(document.createElement("canvas"),
        { width: Math.round(picture.width * grow), height: Math.round(picture.height * grow) });
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
      if (blob && (blob.size <= 1_000_000 || side === 900)) return blob.arrayBuffer();
    }
    return file.arrayBuffer();
  }

  // --- one press ---------------------------------------------------------------------------------

  const busy = new WeakSet();
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.dataset.step) return stopWithoutSignal(event);
    event.preventDefault();
    if (busy.has(form)) return;
    busy.add(form);
    presses += 1;
    form.querySelectorAll(".errorlist").forEach((list) => list.remove());
    try {
      const step = JSON.parse(form.dataset.step), file = form.elements.photo?.files?.[0];
      const entry = await builds[step.build](form, step, event.submitter?.value);
      entry.data ??= {};
      if (file) Object.assign(entry.data, await Photo.facts(file));
      const whole = { uuid: crypto.randomUUID(), job: step.job, taken_at: new Date().toISOString(), ...entry };
      for (const name of ["subject", "text", "unit"]) if (!whole[name]) delete whole[name];
      const row = { person, path: location.pathname, key: step.key, title: step.title, entry: whole };
      await Queue.add(row, file ? await scaled(file) : null);
    } catch (error) {
      busy.delete(form);
      return refuse(form, error);
    }
    // it is kept: whatever happens to the page from here on, it is not entered twice
    sentSome = true;
    const step = JSON.parse(form.dataset.step);
    history.replaceState(null, "", location.pathname + (step.page || ""));
    await next(step.key);
    busy.delete(form);
  });
  let presses = 0;

  function refuse(form, error) {
    const full = error?.name === "QuotaExceededError";
    const words = full ? "The phone's storage is full: it was not kept. Free some space, then press again."
      : error instanceof Fault ? error.message : `The phone did not keep it: ${error?.message || error}. Press again.`;
    const list = make("ul", "", { className: "errorlist" });
    list.setAttribute("role", "alert");
    list.append(make("li", words));
    const field = error.field ? form.querySelector(`[name="${error.field}"]`) : null;
    (field ? field.closest(".number-row") || field : form.querySelector("button")).after(list);
    field?.focus();
  }

  function stopWithoutSignal(event) {
    if (navigator.onLine) return;
    event.preventDefault();
    const signing = event.target.action.includes("sign-out");
    show(signing ? "No signal: sign out when there is. What waits here goes out under your name only."
      : event.target.dataset.offline || "Starting or finishing work asks the office first: that needs signal. What you enter on the lists is kept.");
  }

  document.addEventListener("submit", async (event) => {
    if (!event.target.action?.includes("sign-out") || !navigator.onLine || event.target.dataset.sure) return;
    event.preventDefault();
    const left = (await Queue.waiting(person)).filter((row) => row.state !== "set aside").length;
    if (left && !confirm(`${count(left)} not sent. They stay on this phone and go on after you sign in again. Sign out?`)) return;
    event.target.dataset.sure = "yes";
    navigator.serviceWorker?.controller?.postMessage("nobody");
    event.target.submit();
  }, true);

  // --- the next step, from the templates of this page ----------------------------------------------

  // what this phone knows of this page and the page does not: what waits, and what was sent since it was made
  async function ownRows() {
    const waits = (await Queue.waiting(person)).filter((row) => row.path === location.pathname && row.state === "waiting");
    const since = (await Queue.sent(person, location.pathname)).filter((row) => new Date(row.at) > made());
    return [...since, ...waits];
  }

  const templates = () => [...document.querySelectorAll("template.step")];
  const isOpen = (kept) => (t) => t.dataset.done !== "yes" && !kept.has(t.dataset.key) && !kept.has(t.dataset.unless);

  async function next(done) {
    const main = document.getElementById("steps");
    if (!main) return;
    const of = root.dataset.made, here = await ownRows();
    if (of !== root.dataset.made) return;  // the office's newer page has come meanwhile and knows better
    const kept = new Set(here.map((row) => row.key));
    const steps = templates(), from = done ? steps.findIndex((t) => t.dataset.key === done) + 1 : 0;
    swap(main, steps.slice(from).find(isOpen(kept)) || steps.find(isOpen(kept)), here);
    await mark(here);
    scrollTo(0, 0);
  }

  // the step that an address asks for: an item, a truck's figure, a bolt or a joint
  function wanted(search, kept) {
    const asked = new URLSearchParams(search), of = (name) => asked.get(name) || "";
    if (of("correct")) return undefined;
    const keys = templates(), is = (key) => keys.find((t) => t.dataset.key === key);
    if (of("item")) return is(of("item"));
    if (of("truck")) return is(`truck ${of("truck")}${of("code") ? ` ${of("code")}` : ""}`);
    const joint = keys.filter((t) => of("joint") && `${t.dataset.key} `.startsWith(`joint ${of("joint")} `));
    const first = joint.find(isOpen(kept));
    // bolts come one by one only after the passes of the whole joint
    return of("bolt") && first?.dataset.key.includes(" bolt ") ? is(first.dataset.key.replace(/ bolt .*/, ` bolt ${of("bolt")}`)) : first;
  }

  function swap(main, template, here = []) {
    const turning = here.filter((row) => row.entry.data?.failed === true).map((row) => row.title).join("; ");
    const end = `Everything on this list is recorded, here or at the office.${turning &&
      ` Kept turning: ${turning}. Put in new bolts; they are entered when there is signal.`}`;
    main.replaceChildren(template ? template.content.cloneNode(true) : make("p", end, { className: "strip-line" }));
    document.dispatchEvent(new Event("card:new"));
  }

  document.addEventListener("click", async (event) => {
    const link = event.target.closest("a[href]"), main = document.getElementById("steps");
    if (!link || !main || navigator.onLine) return;
    const to = new URL(link.getAttribute("href"), location.href);
    if (to.pathname !== location.pathname || !wanted(to.search, new Set())) return;
    event.preventDefault();
    swap(main, wanted(to.search, new Set((await ownRows()).map((row) => row.key))));
    scrollTo(0, 0);
  });

  async function mark(rows) {
    document.querySelectorAll("[data-mark]").forEach((place) => place.remove());
    for (const row of rows) {
      const place = document.querySelector(`[data-row="${CSS.escape(row.key)}"]`);
      if (!place) continue;
      const where = row.at ? "at the office; this page is older" : "on this phone, not sent";
      const words = make("p", `${said(row.entry)} ${clock(row.entry.taken_at)}, ${where}.`, { className: "kept" });
      words.dataset.mark = "yes";
      place.append(words);
    }
  }

  const said = (e) => e.data?.cannot ? `Not done: ${e.text}.`
    : [e.subject, e.number !== undefined ? `${e.number} ${e.unit || ""}`.trim() : "", e.text || (e.number === undefined ? "done" : "")]
      .filter(Boolean).join(" ");

  // --- what is said of the queue --------------------------------------------------------------------

  const count = (n) => (n === 1 ? "1 entry is" : `${n} entries are`);
  let shown = "";
  function show(words) { shown = words; tell(); }

  async function tell() {
    const rows = await Queue.waiting(person).catch(() => null);
    if (!rows) {
      line.replaceChildren(make("strong", "This phone's storage cannot be read: what you enter may not be kept. Write it on paper too."));
      line.hidden = false;
      return;
    }
    const left = rows.filter((row) => row.state === "waiting"), refused = rows.filter((row) => row.state === "refused");
    const parts = [];
    if (shown) parts.push(make("p", shown));
    const heard = await Queue.heard();
    for (const words of heard) parts.push(make("p", `Recorded. ${words}`, { className: "fault" }));
    if (heard.length) parts.push(make("button", "Seen", { type: "button", onclick: () => Queue.seen() }));
    if (left.length) {
      const oldest = left.map((row) => row.entry.taken_at).sort()[0];
      const long = Date.now() - new Date(oldest) > 24 * 3600_000;
      parts.push(make(long ? "strong" : "p", `${count(left.length)} on this phone, not sent, oldest ${day(oldest)} ${clock(oldest)}.` +
        (long ? " Go where there is signal and open this page." : "") + (Queue.trouble() ? ` ${Queue.trouble()}` : "")));
      parts.push(make("button", "Send now", { type: "button", onclick: () => Queue.send() }));
      if (Queue.trouble().startsWith("Sign in")) parts.push(make("a", "Sign in", { href: `/sign-in/?next=${location.pathname}`, className: "button" }));
    }
    for (const row of refused) {
      const box = make("div", "", { className: "refused" });
      box.append(make("p", `${row.title}: ${said(row.entry)}. The office refused it: ${row.reason}`));
      box.append(make("a", "Enter it again", { href: row.path, className: "button" }));
      box.append(make("button", "Set it aside", { type: "button", onclick: () => Queue.setAside(row) }));
      parts.push(box);
    }
    if (await age() > 3 * 60_000) parts.push(make("p", `No newer page: this one, and the gates on it, are from ${day(made())} ${clock(made())}.`));
    line.replaceChildren(...parts);
    line.hidden = !parts.length;
    await mark(await ownRows());
    sentSome ||= left.length > 0;
    if (left.length || !sentSome) return;
    sentSome = false;
    if (!(await refresh())) sentSome = true;  // at the next change
  }
  let sentSome = false;

  // the office's own page in place of this one, once all is answered for; never under somebody's fingers
  async function refresh() {
    const before = presses, anew = { cache: "no-store", headers: { "X-Hold": "1" } };
    const answer = await fetch(location.href, anew).catch(() => null);
    if (!answer?.ok || answer.redirected) return false;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (typing() || presses !== before || !fresh.getElementById("waiting")) return false;
    document.getElementById("main").replaceWith(document.adoptNode(fresh.getElementById("main")));
    root.dataset.made = fresh.documentElement.dataset.made;
    document.dispatchEvent(new Event("card:new"));
    if (location.search) await fetch(location.pathname, anew).catch(() => null);
    return true;
  }
  const typing = () => [...document.querySelectorAll("#steps input:not([type=hidden])")].some((f) => f.value && f.value !== f.defaultValue);

  // --- pages held for no signal -----------------------------------------------------------------------

  async function hold() {
    const held = document.getElementById("held");
    if (!navigator.serviceWorker) return;
    const registration = await navigator.serviceWorker.register("/sw.js", { scope: "/" });
    if (!registration) return;
    registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", async (event) => {
      // a new version waits until nothing does: it takes over at once only where no entry is open
      if (event.target.state === "installed" && !typing()) registration.waiting?.postMessage("go on");
    }));
    await navigator.serviceWorker.ready;
    // only what passes through it is held
    if (!navigator.serviceWorker.controller)
      await new Promise((resolve) => navigator.serviceWorker.addEventListener("controllerchange", resolve, { once: true }));
    const persists = await navigator.storage?.persist?.().catch(() => false);
    const links = [...new Set([location.pathname, ...[...document.querySelectorAll("[data-hold]")].map((a) => a.getAttribute("href"))])];
    let kept = 0;
    if (navigator.onLine) for (const path of links) kept += await fetch(path, { headers: { "X-Hold": "1" } }).then((a) => (a.ok && a.headers.has("X-Person") ? 1 : 0), () => 0);
    if (held) held.textContent = kept === links.length
      ? `${kept} pages are held for no signal, as of ${clock(Date.now())}. ${persists ? "The phone keeps them."
        : "The phone may clear them after some days: put this page on the home screen."}`
      : `${kept} of ${links.length} pages are held for no signal.`;
  }

  Queue.onChange(tell);
  window.addEventListener("online", () => show(""));
  (async () => {
    const kept = new Set((await ownRows().catch(() => [])).map((row) => row.key));
    const live = document.querySelector("#steps form[data-step]");
    // a held page is the plain one, whatever was asked for
    const asked = (await age()) > 3_000 ? wanted(location.search, kept) : undefined;
    const key = live && JSON.parse(live.dataset.step).key, its = templates().find((t) => t.dataset.key === key);
    if (asked && asked !== its) swap(document.getElementById("steps"), asked);
    else if (kept.has(key) || kept.has(its?.dataset.unless)) await next("");
    await tell();
    Queue.start();
    hold();
  })();
})();
