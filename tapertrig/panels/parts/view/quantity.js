// One quantity: a named slider and a typed entry, always in step, and the message beside them.

function render({ model, el }) {
  // Each widget has a module of its own, so no counter is shared; a clock gives two the same id.
  const id = `tapertrig-quantity-${Math.random().toString(36).slice(2)}`;
  el.classList.add("tapertrig-quantity");
  const label = document.createElement("label");
  label.htmlFor = `${id}-entry`;
  const entry = document.createElement("input");
  Object.assign(entry, { id: `${id}-entry`, type: "text", spellcheck: false, autocomplete: "off" });
  const unit = document.createElement("span");
  unit.className = "tapertrig-unit";
  const slider = document.createElement("input");
  Object.assign(slider, { type: "range", min: 0, step: 1 });
  const message = document.createElement("div");
  message.id = `${id}-message`;
  message.className = "tapertrig-message";
  message.setAttribute("role", "alert");
  el.append(label, entry, unit, slider, message);

  let held = false;
  let wrong = false;

  const place = () => {
    const steps = Math.max(1, Math.round((model.get("maximum") - model.get("minimum")) / model.get("step")));
    slider.max = steps;
    return Math.round((model.get("value") - model.get("minimum")) / model.get("step"));
  };
  const showFixed = () => {
    const name = model.get("label");
    label.textContent = name;
    unit.textContent = model.get("unit");
    slider.setAttribute("aria-label", name);
    slider.setAttribute("aria-describedby", message.id);
    entry.setAttribute("aria-describedby", message.id);
    slider.disabled = entry.disabled = model.get("disabled");
    el.title = model.get("hint");
  };
  const showValue = () => {
    if (!held) slider.value = place();
    slider.setAttribute("aria-valuetext", `${model.get("text")} ${model.get("unit")}`.trim());
    if (!wrong && document.activeElement !== entry) entry.value = model.get("text");
    if (!wrong && document.activeElement === entry && !held) entry.value = model.get("text");
  };
  const showMessage = () => {
    const words = model.get("message");
    message.textContent = words;
    el.classList.toggle("tapertrig-wrong", Boolean(words));
    if (words) entry.setAttribute("aria-invalid", "true");
    else {
      entry.removeAttribute("aria-invalid");
      if (wrong) { wrong = false; showValue(); }
    }
  };

  slider.addEventListener("pointerdown", () => { held = true; });
  const release = () => { held = false; showValue(); };
  slider.addEventListener("pointerup", release);
  slider.addEventListener("pointercancel", release);
  slider.addEventListener("input", () => {
    wrong = false;
    const value = model.get("minimum") + Number(slider.value) * model.get("step");
    model.set("value", Math.min(value, model.get("maximum")));
    model.save_changes();
  });
  entry.addEventListener("change", () => { // also what Enter does in a text that was changed
    wrong = true; // stays as typed until the kernel has taken it
    model.send({ typed: entry.value });
  });
  entry.addEventListener("keydown", (event) => event.stopPropagation()); // no notebook commands
  slider.addEventListener("keydown", (event) => event.stopPropagation());
  model.on("msg:custom", (answer) => { if (answer.taken) { wrong = false; showValue(); } });
  model.on("change:value change:text change:minimum change:maximum change:step", showValue);
  model.on("change:message", showMessage);
  model.on("change:label change:unit change:disabled change:hint", showFixed);
  showFixed();
  showMessage();
  showValue();
}

export default { render };
