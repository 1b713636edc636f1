// The phone's cards with or without signal: what is entered goes to the queue, the next step comes from this page.
// Without JavaScript, or on plain http, the same forms are posted as they stand.
(() => {
  const root = document.documentElement,
    person = Number(root.dataset.person);
  const line = document.getElementById("waiting");
  if (!person || !line) {
    root.dataset.ready = "yes";
    return;
  }
  if (!window.isSecureContext) {
    root.dataset.ready = "yes";
    line.textContent = "Working without signal needs https: ask the office for the address that begins with https.";
    line.hidden = false;
    return;
  }
  const made = () => new Date(root.dataset.made);
  const age = async () => Date.now() - (await Queue.ahead().catch(() => 0)) - made();
  const { clock, day } = Words;
  const make = (tag, words, of = {}) => Object.assign(document.createElement(tag), { textContent: words, ...of });

  // --- whether the page is at something of its own: who presses by program waits until data-ready is "yes" ---

  let underWay = 1; // until the first step stands
  const ended = () => {
    underWay -= 1;
    root.dataset.ready = underWay ? "no" : "yes";
  };
  const meanwhile =
    (work) =>
    async (...given) => {
      underWay += 1;
      root.dataset.ready = "no";
      try {
        return await work(...given);
      } finally {
        ended();
      }
    };

  // --- one press ---------------------------------------------------------------------------------

  const busy = new WeakSet();
  document.addEventListener(
    "submit",
    meanwhile(async (event) => {
      const form = event.target;
      if (!form.dataset.step) return askFirst(event);
      event.preventDefault();
      if (busy.has(form) || Guard.still()) return;
      busy.add(form);
      presses += 1;
      for (const list of form.querySelectorAll(".errorlist")) list.remove();
      const step = JSON.parse(form.dataset.step);
      try {
        const now = Date.now() - (await Queue.ahead().catch(() => 0)),
          file = form.elements.photo?.files?.[0];
        const entries = await Entries.of(form, step, { pressed: event.submitter?.value, now, own, every });
        if (file) Object.assign(entries[0].data, await Photo.facts(file));
        const typed = [...new FormData(form)].filter(
          ([name, value]) => typeof value === "string" && !UNTYPED.includes(name),
        );
        const of = { person, path: location.pathname, key: step.key, title: step.title, typed };
        await Queue.add(
          entries.map((entry) => ({ ...of, entry })),
          file ? await Photo.scaled(file) : null,
          Number(form.dataset.instead),
        );
        Guard.pressed(step, entries);
      } catch (error) {
        busy.delete(form);
        return refuse(form, error);
      }
      // it is kept: whatever happens to the page from here on, it is not entered twice
      sentSome = true;
      history.replaceState(null, "", location.pathname + (step.page || ""));
      await next(step);
      busy.delete(form);
    }),
  );
  let presses = 0;
  const UNTYPED = ["csrfmiddlewaretoken", "uuid"];

  function refuse(form, error) {
    const words = Queue.full(error)
      ? "The phone's storage is full: it was not kept. Free some space, then press again."
      : error instanceof Entries.Fault
        ? error.message
        : `The phone did not keep it: ${error?.message || error}. Press again.`;
    const list = make("ul", "", { className: "errorlist" });
    list.setAttribute("role", "alert");
    list.append(make("li", words));
    const field = error.field ? form.querySelector(`[name="${error.field}"]`) : null;
    (field ? field.closest(".number-row") || field.closest("label") || field : form.querySelector("button")).after(
      list,
    );
    field?.focus();
  }

  // what is no entry asks the office: permission, or signing out
  async function askFirst(event) {
    const form = event.target;
    if (form.dataset.sure) return;
    event.preventDefault();
    const signing = form.action.includes("sign-out");
    if (!(await Queue.reached()))
      return call(
        signing
          ? "No signal: sign out when you have signal. What waits here goes out under your name only."
          : "Starting or finishing work asks the office first: that needs signal. What you enter on the lists is kept.",
      );
    const left = signing
      ? (await Queue.waiting(person)).filter((row) => ["waiting", "refused"].includes(row.state)).length
      : 0;
    if (
      left &&
      !confirm(
        `${count(left)} not sent. ${left === 1 ? "It stays" : "They stay"} on this phone and can be sent after you ` +
          "sign in again. Sign out?",
      )
    )
      return;
    if (signing) navigator.serviceWorker?.controller?.postMessage("nobody");
    form.dataset.sure = "yes";
    form.requestSubmit(event.submitter);
  }

  // --- the next step, from the templates of this page ----------------------------------------------

  // everything this phone has recorded on this page; what waits is read first: an entry only moves the other way
  const every = async (path) => {
    const waits = (await Queue.waiting(person)).filter((row) => row.path === path && row.state === "waiting");
    return Steps.standing([...(await Queue.sent(person, path)), ...waits]);
  };
  const own = () => every(location.pathname);
  // what of it the page does not know: what waits, and what was sent since it was made
  const ownRows = async () => (await own()).filter((row) => !row.at || new Date(row.at) > made());

  async function next(step) {
    const main = document.getElementById("steps");
    if (!main) return;
    const of = root.dataset.made,
      here = await ownRows();
    if (of !== root.dataset.made) return; // the office's newer page has come meanwhile and knows better
    if (step.once) main.replaceChildren();
    else swap(main, Steps.next(step.key, here));
    await mark(here);
    await renew();
    scrollTo(0, 0);
  }

  // the card's own clock, its trucks and their sums: by what this phone knows, at the office's time
  async function renew() {
    const now = Date.now() - (await Queue.ahead().catch(() => 0));
    const zone = Trucks.told()?.zone;
    Trucks.show(await ownRows().catch(() => []), now);
    for (const place of document.querySelectorAll(".card-head .clock")) if (zone) place.textContent = clock(now, zone);
  }
  setInterval(() => renew(), 20_000);

  function swap(main, step) {
    Steps.head(step);
    main.replaceChildren(
      step
        ? step.make()
        : make("p", "Everything on this list is recorded, here or at the office.", { className: "strip-line" }),
    );
    document.dispatchEvent(new Event("card:new"));
  }

  document.addEventListener(
    "card:new",
    meanwhile(() => {
      Guard.offer(takeBack);
      return Guard.settle();
    }),
  );

  // the last press was not meant: it is struck, and its form comes again
  const takeBack = meanwhile(async (last) => {
    const of = { person, path: location.pathname, key: "", title: `Taken back: ${last.title}` };
    await Queue.add(Guard.struck(last).map((entry) => ({ ...of, entry })));
    sentSome = true;
    const main = document.getElementById("steps"),
      step = Steps.all(await ownRows()).find((each) => each.key === last.key);
    if (main && step) swap(main, step);
    await mark(await ownRows());
    await renew();
  });

  document.addEventListener(
    "click",
    meanwhile(async (event) => {
      const link = event.target.closest("a[href]"),
        main = document.getElementById("steps");
      if (!link || !main || !Queue.cut()) return;
      const to = new URL(link.getAttribute("href"), location.href);
      if (to.pathname !== location.pathname || !Steps.wanted(to.search, [])) return;
      event.preventDefault();
      swap(main, Steps.wanted(to.search, await ownRows()));
      await renew();
      scrollTo(0, 0);
    }),
  );

  async function mark(rows) {
    for (const place of document.querySelectorAll("[data-mark]")) place.remove();
    for (const row of rows) {
      const place = document.querySelector(`[data-row="${CSS.escape(row.key)}"]`);
      if (!place) continue;
      const where = row.at ? "at the office; this page is older" : "on this phone, not sent";
      const words = make("p", `${Unsent.said(row.entry)} ${clock(row.entry.taken_at)}, ${where}.`, {
        className: "kept",
      });
      words.dataset.mark = "yes";
      place.append(words);
    }
  }

  // --- a refused one is entered again: its form as it was typed, and the new entry in its place --------

  function again(row) {
    sessionStorage.removeItem("again");
    const main = document.getElementById("steps"),
      step = main && Steps.all([]).find((each) => each.key === row.key);
    if (row.path !== location.pathname) {
      sessionStorage.setItem("again", row.n);
      location.href = row.path;
    } else if (!step) call("This page has no form for it any more. Note it down for the office, then set it aside.");
    else fill(main, step, row);
  }

  function fill(main, step, row) {
    swap(main, step);
    const form = [...main.querySelectorAll("form[data-step]")].find(
      (each) => JSON.parse(each.dataset.step).key === row.key,
    );
    if (!form) return;
    form.dataset.instead = row.n;
    for (const [name, value] of row.typed || []) {
      const fields = [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)];
      const box = fields.find((field) => ["checkbox", "radio"].includes(field.type) && field.value === value);
      if (box) box.checked = true;
      else if (fields[0] && fields[0].type !== "file") fields[0].value = value;
    }
    form.querySelectorAll(".look-again").forEach((part) => {
      part.hidden = false;
    });
    scrollTo(0, 0);
  }

  // --- what is said of the queue --------------------------------------------------------------------

  const count = (n) => (n === 1 ? "1 entry is" : `${n} entries are`);
  let shown = "";
  function show(words) {
    shown = words;
    return tell();
  }
  // said at the head of the page, wherever on it the button was
  async function call(words) {
    await show(words);
    line.scrollIntoView({ block: "center" });
  }

  function unreadable(error) {
    const older = error?.name === "VersionError"; // another page of this phone is of a newer version
    line.replaceChildren(
      make(
        "strong",
        older
          ? "Mastwright was renewed on this phone. Load this page again."
          : "This phone's storage cannot be read: what you enter may not be kept. Write it on paper too.",
      ),
    );
    if (older) line.append(make("button", "Load again", { type: "button", onclick: () => location.reload() }));
    line.hidden = false;
  }

  // the storage may be renewed by another page between two reads of it
  const tell = meanwhile(() =>
    sayWhatWaits().catch((error) => {
      if (error instanceof TypeError || error instanceof ReferenceError) throw error; // a fault of ours
      unreadable(error);
    }),
  );

  async function sayWhatWaits() {
    const rows = await Queue.waiting(person);
    const left = rows.filter((row) => row.state === "waiting"),
      refused = rows.filter((row) => row.state === "refused");
    const parts = [];
    if (shown) parts.push(make("p", shown));
    const heard = await Queue.heard();
    for (const words of heard) parts.push(make("p", `Recorded. ${words}`, { className: "fault" }));
    if (heard.length) parts.push(make("button", "Seen", { type: "button", onclick: () => Queue.seen() }));
    if (left.length) {
      const oldest = left.map((row) => row.entry.taken_at).sort()[0];
      const long = Date.now() - new Date(oldest) > 24 * 3600_000;
      parts.push(
        make(
          long ? "strong" : "p",
          `${count(left.length)} on this phone, not sent, oldest ${day(oldest)} ${clock(oldest)}.` +
            (long ? " Go where there is signal and open this page." : "") +
            (Queue.trouble() ? ` ${Queue.trouble()}` : ""),
        ),
      );
      const what = make("details", "");
      what.append(make("summary", "What is not sent"), Unsent.list(left));
      parts.push(what);
      parts.push(make("button", "Send now", { type: "button", onclick: () => Queue.send() }));
      if (Queue.trouble().startsWith("Sign in"))
        parts.push(make("a", "Sign in", { href: `/sign-in/?next=${location.pathname}`, className: "button" }));
    }
    for (const row of refused) {
      const box = make("div", "", { className: "refused" });
      box.append(make("p", `${row.title}: ${Unsent.said(row.entry)}. The office refused it: ${row.reason}`));
      box.append(make("button", "Enter it again", { type: "button", onclick: () => again(row) }));
      box.append(make("button", "Set it aside", { type: "button", onclick: () => Queue.setAside(row) }));
      parts.push(box);
    }
    const aside = rows.filter((row) => row.state === "set aside");
    if (aside.length && document.getElementById("held")) {
      const list = make("details", "");
      list.append(make("summary", `${aside.length} set aside on this phone, not at the office`));
      for (const row of aside)
        list.append(
          make(
            "p",
            `${row.title}: ${Unsent.said(row.entry)} ${day(row.entry.taken_at)} ` +
              `${clock(row.entry.taken_at)}. ${row.reason}`,
          ),
        );
      parts.push(list);
    }
    if ((await age()) > 3 * 60_000)
      parts.push(make("p", `This page and its gates are from ${day(made())} ${clock(made())}; no newer one yet.`));
    line.replaceChildren(...parts);
    line.hidden = !parts.length;
    const by = document.getElementById("by-card");
    if (by) by.textContent = Steps.byCard(by.dataset, rows, clock) || by.textContent;
    await mark(await ownRows());
    await renew();
    sentSome ||= left.length > 0;
    if (left.length || !sentSome) return;
    sentSome = false;
    if (!(await refresh())) sentSome = true; // at the next change
  }
  let sentSome = false;

  // the office's own page in place of this one, once all is answered for; never under somebody's fingers
  async function refresh() {
    const before = presses,
      anew = { cache: "no-store", headers: { "X-Hold": "1" } };
    const answer = await fetch(location.href, anew).catch(() => null);
    if (!answer?.ok || answer.redirected) return false;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (Held.inHand() || presses !== before || !fresh.getElementById("waiting")) return false;
    document.getElementById("main").replaceWith(document.adoptNode(fresh.getElementById("main")));
    Held.say();
    root.dataset.made = fresh.documentElement.dataset.made;
    document.dispatchEvent(new Event("card:new"));
    if (location.search) await Held.take(location.pathname);
    return true;
  }
  document.addEventListener(
    "toggle",
    (event) => {
      if (event.target.closest?.("#steps") && !event.target.open) tell();
    },
    true,
  );

  // a page that the browser kept in memory knows nothing of what was done since
  window.addEventListener("pageshow", (event) => {
    if (event.persisted && !Held.inHand()) location.reload();
  });
  Queue.onChange(tell);
  window.addEventListener("online", () => show(""));
  (async () => {
    const rows = await ownRows().catch(() => []),
      main = document.getElementById("steps");
    const refused = sessionStorage.getItem("again");
    const back = refused && (await Queue.waiting(person).catch(() => [])).find((row) => row.n === Number(refused));
    const live = main?.querySelector("form[data-step]"),
      key = live && JSON.parse(live.dataset.step).key;
    const its = Steps.all(rows).find((step) => step.key === key);
    Guard.begin();
    Guard.offer(takeBack);
    // a held page is the plain one, whatever was asked for
    const plain = String(new URLSearchParams(root.dataset.asked)) !== String(new URLSearchParams(location.search));
    const asked = main && plain ? Steps.wanted(location.search, rows) : undefined;
    if (back) again(back);
    else if (asked && asked.key !== key) swap(main, asked);
    else if (main && its && rows.length && !its.open) await next({ key: "" });
    await tell();
    Queue.start();
    Held.hold(person);
  })().finally(ended);
})();
