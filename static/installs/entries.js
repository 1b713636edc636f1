// From a card's form to what is recorded. Each form names the build that reads it; a fault is said at its field.
const Entries = (() => {
  class Fault extends Error {
    constructor(name, words) {
      super(words);
      this.field = name;
    }
  }

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

  // asked again and kept at the second press: a fact is always recorded (installs/checklists/asking.py)
  function ask(form, name, words) {
    if (!words) return;
    const answered = JSON.parse(form.dataset.sure || "[]");
    if (answered.includes(words)) return;
    form.dataset.sure = JSON.stringify([...answered, words]);
    throw new Fault(name, words);
  }

  function askReading(form, name, value, likely, unit) {
    if (!likely || (value >= likely[0] && value <= likely[1])) return;
    const units = unit ? ` ${Words.unit(unit)}` : "";
    ask(form, name, `${value}${units}: it can be ${likely[0]} to ${likely[1]}${units}. ${Trucks.AGAIN}`);
  }

  // of what was asked on this form, what the entry carries
  function confirmed(form, entry) {
    const answered = JSON.parse(form.dataset.sure || "[]");
    if (answered.length) entry.data = { ...entry.data, confirmed: answered };
    return entry;
  }

  function within(name, value, low, high, unit) {
    if (value >= low && value <= high) return;
    const units = unit ? ` ${Words.unit(unit)}` : "";
    throw new Fault(name, `${value}${units}: it can be ${low} to ${high}${units}.`);
  }

  // --- the clock at the site: the phone's own may be another zone's, or off ------------------------

  // what the site's clock shows at an instant, read as if it were UTC
  function shown(instant, zone) {
    const clock = new Intl.DateTimeFormat("en-CA", {
      timeZone: zone,
      hourCycle: "h23",
      year: "numeric",
      month: "2-digit",
      day: "2-digit",
      hour: "2-digit",
      minute: "2-digit",
      second: "2-digit",
    });
    const part = Object.fromEntries(clock.formatToParts(instant).map(({ type, value }) => [type, value]));
    return Date.UTC(part.year, part.month - 1, part.day, part.hour, part.minute, part.second);
  }

  // the newest such time of the site's clock that is not ahead by more than two clocks are apart: a truck batched
  // before midnight
  function lastTime(hours, zone, now, aheadMin = 0) {
    const [hour, minute] = hours.split(":").map(Number),
      today = new Date(shown(now, zone));
    for (const back of [0, 1]) {
      const meant = Date.UTC(today.getUTCFullYear(), today.getUTCMonth(), today.getUTCDate() - back, hour, minute);
      let at = meant - (shown(now, zone) - Math.floor(now / 1000) * 1000);
      at -= shown(at, zone) - meant; // the clock was changed between then and now
      if (at <= now + aheadMin * 60_000 || back) return new Date(at);
    }
    return null;
  }

  // --- a form of several fields, as the office declares it -------------------------------------------

  function fieldOf(form, { name, kind, low, high, unit, required, whole, days, asked }) {
    const value =
      kind === "tick" ? form.elements[name].checked : kind === "number" ? number(form, name) : text(form, name);
    if (required && (value === null || value === "")) throw new Fault(name, "Required.");
    if (kind === "number" && value !== null && asked) askReading(form, name, value, [low, high], unit);
    else if (kind === "number" && value !== null) within(name, value, low, high, unit);
    if (kind === "date" && Math.abs(Date.parse(value) - Date.now()) > days * 86_400_000)
      throw new Fault(name, "That is more than a year from now.");
    if (whole && !Number.isInteger(value)) throw new Fault(name, "Enter a whole number.");
    return value;
  }

  function asks(rules, given) {
    for (const { field, words, any, when } of rules)
      if (any ? !any.some((name) => given[name]) : given[when] && !given[field]) throw new Fault(field, words);
  }

  // Uno's equation as the office's own; concrete and air in F, wind in mph, lb/ft2/h
  const derived = {
    evaporation: ({ concrete_f: concrete, air_f: air, humidity_pct: humidity, wind_mph: wind }) =>
      Math.round(1000 * Math.max((concrete ** 2.5 - (humidity / 100) * air ** 2.5) * (1 + 0.4 * wind) * 1e-6, 0)) /
      1000,
  };

  const put = (words, given) => words.replace(/\{(\w+)\}/g, (_, name) => given[name]);

  function stated({ subject, number: summed, unit, text: words, data, derive }, given) {
    const entry = { subject: put(subject || "", given), data: {} };
    if (derive) entry.number = derived[derive](given);
    if (summed) entry.number = summed.reduce((sum, name) => sum + given[name], 0);
    if (unit) entry.unit = unit;
    if (words) entry.text = put(words, given);
    for (const [name, from] of Object.entries(data || {}))
      entry.data[name] = from.includes("{") ? put(from, given) : given[from];
    return entry;
  }

  // what stands of the same thing is put right by the newer record; this phone may know a newer one than its page
  async function inPlaceOf(step, entry, own) {
    const mine = own
      .filter(({ entry: e }) => e.code === step.code && (e.subject || "") === entry.subject && !e.data?.struck)
      .at(-1);
    return mine?.entry.uuid || step.stands[entry.subject];
  }

  // the trucks of the pour, with those whose tickets this phone has recorded since the page was made
  async function tickets(step, every) {
    const mine = (await every(step.of_trucks.path))
      .filter(({ entry }) => entry.code === "D01" && entry.job === step.job)
      .map(({ entry }) => Number(/\d{1,3}/.exec(entry.subject)?.[0]));
    return [...new Set([...step.of_trucks.known, ...mine])].sort((a, b) => a - b);
  }

  // a truck of which neither the office nor this phone has the ticket; nothing while there is none at all
  function notOnRecord({ names, tickets: code }, subject, rows) {
    const bare = (name) => name.toLowerCase().trim().split(/\s+/).at(-1),
      mine = rows.filter((row) => row.entry.code === code).map((row) => row.entry.subject),
      trucks = [...new Set([...names, ...mine])];
    if (!names.length || trucks.some((name) => bare(name) === bare(subject))) return "";
    return `There is no ticket of ${subject}; on record: ${trucks.join(", ")}. ${Trucks.AGAIN}`;
  }

  // another thing than the signed plan is for; as installs/checklists/limits.py compares what is on a plate
  function another({ named, words }, written) {
    const bare = (plate) => plate.toLowerCase().replace(/[^\p{L}\p{N}]/gu, "");
    if (bare(written) === bare(named)) return "";
    return `${written} is not ${named}, which the plan is for: stop. ${words} ${Trucks.AGAIN}`;
  }

  // --- the builds --------------------------------------------------------------------------------------

  const builds = {
    async item(form, step, { own }) {
      const cannot = text(form, "cannot");
      const entry = { code: step.code, subject: text(form, "subject"), text: text(form, "text"), data: {} };
      const corrects = text(form, "corrects");
      if (corrects) entry.corrects = corrects;
      if (step.per && !entry.subject) throw new Fault("subject", `Which ${step.per}?`);
      if (step.per === "truck") ask(form, "subject", notOnRecord(step, entry.subject, await own()));
      if (cannot) return { ...entry, text: cannot, data: { cannot: true } };
      const photo = form.elements.photo?.files?.length > 0;
      const signed = text(form, "signed");
      if (signed) entry.data.signed = signed;
      if (step.kind === "signature" && !signed && !photo)
        throw new Fault("signed", "Sign, or photograph the signed card.");
      if (step.kind === "photo" && !photo) throw new Fault("photo", "Take a photo, or say why not.");
      if (step.kind === "document" && !entry.text && !photo)
        throw new Fault("text", "Give its number, or photograph it.");
      if (step.named && entry.text) {
        ask(form, "text", another(step, entry.text));
        if (step.plan) entry.data.plan = step.plan;
      }
      if (step.kind === "reading") reading(form, step, entry);
      return confirmed(form, entry);
    },
    pass(form, step) {
      const failed = ticked(form, "failed"),
        wrench = needWrench(step);
      return { ...step.entry, data: { wrench, failed, torqued: step.bolts - failed.length } };
    },
    bolt(_form, step, { pressed }) {
      const entry = { ...step.entry, data: { wrench: document.getElementById("id_wrench")?.value || "" } };
      if (pressed === "torqued") needWrench(step);
      else {
        delete entry.number;
        delete entry.unit;
      }
      if (pressed === "kept turning") entry.data.failed = true;
      if (pressed === "new bolt") entry.data.new_bolt = true;
      return entry;
    },
    strike(form, step) {
      const why = text(form, "why");
      if (!why) throw new Fault("why", "Say what was wrong.");
      return { ...step.entry, text: why, data: { struck: true } };
    },
    check(form, step) {
      const bolts = form.elements.all_bolts?.checked ? step.all : ticked(form, "checked"),
        moved = ticked(form, "moved");
      if (!bolts.length && !moved.length) throw new Fault("checked", "Which bolts were checked?");
      const data = { bolts, wrench: needWrench(step, "Checked with which wrench?") };
      if (moved.length) data.failed = moved;
      return { ...step.entry, data };
    },
    async ticket(form, step, { now, own }) {
      const ticket = text(form, "ticket"),
        yards = number(form, "yards"),
        batched = text(form, "batched");
      if (!ticket) throw new Fault("ticket", "The ticket's number.");
      if (yards === null || yards < 0.25 || yards > 15) throw new Fault("yards", "Yards of the ticket, 0.25 to 15.");
      const water = number(form, "water");
      if (water !== null) within("water", water, 0, 200, "gal");
      const trucks = Trucks.known(Trucks.told(), await own());
      ask(form, "ticket", Trucks.twice(trucks, Number(text(form, "truck")), ticket));
      const data = { ticket };
      if (batched) data.batched_at = lastTime(batched, step.zone, now, step.ahead_min).toISOString();
      if (water !== null) data.water_allowed_gal = water;
      return confirmed(form, { ...step.entry, number: yards, text: ticket, data });
    },
    async figure(form, step, { now, own, pressed }) {
      const cannot = text(form, "cannot"),
        why = text(form, "why"),
        pour = Trucks.told(),
        truck = Trucks.known(pour, await own())[step.truck],
        atOnce = pressed === "now" && truck?.batched_at;
      const value = atOnce ? Trucks.minutes(truck, now) : cannot ? null : number(form, "number");
      if (!atOnce && !cannot) {
        if (value === null) throw new Fault("number", "Enter the reading, or say why it cannot be taken.");
        askReading(form, "number", value, step.likely, step.unit);
        if (step.discharge) ask(form, "number", Trucks.minutesOff(pour, truck, value, now));
      }
      if (step.discharge) ask(form, "number", Trucks.anyway(pour, truck, now));
      if (value === null) return confirmed(form, { ...step.entry, text: cannot, data: { cannot: true } });
      const data = atOnce ? { discharged_at: new Date(now).toISOString() } : {};
      return confirmed(form, { ...step.entry, number: value, data, ...(why ? { text: why } : {}) });
    },
    async reject(form, step, { own }) {
      const why = text(form, "why");
      if (!why) throw new Fault("why", "Say why the truck is rejected.");
      if (step.entry.corrects) return { ...step.entry, text: why };
      // its ticket was entered on this phone since the page was made: it waits here, or was sent since
      const ticket = (await own()).filter((row) => row.key === step.of).at(-1)?.entry;
      if (!ticket) throw new Fault("why", "Enter its ticket first.");
      const data = { ...ticket.data, ticket: ticket.text, yards: ticket.number, refused: true };
      return { ...step.entry, text: why, data, corrects: ticket.uuid };
    },
    async fields(form, step, { own, every }) {
      const given = Object.fromEntries(step.fields.map((field) => [field.name, fieldOf(form, field)]));
      asks(step.asks, given);
      if (step.of_trucks) ask(form, "truck", Trucks.unknown(await tickets(step, every), given.truck));
      const rows = step.stands ? await own() : [],
        made = step.says.map((says) => ({ code: step.code, ...stated(says, given) }));
      if (step.stands)
        for (const entry of made) {
          const corrects = await inPlaceOf(step, entry, rows);
          if (corrects) entry.corrects = corrects;
        }
      for (const entry of made) confirmed(form, entry);
      return made;
    },
  };

  function reading(form, step, entry) {
    const value = number(form, "number");
    if (value === null) throw new Fault("number", "Enter the reading, or say why it cannot be taken.");
    entry.number = value;
    askReading(form, "number", value, step.likely, step.unit);
    if (step.plan) entry.data.plan = step.plan;
    const outside = (step.low !== null && value < step.low) || (step.high !== null && value > step.high);
    if (!outside) return;
    const again = form.querySelector(".look-again");
    if (again) again.hidden = false;
    entry.text = text(form, "text");
    if (form.dataset.looked !== String(value) || !entry.text) {
      form.dataset.looked = String(value);
      const stop = step.plan ? `${step.high !== null && value > step.high ? "Over" : "Under"} the card: stop. ` : "";
      throw new Fault("text", `${stop}${step.words} Check it again. If it is right, say why.`);
    }
    entry.data.out_of_tolerance = true;
  }

  function needWrench(step, words = "Which wrench?") {
    const wrench = document.getElementById("id_wrench")?.value || "";
    if (step.torqued && !wrench) throw new Fault("", words);
    return wrench;
  }

  // the entries of a form, most often one; ``pressed`` is the button's value, ``own`` gives what this phone has
  // recorded on this page and the page does not show, ``now`` is the time by the office's clock, ms
  async function of(form, step, given) {
    const made = await builds[step.build](form, step, given);
    return [made].flat().map((entry) => {
      const whole = { uuid: crypto.randomUUID(), job: step.job, taken_at: new Date().toISOString(), ...entry };
      whole.data ??= {};
      for (const name of ["subject", "text", "unit"]) if (!whole[name]) delete whole[name];
      return whole;
    });
  }
  return { of, Fault, lastTime, derived };
})();
