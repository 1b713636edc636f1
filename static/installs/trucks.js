// The trucks of a pour as this phone knows them: what the office's page told, and what was entered here since.
// Judged, summed and asked as the office does it: sitecalc/pour/placing.py, installs/pour/truck_asks.py.
const Trucks = (() => {
  const AGAIN = "Read it again; if it is so, press once more.";
  const cardOf = () => document.getElementById("pour");
  const told = () => (cardOf() ? JSON.parse(cardOf().dataset.pour) : null);
  const short = (value) => String(Number(value.toPrecision(6)));
  const capital = (words) => words[0].toUpperCase() + words.slice(1);
  // one decimal, a half to the even one, as the office writes it
  const tenth = (value) => {
    const tens = value * 10,
      down = Math.floor(tens);
    return ((tens - down === 0.5 ? down + (down % 2) : Math.round(tens)) / 10).toFixed(1);
  };

  // every truck by its number; rows: what this phone has recorded on the page that the page does not show
  function known(pour, rows) {
    const trucks = structuredClone(pour.trucks);
    for (const { entry } of rows) {
      const number = /\d{1,3}/.exec(entry.subject || "")?.[0];
      if (!number || !(entry.code === "D01" || pour.table.some((row) => row.code === entry.code))) continue;
      const truck = (trucks[number] ??= { ticket: "", yards: null, batched_at: null, readings: {}, cannot: [] });
      if (entry.code === "D01") {
        const { ticket, yards, batched_at, water_allowed_gal, refused } = entry.data || {};
        Object.assign(truck, { ticket, batched_at, water: water_allowed_gal, refused: Boolean(refused) });
        truck.yards = entry.number ?? yards ?? null;
        continue;
      }
      delete truck.readings[entry.code];
      truck.cannot = truck.cannot.filter((code) => code !== entry.code);
      if (entry.data?.cannot) truck.cannot.push(entry.code);
      else truck.readings[entry.code] = entry.number;
    }
    return trucks;
  }

  const discharged = (truck) => !truck.refused && ("D02" in truck.readings || truck.cannot.includes("D02"));
  const onSite = (truck) => !truck.refused && !discharged(truck);

  // from batching; of a truck on site whole ones up to now, ms by the office's clock; null where nobody knows
  function minutes(truck, now) {
    if (discharged(truck) || !truck.batched_at) return truck.readings.D02 ?? null;
    return Math.max(Math.floor((now - Date.parse(truck.batched_at)) / 60_000), 0);
  }

  // --- take it, reject it, the engineer decides ------------------------------------------------------------

  function accepted({ low, high, unit }) {
    if (high === null) return "the ticket's allowance is not recorded";
    return low > 0 ? `${short(low)} to ${short(high)} ${unit} accepted` : `at most ${short(high)} ${unit}`;
  }

  function judged(table, truck, now) {
    const said = { "reject it": [], "the engineer decides": [], "not yet": [] };
    for (const limit of table) {
      const row = limit.code === "D07" ? { ...limit, high: truck.water ?? null } : limit;
      const value = row.code === "D02" ? minutes(truck, now) : (truck.readings[row.code] ?? null);
      if (row.only_if_any && !value) continue;
      const cannot = truck.cannot.includes(row.code);
      const say = (to, words) => said[to].push({ title: row.title, words: `${row.title}: ${words}, ${row.source}` });
      if (value === null)
        say(cannot ? "the engineer decides" : "not yet", `${cannot ? "cannot be" : "not"} measured; ${accepted(row)}`);
      else if (row.high === null) say("the engineer decides", `${short(value)} ${row.unit} added; ${accepted(row)}`);
      else if (value < row.low - 1e-9 * Math.abs(row.low) || value > row.high + 1e-9 * Math.abs(row.high))
        say(row.out, `${short(value)} ${row.unit}, ${accepted(row)}`);
    }
    const decision = Object.keys(said).find((each) => said[each].length) || "take it",
      because = said[decision] || [];
    const why = because.map((each) => each.words).join("; ");
    return {
      decision,
      because: because.map((each) => each.title.toLowerCase()),
      words: `${capital(decision)}${why ? `. ${why}.` : ": every limit is measured and kept."}`,
    };
  }

  const decided = (pour, truck, now) =>
    pour.table.length
      ? judged(pour.table, truck, now)
      : {
          decision: "the engineer decides",
          because: [],
          words: "The engineer decides: no limits are released for this pour.",
        };

  // --- what is asked once more, in the office's words ---------------------------------------------------------

  function twice(trucks, number, ticket) {
    const same = Object.keys(trucks).find((each) => Number(each) !== number && trucks[each].ticket === ticket);
    return same ? `Ticket ${ticket} is on record for truck ${same}. ${AGAIN}` : "";
  }

  function unknown(numbers, truck) {
    if (numbers.includes(truck)) return "";
    const record = numbers.length ? `on record: ${numbers.join(", ")}` : "none is on record";
    return `There is no ticket of truck ${truck}; ${record}. ${AGAIN}`;
  }

  function minutesOff(pour, truck, typed, now) {
    const age = truck && onSite(truck) ? minutes(truck, now) : null;
    if (age === null) return "";
    const batched = `the ticket was batched ${age.toFixed(0)} min ago. ${AGAIN}`;
    if (typed > age + pour.ahead_min) return `${short(typed)} min after batching is still to come: ${batched}`;
    if (typed < age - pour.late_min)
      return `${short(typed)} min after batching was ${(age - typed).toFixed(0)} min ago: ${batched}`;
    return "";
  }

  function anyway(pour, truck, now) {
    if (!truck || !onSite(truck) || !pour.table.length) return "";
    const { decision, because } = judged(pour.table, truck, now);
    if (!["reject it", "the engineer decides"].includes(decision)) return "";
    const why = `${capital(decision)}: ${because.join(", ")}.`;
    return `${why} Discharged anyway? Press once more; it is recorded as a deviation.`;
  }

  // --- placed, on site, still to order --------------------------------------------------------------------------

  // loads in steps of the plant, full ones, the last two alike where the last would be a sliver
  function loads(left, size, step) {
    const steps = Math.round((Math.ceil(left / step - 1e-6) * step) / step),
      full = Math.floor(size / step + 1e-9);
    const found = Array(Math.floor(steps / full)).fill(full),
      rest = steps - full * found.length;
    if (rest && found.length && rest * step < 4) {
      const both = found.pop() + rest;
      found.push(both - Math.floor(both / 2), Math.floor(both / 2));
    } else if (rest) found.push(rest);
    return found.map((each) => each * step);
  }

  function sums(pour, trucks) {
    const every = Object.entries(trucks).map(([number, truck]) => ({ number, ...truck }));
    const yards = (of) => every.filter(of).reduce((sum, truck) => sum + (truck.yards || 0), 0);
    const placed = yards(discharged),
      waiting = every.filter((truck) => onSite(truck) && truck.yards),
      rest = placed - pour.net_yd3;
    const end = rest > 0.05 ? `${tenth(rest)} yd³ over` : rest < -0.05 ? `${tenth(-rest)} yd³ to go` : "full";
    const there = waiting.map((truck) => `; truck ${truck.number} on site with ${tenth(truck.yards)} yd³`).join("");
    const section = `Pad ${tenth(pour.net_yd3)} yd³, ${tenth(placed)} yd³ placed, ${end}${there}.`;
    if (!pour.order_yd3) return { section, order: "" };
    const left = pour.order_yd3 - placed - yards(onSite),
      ordered = `${short(pour.order_yd3)} yd³ ordered`;
    if (left < 0.05) return { section, order: `All ${ordered} have come.` };
    const come = loads(left, pour.truck_yd3, pour.step_yd3),
      many = come.length > 1 ? ` in ${come.length} trucks` : "";
    return {
      section,
      order: `${tenth(left)} of ${ordered} still to come${many}; last order ${short(come.at(-1))} yd³.`,
    };
  }

  function deadline(pour, number, truck, now) {
    const most = pour.table.find((row) => row.code === "D02")?.high;
    if (!truck || !onSite(truck) || !truck.batched_at || !most) return "";
    const end = Date.parse(truck.batched_at) + most * 60_000,
      left = Math.floor((end - now) / 60_000);
    const words = left >= 0 ? `${left} min left` : `${-left} min over`;
    return `Discharge truck ${number} by ${Words.clock(end, pour.zone)}, ${words}.`;
  }

  // --- on the card --------------------------------------------------------------------------------------------

  // written anew with what this phone knows, at the clock of now (ms, the office's)
  function show(rows, now) {
    const pour = told();
    if (!pour) return;
    const trucks = known(pour, rows);
    const { section, order } = pour.net_yd3 ? sums(pour, trucks) : {};
    const write = (place, words) => {
      if (place && place.textContent !== words) place.textContent = words;
    };
    if (section) {
      write(document.querySelector("[data-section]"), section);
      write(document.querySelector("[data-order]"), order);
    }
    for (const place of document.querySelectorAll("[data-truck]")) {
      const number = Number(place.dataset.truck),
        truck = trucks[number];
      write(place.querySelector("[data-verdict]"), truck && onSite(truck) ? decided(pour, truck, now).words : "");
      write(place.querySelector("[data-deadline]"), deadline(pour, number, truck, now));
      const button = place.querySelector("[value=now]");
      if (!button) continue;
      button.hidden = !(truck && onSite(truck) && truck.batched_at);
      if (!button.hidden) write(button, `Discharged now, ${minutes(truck, now)} min`);
    }
  }
  return {
    AGAIN,
    told,
    known,
    judged,
    decided,
    twice,
    unknown,
    minutesOff,
    anyway,
    minutes,
    onSite,
    sums,
    show,
    short,
  };
})();
