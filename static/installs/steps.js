// The steps of a card: its templates in their order, and which of them are open by what this phone has recorded.
// A step is {key, open, make()}. The bolts of a joint share one form, in which "{bolt}" stands for the bolt.
const Steps = (() => {
  const SUBJECT = /^joint (\d+)(?: pass (\d+))?(?: bolt (\w+))?$/;

  // rows: what this phone has recorded here that the page does not show, oldest first
  const all = (rows) =>
    [...document.querySelectorAll("template.step")].flatMap((template) =>
      template.dataset.joint ? ofJoint(template, rows) : [plain(template, rows)],
    );

  function plain(template, rows) {
    // "again": it can be recorded any number of times
    const kept = new Set(rows.map((row) => row.key)),
      { key, done, unless, again } = template.dataset;
    return {
      key,
      open: again === "yes" || (done !== "yes" && !kept.has(key) && !kept.has(unless)),
      make: () => template.content.cloneNode(true),
    };
  }

  // without what this phone has struck itself; what the page shows and was struck here stays as its striking
  function standing(rows) {
    const struck = new Set(),
      here = new Set(rows.map(({ entry }) => entry.uuid));
    for (const { entry: e } of rows.toReversed()) if (e.data?.struck && !struck.has(e.uuid)) struck.add(e.corrects);
    return rows.filter(({ entry: e }) => !struck.has(e.uuid) && !(e.data?.struck && here.has(e.corrects)));
  }

  // a form says its joint; what stands over it is of the same one, and a drawing of another is not shown
  function head(step) {
    const place = document.getElementById("joint"),
      number = /^joint (\d+)/.exec(step?.key || "")?.[1];
    if (!place || !number || place.dataset.joint === number) return;
    const of = [...document.querySelectorAll("template.step[data-joint]")].find(
      (template) => String(JSON.parse(template.dataset.joint).number) === number,
    );
    if (!of) return;
    place.dataset.joint = number;
    for (const part of [".joint-title", ".joint-open"])
      place.querySelector(part).replaceWith(of.content.querySelector(part).cloneNode(true));
    const words = document.createElement("p");
    words.textContent = `The drawing of joint ${number} comes with signal.`;
    document.querySelector(".joint")?.replaceChildren(words);
    for (const other of document.querySelectorAll(".of-joint")) other.remove();
  }

  // state of every bolt in every pass, as the office reads its log: a nut that kept turning stays failed until
  // bolt, nut and washer are new; a new bolt starts at the first pass
  function after(joint, rows) {
    const states = Object.fromEntries(joint.bolts.map((bolt) => [bolt, [...joint.states[bolt]]]));
    let checked = joint.complete,
      every = joint.check_all; // once one has failed or moved, all are checked
    for (const { entry } of rows) {
      const [, number, pass, bolt] = SUBJECT.exec(entry.subject || "") || [];
      const failed = entry.data?.failed;
      if (Number(number) !== joint.number || entry.data?.cannot) continue;
      // of a line that only the office has: open until it has read the striking
      if (entry.data?.struck) {
        checked = false;
        if (pass) for (const each of bolt ? [bolt] : joint.bolts) if (states[each]) states[each][pass - 1] = "-";
        continue;
      }
      if (!pass) {
        checked = !failed;
        every ||= Boolean(failed);
        for (const moved of failed || []) if (states[moved]?.at(-1) === "t") states[moved][joint.passes - 1] = "-";
        continue;
      }
      for (const each of bolt ? [bolt] : joint.bolts) {
        const own = states[each] || [];
        if (entry.data?.new_bolt) own.fill("-");
        else if (bolt ? failed === true : failed?.includes(each)) {
          own[pass - 1] = "f";
          every = true;
          checked = false;
        } else if (!own.includes("f")) {
          own[pass - 1] = "t";
          checked = false;
        }
      }
    }
    return { states, checked, every };
  }

  // early passes as a whole, what is left of one bolt by bolt; the last bolt by bolt; then new bolts; then the check
  function ofJoint(template, rows) {
    const joint = JSON.parse(template.dataset.joint),
      { states, checked, every } = after(joint, rows),
      found = [];
    const add = (key, form, open, bolt = "") =>
      found.push({
        key: `joint ${joint.number}${key}`,
        open,
        bolt,
        whole: !bolt,
        make: () => filled(template, form, bolt),
      });
    for (let pass = 1; pass <= joint.passes; pass++) {
      const of = (bolt) => states[bolt][pass - 1];
      if (pass < joint.passes && !joint.bolts.some((bolt) => of(bolt) === "t"))
        add(
          ` pass ${pass}`,
          `pass ${pass}`,
          joint.bolts.some((bolt) => of(bolt) === "-"),
        );
      else
        for (const bolt of joint.bolts)
          add(` pass ${pass} bolt ${bolt}`, `bolt ${pass}`, of(bolt) === "-" && !states[bolt].includes("f"), bolt);
    }
    for (const bolt of joint.bolts) add(` new ${bolt}`, "new", states[bolt].includes("f"), bolt);
    const torqued = joint.bolts.every((bolt) => states[bolt].every((state) => state === "t"));
    add("", every ? "check all" : "check", torqued && !checked);
    return found;
  }

  function filled(template, form, bolt) {
    const made = template.content.querySelector(`[data-form="${form}"]`).cloneNode(true);
    if (bolt) made.innerHTML = made.innerHTML.replaceAll("{bolt}", bolt);
    const cut = document.createDocumentFragment();
    cut.append(...made.childNodes);
    return cut;
  }

  // what comes after a step that was done, first at the same joint, else the first that is open
  function next(done, rows) {
    const steps = all(rows),
      from = steps.findIndex((step) => step.key === done) + 1;
    const onward = [...steps.slice(from), ...steps].filter((step) => step.open);
    const joint = /^joint \d+/.exec(done)?.[0];
    return onward.find((step) => joint && `${step.key} `.startsWith(`${joint} `)) || onward[0];
  }

  // the step that an address asks for: an item, a truck's figure, a bolt or a joint
  function wanted(search, rows) {
    const asked = new URLSearchParams(search),
      of = (name) => asked.get(name) || "",
      steps = all(rows);
    const is = (key) => steps.find((step) => step.key === key);
    if (of("correct")) return undefined;
    if (of("item")) return is(of("item"));
    if (of("truck")) return is(`truck ${of("truck")}${of("code") ? ` ${of("code")}` : ""}`);
    if (of("code")) return is(of("code"));
    const joint = steps.filter(
      (step) => of("joint") && step.open && `${step.key} `.startsWith(`joint ${of("joint")} `),
    );
    // bolts come one by one only after the passes of the whole joint; one that failed can be made new at once
    const bolt = joint.find(
      (step) => of("bolt") && step.bolt === of("bolt") && (step.key.includes(" new ") || !joint[0].whole),
    );
    return bolt || joint[0];
  }
  const bare = (subject) => subject.toLowerCase().trim().split(/\s+/).at(-1);

  // the pour may go on by the inspector's card while the office cannot be asked: what it wants, {code: names}, held
  // against what waits here; of an item that goes one by one every name, "leg A" or "A". The office judges it when
  // it arrives. Nothing where nothing waits.
  function byCard({ job, card, needs }, rows, clock) {
    const here = rows.filter(
      ({ entry: e, state }) => state === "waiting" && e.job === job && !e.data?.cannot && !e.data?.out_of_tolerance,
    );
    if (!here.length) return "";
    const signed = here.find((row) => row.entry.code === card && row.photo && row.entry.data.signed);
    const told = (code, name) =>
      here.some(({ entry: e }) => e.code === code && (!name || bare(e.subject || "") === bare(name)));
    const left = Object.entries(JSON.parse(needs))
      .filter(([code, names]) =>
        code === card ? !signed : !(names.length ? names : [""]).every((name) => told(code, name)),
      )
      .map(([code]) => code);
    return left.length
      ? `With what waits on this phone, still open before the pour may go on by the card: ${left.join(", ")}.`
      : `Provisional: ${signed.entry.data.signed} signed the card, ${clock(signed.entry.taken_at)}, ` +
          "and all before the pour is recorded on this phone. " +
          "The pour may go on; the office judges it when it arrives.";
  }
  return { next, wanted, all, byCard, standing, head };
})();
