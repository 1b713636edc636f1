// The link's secret stands behind its #, which no browser sends: it goes to the server in the form alone, so that
// neither the proxy's log nor ours has it, and out of the address bar too.
document.addEventListener("DOMContentLoaded", () => {
  const secret = location.hash.slice(1);
  const field = document.getElementById("id_token");
  if (!secret || !field) return;
  history.replaceState(null, "", location.pathname);
  field.value = secret;
  field.form.requestSubmit();
});
