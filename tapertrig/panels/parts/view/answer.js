// A typed answer with its button: Enter and the button both send the text as it stands, so that
// a slow line can never check half of what was typed.

function render({ model, el }) {
  // Each widget has a module of its own, so no counter is shared; a clock gives two the same id.
  const id = `tapertrig-answer-${Math.random().toString(36).slice(2)}`;
  el.classList.add("tapertrig-quantity", "tapertrig-answer");
  const label = document.createElement("label");
  label.htmlFor = id;
  const entry = document.createElement("input");
  Object.assign(entry, { id, type: "text", spellcheck: false, autocomplete: "off" });
  const button = document.createElement("button");
  button.type = "button";
  button.className = "jupyter-button widget-button";
  const message = document.createElement("div");
  message.id = `${id}-message`;
  message.className = "tapertrig-message";
  message.setAttribute("role", "alert");
  const told = document.createElement("div");
  told.className = "tapertrig-remark";
  told.setAttribute("role", "status");
  entry.setAttribute("aria-describedby", message.id);
  el.append(label, entry, button, message, told);

  const showWords = () => {
    label.textContent = model.get("label");
    button.textContent = model.get("button");
    message.textContent = model.get("message");
    told.textContent = model.get("told");
    entry.hidden = button.hidden = model.get("open_question");
    el.classList.toggle("tapertrig-wrong", Boolean(model.get("message")));
  };
  const showText = () => { entry.value = model.get("text"); };
  const send = () => model.send({ answer: entry.value });
  entry.addEventListener("keydown", (event) => {
    event.stopPropagation(); // no notebook commands
    if (event.key === "Enter" && !event.repeat) send();
  });
  button.addEventListener("click", send);
  model.on("change:label change:button change:message change:told change:open_question", showWords);
  model.on("change:clearings", showText);
  showWords();
  showText();
}

export default { render };
