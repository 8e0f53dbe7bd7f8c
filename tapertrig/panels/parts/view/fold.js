// What is seldom wanted stands behind a button that says whether it is open.
function render({ model, el }) {
  el.classList.add("tapertrig-fold");
  const button = document.createElement("button");
  button.type = "button";
  button.addEventListener("click", () => {
    model.set("unfolded", !model.get("unfolded"));
    model.save_changes();
  });
  el.append(button);
  const show = () => {
    button.textContent = model.get("label");
    button.setAttribute("aria-expanded", String(model.get("unfolded")));
    el.classList.toggle("tapertrig-open", model.get("unfolded"));
  };
  model.on("change:unfolded change:label", show);
  show();
}

export default { render };
