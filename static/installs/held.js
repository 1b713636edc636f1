// Pages held for no signal: those that this one names are fetched while there is signal, and their age is said.
const Held = (() => {
  const { clock, day } = Words;

  // somebody is at a form: typed, ticked, chosen, or one opened to be filled in
  const inHand = () =>
    [...document.querySelectorAll(":is(#steps, .on-record .plain) :is(input, select, textarea, details)")].some((f) => {
      if (f.matches("details")) return f.open;
      if (f.matches("[type=hidden], #id_wrench")) return false;
      if (f.matches("[type=checkbox], [type=radio]")) return f.checked !== f.defaultChecked;
      if (!f.matches("select")) return f.value && f.value !== f.defaultValue;
      const first = [...f.options].findIndex((option) => option.defaultSelected);
      return f.selectedIndex !== Math.max(first, 0);
    });

  async function hold(person) {
    if (!navigator.serviceWorker) return;
    const registration = await navigator.serviceWorker.register("/sw.js", { scope: "/" });
    if (!registration) return;
    registration.addEventListener("updatefound", () =>
      registration.installing?.addEventListener("statechange", async (event) => {
        // a new version waits until nothing does: it takes over at once only where no entry is open
        if (event.target.state === "installed" && !inHand()) registration.waiting?.postMessage("go on");
      }),
    );
    await navigator.serviceWorker.ready;
    // only what passes through it is held
    if (!navigator.serviceWorker.controller)
      await new Promise((resolve) =>
        navigator.serviceWorker.addEventListener("controllerchange", resolve, { once: true }),
      );
    const links = [
      ...new Set([
        location.pathname,
        ...[...document.querySelectorAll("[data-hold]")].map((a) => a.getAttribute("href")),
      ]),
    ];
    let fetched = 0;
    if (navigator.onLine) for (const path of links) fetched += await take(path);
    // as little as the days need: what this sheet no longer names is let go
    if (document.getElementById("held") && fetched === links.length)
      navigator.serviceWorker.controller?.postMessage({ only: links });
    await count(person, links);
    // a browser may ask the person, who may never answer
    const persists = await navigator.storage?.persist?.().catch(() => false);
    if (words)
      words += persists
        ? " The phone keeps them."
        : " The phone may clear them after some days: put this page on the home screen.";
    say();
  }

  // read to its end: what is left unread keeps its connection
  const take = (path) =>
    fetch(path, { headers: { "X-Hold": "1" } })
      .then(async (answer) => {
        await answer.arrayBuffer();
        return answer.ok && answer.headers.has("X-Person") ? 1 : 0;
      })
      .catch(() => 0);

  let words = "";
  const say = () => {
    const place = document.getElementById("held");
    if (place && words) place.textContent = words;
  };

  // what is there, and how old the oldest of it is: fetched now or long ago
  async function count(person, links) {
    const cache = await caches.open(`pages-${person}`),
      found = [];
    for (const path of links) found.push((await cache.match(path, { ignoreVary: true }))?.headers.get("X-Held-At"));
    const at = found.filter(Boolean).map(Number);
    const oldest = Math.min(...at),
      some = at.length === links.length ? at.length : `${at.length} of ${links.length}`;
    if (!at.length) words = "No page is saved yet for when there is no signal.";
    else words = `${some} pages saved for when there is no signal, as of ${day(oldest)} ${clock(oldest)}.`;
    say();
  }

  return { hold, inHand, take, say };
})();
