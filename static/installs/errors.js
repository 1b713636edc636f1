// htmx is silent when a request fails; say it where it is seen.
document.addEventListener("DOMContentLoaded", () => {
  const line = document.getElementById("trouble");
  const say = (text) => {
    line.textContent = text;
    line.hidden = false;
  };
  document.body.addEventListener("htmx:sendError", () =>
    say("No answer from the server. Nothing was changed; what you typed is still here."),
  );
  document.body.addEventListener("htmx:responseError", (event) =>
    say(`The server refused this (${event.detail.xhr.status}). What you typed is still here.`),
  );
  document.body.addEventListener("htmx:afterSwap", () => {
    line.hidden = true;
  });
  document.documentElement.dataset.ready = "yes"; // the last of what listens: who presses by program waits for it
});
