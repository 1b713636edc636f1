// Holds the phone's pages for places without signal. Reads only: what is entered never passes through here.
// VERSION and SHELL stand above this text when it is served: a new version is a new file, so the browser notices.
const SHELL_CACHE = `shell-${VERSION}`;
const PAGES = "pages-";
const PARTS = ["style", "script", "font", "image"];
const PATIENCE_MS = 4000; // for a page that is held
const LINE_MS = 20_000; // for one that is not, and before a dead line is let go
const DAY_MS = 86_400_000;

self.addEventListener("install", (event) => {
  // a part that cannot be fetched fails the whole: half a shell never becomes active
  event.waitUntil(caches.open(SHELL_CACHE).then((cache) => cache.addAll(SHELL)));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      // the shell before this one stays: pages held from its time are made of it
      const old = (await caches.keys()).filter((name) => name.startsWith("shell-") && name !== SHELL_CACHE);
      await Promise.all(old.slice(0, -1).map((name) => caches.delete(name)));
      await self.clients.claim();
    })(),
  );
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== self.location.origin) return;
  // wherever a person signs out, the pages held for them are shown to nobody; the request itself is not touched
  if (event.request.method === "POST" && url.pathname === "/sign-out/") event.waitUntil(forget());
  if (event.request.method !== "GET") return;
  if (PARTS.includes(event.request.destination)) event.respondWith(shell(event.request));
  else if (url.pathname.startsWith("/day/")) event.respondWith(page(event.request, event));
  else if (url.pathname === "/" && event.request.mode === "navigate") event.respondWith(home(event.request));
});

self.addEventListener("message", (event) => {
  if (event.data === "nobody") event.waitUntil(forget());
  if (event.data?.only) event.waitUntil(inTurn(() => letGo(event.data.only)));
  if (event.data === "go on") self.skipWaiting();
});

async function shell(request) {
  const how = { ignoreSearch: true, ignoreVary: true };
  const held = await caches.match(request, { ...how, cacheName: SHELL_CACHE });
  if (held || SHELL.includes(new URL(request.url).pathname)) return held || fetch(request);
  return fetch(request).catch(async () => (await caches.match(request, how)) || Response.error());
}

// the newest page there is: from the server in a few seconds, else as it was held; of the same person only
async function page(request, event) {
  const since = forgotten;
  const line = fetch(request, { signal: AbortSignal.timeout?.(LINE_MS) });
  const fresh = line.then((answer) => keep(request, answer, since));
  event.waitUntil(fresh.catch(() => undefined));
  // asked for by the page itself: the newest or none
  if (request.headers.has("X-Hold")) return fresh.catch(() => Response.error());
  const held = await heldPage(request);
  if (!held) return fresh.catch(() => nothingHeld());
  const late = new Promise((resolve) => setTimeout(() => resolve(held), PATIENCE_MS));
  return Promise.race([
    fresh.then(
      (answer) => (answer.status >= 500 ? held : answer),
      () => held,
    ),
    late,
  ]);
}

async function home(request) {
  try {
    return await fetch(request);
  } catch {
    return Response.redirect("/day/", 302);
  }
}

// Pages are put by and let go one after the other. What was asked for before all was let go is not put by after it:
// its answer may be under way while the access of the phone ends, or while its person signs out.
let turn = Promise.resolve(),
  forgotten = 0;
const inTurn = (work) => (turn = turn.then(work, work));

async function keep(request, answer, since) {
  // the access of this phone has ended: so have the pages it holds
  if (answer.headers.has("X-Phone-Ended")) await forget();
  const who = answer.headers.get("X-Person");
  if (!answer.ok || !who || answer.redirected) return answer;
  const read = await answer.clone().blob();
  await inTurn(async () => {
    if (since !== forgotten) return;
    // one copy a page, without what was asked of it: the page finds the step by itself
    if (!new URL(request.url).search) {
      const headers = new Headers(answer.headers);
      headers.set("X-Held-At", Date.now());
      const copy = new Response(read, { status: answer.status, headers });
      await (await caches.open(PAGES + who)).put(request.url, copy);
    }
    await remember(who);
  });
  return answer;
}

async function heldPage(request) {
  const who = await remembered();
  if (!who) return undefined;
  const cache = await caches.open(PAGES + who);
  return cache.match(request.url, { ignoreVary: true, ignoreSearch: true });
}

async function remember(who) {
  const cache = await caches.open("who");
  await cache.put("/who", new Response(who));
}

async function remembered() {
  const cache = await caches.open("who");
  const kept = await cache.match("/who");
  return kept ? kept.text() : "";
}

// nobody is signed in here any more: what was held for whoever was goes with them
function forget() {
  forgotten += 1;
  return inTurn(async () => {
    const who = await remembered();
    if (who) await caches.delete(PAGES + who);
    await remember("");
  });
}

// what the newest day sheet names is kept, and what was opened today; of another person what is a week old goes
async function letGo(named) {
  const who = await remembered();
  for (const name of (await caches.keys()).filter((each) => each.startsWith(PAGES))) {
    const cache = await caches.open(name),
      own = name === PAGES + who;
    for (const request of await cache.keys()) {
      const held = await cache.match(request, { ignoreVary: true });
      const age = Date.now() - Number(held?.headers.get("X-Held-At"));
      const wanted = own && named.includes(new URL(request.url).pathname);
      if (!wanted && age > (own ? 1 : 7) * DAY_MS) await cache.delete(request, { ignoreVary: true });
    }
  }
}

function nothingHeld() {
  return new Response(
    `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>No signal</title><link rel="stylesheet" href="${LOOK}"><main id="main"><h1>No signal</h1>
<p>This page was never opened with signal on this phone, so it is not held here.
What you entered is safe on the phone.</p><p><a href="/day/">Day sheet</a></p></main>`,
    { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } },
  );
}
