// One quantity: a named slider and a typed entry, always in step, and the message beside them.
const NOT_GIVEN = "not given";

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
  const remark = document.createElement("div");
  remark.className = "tapertrig-remark";
  remark.setAttribute("role", "status");
  el.append(label, entry, unit, slider, message, remark);

  let held = false;
  let wrong = false;
  let typing = false; // what is being typed is not written over by an answer to what came before

  const empty = () => model.get("value") === null;
  const place = () => {
    slider.max = stepsIn(model);
    return empty() ? 0 : stepsTo(model, model.get("value"));
  };
  const showFixed = () => {
    const name = model.get("label");
    label.textContent = name;
    unit.textContent = model.get("unit");
    slider.setAttribute("aria-label", name);
    slider.setAttribute("aria-describedby", message.id);
    entry.setAttribute("aria-describedby", message.id);
    slider.disabled = entry.disabled = model.get("disabled");
    entry.placeholder = model.get("optional") ? NOT_GIVEN : "";
    el.title = model.get("hint");
  };
  const showValue = () => {
    if (!held) slider.value = place();
    el.classList.toggle("tapertrig-empty", empty());
    slider.setAttribute("aria-valuetext", empty() ? NOT_GIVEN : `${model.get("text")} ${model.get("unit")}`.trim());
    if (!wrong && !typing) entry.value = model.get("text");
  };
  const showMessage = () => {
    const words = model.get("message");
    message.textContent = words;
    remark.textContent = model.get("remark");
    el.classList.toggle("tapertrig-wrong", Boolean(words));
    if (words) entry.setAttribute("aria-invalid", "true");
    else {
      entry.removeAttribute("aria-invalid");
      if (wrong && !typing) { wrong = false; showValue(); }
    }
  };

  const use = () => {
    wrong = false;
    setSteps(model, Number(slider.value));
  };
  slider.addEventListener("pointerdown", () => { held = true; });
  // An empty slider rests, unseen, at its least: pressed just there it fires no input event.
  const release = () => { held = false; if (empty()) use(); showValue(); };
  slider.addEventListener("pointerup", release);
  slider.addEventListener("pointercancel", () => { held = false; showValue(); });
  slider.addEventListener("input", use);
  entry.addEventListener("change", () => { // also what Enter does in a text that was changed
    typing = false;
    wrong = true; // stays as typed until the kernel has taken it
    model.send({ typed: entry.value });
  });
  entry.addEventListener("input", () => {
    typing = true;
    if (!model.get("live")) return;
    wrong = true;
    model.send({ typing: entry.value });
  });
  let came = false;
  entry.addEventListener("pointerdown", () => { came = document.activeElement !== entry; });
  entry.addEventListener("click", () => { // a reading is written anew; a second click goes into it
    if (came && el.closest(".tapertrig-reading")) entry.select();
  });
  entry.addEventListener("blur", () => { // typed back to what it was: no change to tell
    typing = false;
    showValue();
  });
  entry.addEventListener("keydown", (event) => event.stopPropagation()); // no notebook commands
  slider.addEventListener("keydown", (event) => {
    event.stopPropagation();
    // The first key on an empty slider starts it in the middle, or at the end it names.
    const start = { Home: 0, End: 1 }[event.key] ?? (/^(Arrow|Page)/.test(event.key) ? 0.5 : null);
    if (!empty() || start === null) return;
    event.preventDefault();
    slider.value = Math.round(start * slider.max);
    use();
  });
  model.on("msg:custom", (answer) => { if (answer.taken) { wrong = false; showValue(); } });
  model.on("change:value change:text change:minimum change:maximum change:step", showValue);
  model.on("change:message change:remark", showMessage);
  model.on("change:label change:unit change:disabled change:hint change:optional", showFixed);
  showFixed();
  showMessage();
  showValue();
}

export default { render };
