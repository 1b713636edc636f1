// What was entered on this phone and has not been answered for: kept in IndexedDB until the server names its UUID.
// Everything is counted from the store, never from a variable.
const Queue = (() => {
  const NAME = "mastwright-field",
    VERSION = 1,
    BATCH = 40,
    SENT = 400;
  const LINE_MS = 20_000,
    PHOTO_MS = 120_000,
    STORE_MS = 10_000;
  let opened = null,
    tries = 0,
    timer = 0;
  const talk = "BroadcastChannel" in window ? new BroadcastChannel(NAME) : null;
  const listeners = [];
  const told = () => {
    talk?.postMessage("changed");
    for (const hear of listeners) hear();
  };
  talk?.addEventListener("message", () => {
    for (const hear of listeners) hear();
  });

  // later versions only ever add stores: what waits is carried along
  function open() {
    opened ??= new Promise((resolve, reject) => {
      const asked = indexedDB.open(NAME, VERSION);
      asked.onupgradeneeded = () => {
        const db = asked.result;
        if (!db.objectStoreNames.contains("entries")) {
          const entries = db.createObjectStore("entries", { keyPath: "n", autoIncrement: true });
          entries.createIndex("uuid", "entry.uuid", { unique: true });
        }
        if (!db.objectStoreNames.contains("photos")) db.createObjectStore("photos", { keyPath: "id" });
        if (!db.objectStoreNames.contains("facts")) db.createObjectStore("facts", { keyPath: "name" });
      };
      asked.onsuccess = () => {
        const db = asked.result;
        // a phone short of memory closes it under the page
        const closed = () => {
          opened = null;
        };
        db.onclose = closed;
        db.onversionchange = () => {
          db.close();
          closed();
        };
        resolve(db);
      };
      asked.onerror = () => {
        opened = null;
        reject(asked.error);
      };
      asked.onblocked = () => reject(new Error("Another page of Mastwright is open in an old version: close it."));
    });
    return opened;
  }

  // Some browsers keep a page that was left in memory, and its open transactions with it: everything that any
  // page of the phone wants to write would wait for them. So nothing is left open, and it goes on at the return.
  const running = new Set();
  let away = Promise.resolve(),
    back = () => {};
  window.addEventListener("pagehide", () => {
    away = new Promise((resolve) => {
      back = resolve;
    });
    for (const all of running)
      try {
        if (all.mode === "readonly") all.abort();
        else all.commit();
      } catch {
        /* it has ended */
      }
    opened?.then(
      (db) => db.close(),
      () => {},
    );
    opened = null;
  });
  window.addEventListener("pageshow", () => back());

  class Silent extends Error {} // the storage does not answer: said, rather than waited for without end
  const within = (promise, ms) =>
    Promise.race([
      promise,
      new Promise((_, reject) => {
        setTimeout(() => reject(new Silent("its storage does not answer")), ms);
      }),
    ]);

  async function work(stores, mode, does) {
    for (let turn = 0; ; turn++) {
      await away;
      try {
        return await once(await within(open(), STORE_MS), stores, mode, does);
      } catch (error) {
        opened = null;
        if (turn > 1 || full(error) || error instanceof Silent) throw error;
      }
    }
  }

  async function once(db, stores, mode, does) {
    const all = db.transaction(stores, mode, { durability: "strict" });
    running.add(all);
    const done = new Promise((resolve, reject) => {
      let result;
      all.oncomplete = () => resolve(result);
      // what fails aborts it, and only then is the reason known
      all.onabort = () => reject(all.error || new Error("storage was closed"));
      const of = (request) => {
        request.onsuccess = () => {
          result = request.result;
        };
      };
      does((name) => all.objectStore(name), of);
    });
    try {
      return await within(done, STORE_MS);
    } catch (error) {
      // so that it is not kept after all once the person was told that it was not
      if (error instanceof Silent)
        try {
          all.abort();
        } catch {
          /* it has ended */
        }
      throw error;
    } finally {
      running.delete(all);
    }
  }

  // at the quota, or on a disk with no room
  const full = (error) => ["QuotaExceededError", "DataError"].includes(error?.name);

  const all = () => work(["entries"], "readonly", (store, of) => of(store("entries").getAll()));
  const fact = async (name) => (await work(["facts"], "readonly", (s, of) => of(s("facts").get(name))))?.value;
  const setFact = (name, value) => work(["facts"], "readwrite", (s) => s("facts").put({ name, value }));

  async function device() {
    const kept = await fact("device");
    if (kept) return kept;
    const made = crypto.randomUUID();
    await setFact("device", made);
    return made;
  }

  // first into the store, the photo and all entries of one press in one transaction; only then the screen changes.
  // Those ``instead`` of a refused one put it aside and take over its photo, unless that was what was refused.
  async function add(rows, photo, instead) {
    const id = photo ? crypto.randomUUID() : null;
    await work(["entries", "photos"], "readwrite", (store) => {
      const keep = (first) => {
        for (const [at, row] of rows.entries())
          store("entries").add({ ...row, photo: at ? null : first, state: "waiting", reason: "" });
      };
      if (photo) store("photos").put({ id, bytes: photo, sha256: "" });
      if (!instead) return keep(id);
      store("entries").get(instead).onsuccess = ({ target: { result: old } }) => {
        if (old) store("entries").put({ ...old, photo: null, state: "replaced" });
        keep(id || (old?.badPhoto ? null : old?.photo) || null);
      };
    });
    told();
    send();
  }

  async function waiting(person) {
    return (await all()).filter((row) => row.person === person);
  }

  const change = (row, fields) => work(["entries"], "readwrite", (s) => s("entries").put({ ...row, ...fields }));
  const setAside = async (row) => {
    await change(row, { state: "set aside" });
    told();
  };

  // what the office has taken is remembered for a while: a page held from before does not ask for it again
  async function forget(row, at) {
    await work(["entries", "photos", "facts"], "readwrite", (store) => {
      store("entries").delete(row.n);
      if (row.photo) store("photos").delete(row.photo);
      store("facts").get("sent").onsuccess = (event) => {
        const before = event.target.result?.value || [];
        const { person, path, key, entry } = row;
        store("facts").put({ name: "sent", value: [...before.slice(1 - SENT), { person, path, key, entry, at }] });
      };
    });
  }
  const sent = async (person, path) =>
    ((await fact("sent")) || []).filter((row) => row.person === person && row.path === path);

  // whether the line was found dead when last tried: a phone may show bars and carry nothing
  let dead = false;
  const cut = () => dead || !navigator.onLine;

  // One page sends at a time. A pass under way may have looked before what was added now: another is asked for behind
  // it, and whoever asks for the lock sees that something is still to come.
  let behind = null;
  function send() {
    clearTimeout(timer);
    if (!navigator.onLine) return again();
    behind ??= navigator.locks
      .request(`${NAME}-send`, async () => {
        behind = null;
        try {
          if (await pass()) {
            tries = 0;
            dead = false;
            told();
            return;
          }
          dead = false;
        } catch (error) {
          dead = !(error instanceof Stop);
          trouble(error.words || "");
        }
        again();
      })
      .catch(() => {
        behind = null; // a page on its way out is given no lock
      });
    return behind;
  }

  function again() {
    tries += 1;
    timer = setTimeout(send, Math.min(300, 2 ** Math.min(tries, 8)) * 1000 * (0.75 + Math.random() / 2));
  }

  let words = "";
  function trouble(said) {
    words = said;
    told();
  }

  class Stop extends Error {
    constructor(said) {
      super(said);
      this.words = said;
    }
  }

  // a line that hangs is given up: what was not answered for goes again
  async function json(path, options) {
    const signal = AbortSignal.timeout?.(LINE_MS);
    const answer = await fetch(path, { redirect: "manual", cache: "no-store", signal, ...options });
    if (answer.status === 401 || answer.type === "opaqueredirect") throw new Stop("Sign in to send what waits.");
    const body = await answer.json().catch(() => null);
    return { status: answer.status, body };
  }

  async function pass() {
    const rows = (await all()).filter((row) => row.state === "waiting");
    const id = await device();
    const { body: hello } = await json(`/api/hello/?device=${id}`);
    // a hotel's sign-in page answers too
    if (hello?.ours !== "mastwright") throw new Stop("No answer from the office yet.");
    await setFact("ahead", Date.now() - new Date(hello.now).getTime());
    // the pages it holds go, what waits stays
    if (hello.ended) navigator.serviceWorker?.controller?.postMessage("nobody");
    if (hello.refused) throw new Stop(`${hello.refused} What waits stays here.`);
    const mine = rows.filter((row) => row.person === hello.person);
    const headers = { "X-CSRFToken": hello.csrf };
    trouble("");
    if (!mine.length) {
      await report(headers, id, []);
      return true;
    }
    for (let at = 0; at < mine.length; at += BATCH) {
      const batch = mine.slice(at, at + BATCH);
      for (const row of batch) if (row.photo) await sendPhoto(row, headers, id);
      await sendEntries(
        batch.filter((row) => row.state === "waiting"),
        headers,
        id,
      );
    }
    return !(await all()).some((row) => row.state === "waiting" && row.person === hello.person);
  }

  async function sendPhoto(row, headers, id) {
    const kept = await work(["photos"], "readonly", (s, of) => of(s("photos").get(row.photo)));
    if (!kept) return;
    if (!kept.sha256) {
      const form = new FormData();
      form.append("photo", new Blob([kept.bytes], { type: "image/jpeg" }), "photo.jpg");
      const how = { method: "POST", headers, body: form, signal: AbortSignal.timeout?.(PHOTO_MS) };
      const { status, body } = await json(`/api/photos/?device=${id}`, how);
      if (status === 403) throw new Stop(body?.error || "The office does not take photos from here.");
      if ([400, 413, 422].includes(status)) {
        // it would never be taken: the entries behind it go on
        Object.assign(row, { state: "refused", reason: body?.error || "The photo was refused.", badPhoto: true });
        await change(row, {});
        return;
      }
      if (status !== 200 || !/^[0-9a-f]{64}$/.test(body?.sha256 || ""))
        throw new Stop(([429, 503].includes(status) && body?.error) || "The photo has not arrived yet.");
      kept.sha256 = body.sha256;
      await work(["photos"], "readwrite", (s) => s("photos").put(kept));
    }
    row.entry.photo = kept.sha256;
    await change(row, {});
  }

  // the office no longer has the photo as it was sent: it goes once more, as long as this phone holds it
  async function photoAgain(row, reason) {
    const kept = row.photo && (await work(["photos"], "readonly", (s, of) => of(s("photos").get(row.photo))));
    if (!kept) return change(row, { state: "refused", reason: reason || "Refused.", badPhoto: true });
    await work(["photos"], "readwrite", (s) => s("photos").put({ ...kept, sha256: "" }));
  }

  async function report(headers, id, entries) {
    // a refused one is not at the office either, until its person has entered it again or set it aside
    const left = (await all()).filter((row) => ["waiting", "refused"].includes(row.state));
    const oldest = left.map((row) => row.entry.taken_at).sort()[0] || null;
    const body = JSON.stringify({
      device: id,
      now: new Date().toISOString(),
      waiting: left.length - entries.length,
      ...(left.length > entries.length && oldest ? { oldest_waiting_at: oldest } : {}),
      entries,
    });
    return json("/api/entries/", { method: "POST", headers: { ...headers, "Content-Type": "application/json" }, body });
  }

  async function sendEntries(rows, headers, id) {
    if (!rows.length) return;
    const batch = rows.map((row) => row.entry);
    const { status, body } = await report(headers, id, batch);
    if (status === 403) throw new Stop(body?.error || "The office does not take entries from here.");
    if (status === 400 && body?.error) throw new Stop(`The office cannot read what is sent: ${body.error}`);
    if (status !== 200 || !Array.isArray(body?.answers))
      throw new Stop(([429, 503].includes(status) && body?.error) || "The office has not answered yet.");
    for (const row of rows) {
      const answer = body.answers.find((a) => a.uuid === row.entry.uuid);
      if (answer?.state === "taken" || answer?.state === "already had") {
        await forget(row, body.now);
        for (const said of answer.deviations || []) await say(said);
      } else if (answer?.state === "photo not here") await photoAgain(row, answer.reason);
      else if (answer?.state === "refused")
        await change(row, { state: "refused", reason: answer.reason || "Refused." });
      else if (answer?.state === "later") trouble(answer.reason); // a fault of theirs: it comes again
    }
    told();
  }

  // whether the office answers at all: bars on the phone are no proof
  const reached = () =>
    navigator.onLine &&
    json("/api/hello/", { signal: AbortSignal.timeout?.(4000) }).then(
      ({ body }) => body?.ours === "mastwright",
      (error) => error instanceof Stop,
    );

  async function say(said) {
    const before = (await fact("said")) || [];
    await setFact("said", [...before.slice(-9), said]);
  }
  const heard = async () => (await fact("said")) || [];
  const seen = async () => {
    await setFact("said", []);
    told();
  };
  // how far this phone's clock was ahead of the office's when they last spoke, ms
  const ahead = async () => (await fact("ahead")) || 0;

  const start = () => {
    send();
    window.addEventListener("online", () => {
      tries = 0;
      send();
    });
    window.addEventListener("focus", send);
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) send();
    });
    setInterval(() => {
      if (!document.hidden) send();
    }, 30_000);
  };
  return {
    add,
    waiting,
    reached,
    full,
    cut,
    sent,
    setAside,
    send,
    start,
    heard,
    seen,
    ahead,
    onChange: (f) => listeners.push(f),
    trouble: () => words,
  };
})();
