// Holds the phone's pages for places without signal. Reads only: what is entered never passes through here.
// VERSION and SHELL stand above this text when it is served: a new version is a new file, so the browser notices.
const SHELL_CACHE = `shell-${VERSION}`;
const PAGES = "pages-";
const PATIENCE_MS = 4000;

self.addEventListener("install", (event) => {
  // a part that cannot be fetched fails the whole: half a shell never becomes active
  event.waitUntil(caches.open(SHELL_CACHE).then((cache) => cache.addAll(SHELL)));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const old = (await caches.keys()).filter((name) => name.startsWith("shell-") && name !== SHELL_CACHE);
    await Promise.all(old.map((name) => caches.delete(name)));
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (SHELL.includes(url.pathname)) event.respondWith(shell(event.request));
  else if (url.pathname.startsWith("/day/")) event.respondWith(page(event.request, event));
  else if (url.pathname === "/" && event.request.mode === "navigate") event.respondWith(home(event.request));
});

self.addEventListener("message", (event) => {
  if (event.data === "nobody") event.waitUntil(remember(""));
  if (event.data === "go on") self.skipWaiting();
});

async function shell(request) {
  const held = await caches.match(request, { cacheName: SHELL_CACHE, ignoreSearch: true });
  return held || fetch(request);
}

// the newest page there is: from the server in a few seconds, else as it was held; of the same person only
async function page(request, event) {
  const fresh = fetch(request).then((answer) => keep(request, answer));
  event.waitUntil(fresh.catch(() => undefined));
  const held = await heldPage(request);
  if (!held) return fresh.catch(() => nothingHeld());
  const late = new Promise((resolve) => setTimeout(() => resolve(held), PATIENCE_MS));
  return Promise.race([fresh.catch(() => held), late]);
}

async function home(request) {
  try {
    return await fetch(request);
  } catch {
    return Response.redirect("/day/", 302);
  }
}

async function keep(request, answer) {
  const who = answer.headers.get("X-Person");
  if (answer.ok && who && !answer.redirected) {
    const copy = answer.clone();
    const cache = await caches.open(PAGES + who);
    await cache.put(request.url, copy);
    await remember(who);
  }
  return answer;
}

async function heldPage(request) {
  const who = await remembered();
  if (!who) return undefined;
  const cache = await caches.open(PAGES + who);
  return (await cache.match(request.url, { ignoreVary: true })) ||
    (await cache.match(request.url, { ignoreVary: true, ignoreSearch: true }));
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

function nothingHeld() {
  return new Response(
    `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>No signal</title><link rel="stylesheet" href="${LOOK}"><main id="main"><h1>No signal</h1>
<p>This page was never opened with signal on this phone, so it is not held here.
What you entered is safe on the phone.</p><p><a href="/day/">Day sheet</a></p></main>`,
    { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } },
  );
}
