// The season schedule where it is scrolled sideways: the names of its jobs stay, and it begins three days before today.
(() => {
  const NAMES_PX = 190,
    NUMBER_PX = 84; // as crew/morning/strip.py draws them; a narrow screen keeps the numbers alone
  const frames = () => document.querySelectorAll(".strip-frame");
  const pin = (frame) => {
    for (const names of frame.querySelectorAll(".layer-names, .layer-names-owner")) {
      names.setAttribute("transform", `translate(${frame.scrollLeft} 0)`);
    }
  };
  const begin = (frame) => {
    const names = matchMedia("(max-width: 700px)").matches ? NUMBER_PX : NAMES_PX;
    frame.scrollLeft = Math.max(0, Number(frame.dataset.begins) - names);
    pin(frame);
  };
  document.addEventListener("scroll", (event) => event.target.matches?.(".strip-frame") && pin(event.target), true);
  // rows that were renewed are drawn as if nothing were scrolled
  document.addEventListener("htmx:afterSettle", () => frames().forEach(pin));
  frames().forEach(begin);
})();
