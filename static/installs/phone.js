// Helps where it can: number keys, a signature drawn by finger. Every page works without it.
const ready = () => {
  const field = document.querySelector("input.value");
  const keys = document.querySelector("main .keypad");
  if (field && keys) {
    document.body.classList.add("with-keys");
    field.setAttribute("inputmode", "none");
    const send = document.querySelector("button[data-enter]");
    const show = () => {
      if (send) send.textContent = field.value ? `Enter ${field.value} ${send.dataset.enter}` : "Enter";
    };
    keys.addEventListener("click", (event) => {
      const key = event.target.closest("button")?.dataset.key;
      if (!key) return;
      if (key === "back") field.value = field.value.slice(0, -1);
      else if (key === "sign") field.value = field.value.startsWith("-") ? field.value.slice(1) : `-${field.value}`;
      else if (!(key === "." && field.value.includes("."))) field.value += key;
      show();
    });
    field.addEventListener("input", show);
    show();
  }
  const pad = document.querySelector("canvas.pen");
  const target = document.querySelector("input[type=file][name=photo]");
  if (pad && target) {
    document.body.classList.add("with-pen");
    const box = pad.getBoundingClientRect();
    pad.width = box.width * 2;
    pad.height = box.height * 2;
    const pen = pad.getContext("2d");
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, pad.width, pad.height);
    pen.lineWidth = 5;
    pen.lineCap = "round";
    pen.strokeStyle = "#000";
    const at = (event) => {
      const b = pad.getBoundingClientRect();
      return [(event.clientX - b.left) * 2, (event.clientY - b.top) * 2];
    };
    pad.addEventListener("pointerdown", (event) => {
      pad.setPointerCapture(event.pointerId);
      pen.beginPath();
      pen.moveTo(...at(event));
    });
    pad.addEventListener("pointermove", (event) => {
      if (event.buttons) {
        pen.lineTo(...at(event));
        pen.stroke();
      }
    });
    pad.addEventListener("pointerup", () =>
      pad.toBlob((blob) => {
        const files = new DataTransfer();
        files.items.add(new File([blob], "signature.png", { type: "image/png" }));
        target.files = files.files;
      }, "image/png"),
    );
  }
};
document.addEventListener("DOMContentLoaded", ready);
// a card taken from the page's own templates
document.addEventListener("card:new", ready);

// the wrench stays chosen from one card to the next
document.addEventListener("change", (event) => {
  if (event.target.id === "id_wrench") sessionStorage.setItem("wrench", event.target.value);
});
document.addEventListener("card:new", () => {
  const field = document.getElementById("id_wrench"),
    kept = sessionStorage.getItem("wrench");
  if (field && kept && !field.value && [...field.options].some((o) => o.value === kept)) field.value = kept;
});
