// What this phone still holds and the office has not, in words that a person can read out over the phone.
const Unsent = (() => {
  const said = (e) =>
    e.data?.cannot
      ? `Not done: ${e.text}.`
      : e.data?.struck
        ? `Crossed out${e.text ? `: ${e.text}` : ""}.`
        : [
            e.subject,
            e.number !== undefined ? `${e.number} ${Words.unit(e.unit || "")}`.trim() : "",
            e.text || (e.number === undefined ? "done" : ""),
            e.data?.plan && e.data.out_of_tolerance ? "Beyond the card: stop." : "",
          ]
            .filter(Boolean)
            .join(" ");

  const list = (rows) => {
    const found = document.createElement("ul");
    found.className = "plain unsent";
    for (const { title, entry, photo, reason } of rows) {
      const line = document.createElement("li");
      const when = `${Words.day(entry.taken_at)}, ${Words.clock(entry.taken_at)}`;
      const more = [photo ? "With a photo." : "", reason ? `The office refused it: ${reason}` : ""];
      const words = `Job ${entry.job}, ${title}: ${said(entry)}; ${when}.`;
      line.textContent = [words, ...more].filter(Boolean).join(" ");
      found.append(line);
    }
    return found;
  };

  // the page of a phone whose access ended has no cards: it reads what they left
  document.addEventListener("DOMContentLoaded", async () => {
    const place = document.getElementById("unsent-here");
    if (!place) return;
    try {
      const rows = await Queue.waiting(Number(place.dataset.person));
      const left = rows.filter((row) => ["waiting", "refused", "set aside"].includes(row.state));
      place.replaceChildren();
      const head = document.createElement("h2");
      const them = left.length === 1 ? "it" : "them";
      head.textContent = left.length
        ? `On this phone and not at the office: ${left.length}. Read ${them} to the office.`
        : "Nothing unsent of yours is on this phone.";
      place.append(head, ...(left.length ? [list(left)] : []));
    } catch {
      place.textContent = "This phone's storage cannot be read.";
    }
  });
  return { said, list };
})();
