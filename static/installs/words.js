// A day and an hour, written as sitecalc/wording.py writes them: "Fri May 9", with the year where it is another,
// and "7:30 AM", at the clock of a place where its zone is given. A unit is "yd³", as kept it is yd3.
const Words = (() => {
  const plain = (text) => text.replace(/\s/g, " "); // browsers set a narrow space before AM
  const clock = (time, timeZone) =>
    plain(new Date(time).toLocaleTimeString("en-US", { timeZone, hour: "numeric", minute: "2-digit" }));
  const day = (time) => {
    const at = new Date(time),
      year = at.getFullYear() === new Date().getFullYear() ? undefined : "numeric";
    const on = (parts) => plain(at.toLocaleDateString("en-US", parts));
    return `${on({ weekday: "short" })} ${on({ month: "short", day: "numeric", year })}`;
  };
  const unit = (of) => of.replace(/\b(in|ft|yd|m)([23])\b/g, (_, length, power) => length + "²³"[power - 2]);
  return { clock, day, unit };
})();
