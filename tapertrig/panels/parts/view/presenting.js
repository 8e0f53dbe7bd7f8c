// A panel alone on the screen: picture, sentence and main slider, worked with a clicker or by keys.
// And the keys of a panel, presented or not, stay with it: to the notebook `b` means a new cell.
const WAYS = { PageDown: 1, PageUp: -1 };
const CLICKS = 20; // from end to end of a slider; one that counts steps goes by one
const KEYS = { main: "PageDown and PageUp go along the slider and arrow keys finely, ", answers: "H hides or shows answers, ", unit: "U changes the unit, " };
const TYPED = 'textarea, input:not([type="range"], [type="checkbox"], [type="radio"], [type="button"])';
const REACHED = "input, select, textarea, button, [tabindex='0']";

function render({ model, el }) {
  el.classList.add("tapertrig-presenter");
  const button = document.createElement("button");
  const title = `${Object.keys(KEYS).filter((name) => model.get("worked")[name]).map((name) => KEYS[name]).join("")}R turns the picture over to all results, Escape leaves`;
  Object.assign(button, { type: "button", className: "jupyter-button widget-button", title });
  el.append(button);
  let root = null;
  let waiting = 0;
  let shown = false;

  const named = (name) => {
    const id = model.get("worked")[name];
    return id ? model.widget_manager.get_model(id) : Promise.resolve(null);
  };
  const ask = () => root.querySelector(".tapertrig-asking:not(.tapertrig-answered) :is(input, button):not([hidden])")?.focus();
  const click = async (way) => {
    const main = await named("main");
    if (!main) return;
    if (main.get("disabled")) { ask(); return; }
    if (!main.has("value")) { // a button, which goes one way, once what it asks for is typed
      document.activeElement?.blur();
      const typed = [...root.querySelectorAll(".tapertrig-work input")].filter((one) => one.offsetParent);
      const empty = typed.find((one) => one.type === "text" && !one.value);
      if (empty) empty.focus();
      else if (way > 0) main.send({ event: "click" }, {});
      return;
    }
    const counts = main.get("step") === 1 && !main.get("unit");
    const far = model.get("stride");
    const stride = counts ? 1 : Math.max(1, Math.round(far ? far / main.get("step") : stepsIn(main) / CLICKS));
    const value = main.get("value");
    setSteps(main, value === null ? 0 : stepsTo(main, value) + way * stride);
  };
  const change = async (name) => { // a switch goes over, a choice goes on
    const control = await named(name);
    if (!control) return;
    if (control.get("disabled")) { ask(); return; }
    if (typeof control.get("value") === "boolean") control.set("value", !control.get("value"));
    else control.set("index", (control.get("index") + 1) % control.get("_options_labels").length);
    control.save_changes();
  };
  const WORK = { h: () => change("answers"), u: () => change("unit"), r: () => root.classList.toggle("tapertrig-turned") };

  const goRound = (event) => { // what lies behind is out of sight, so Tab stays in front
    const reached = [...root.querySelectorAll(REACHED)].filter((one) => !one.disabled && one.offsetParent);
    const [first, last] = event.shiftKey ? [reached.at(-1), reached[0]] : [reached[0], reached.at(-1)];
    if (root.contains(document.activeElement) && document.activeElement !== last) return;
    event.preventDefault();
    first.focus();
  };
  const work = (event) => {
    const plain = !(event.ctrlKey || event.metaKey || event.altKey);
    const act = event.key === "Escape" ? leave : event.key in WAYS ? () => click(WAYS[event.key])
      : event.target.matches?.(TYPED) ? null : WORK[event.key.toLowerCase()];
    if (event.key === "Tab") goRound(event);
    else if (act && plain) {
      event.preventDefault();
      event.stopImmediatePropagation();
      act();
      return;
    }
    if (!root.contains(event.target)) event.stopPropagation();
  };
  const ours = (event) => {
    const browsers = (event.ctrlKey || event.metaKey) && event.key !== "Enter";
    return !browsers && !["Escape", "Tab"].includes(event.key);
  };
  const keep = (event) => { if (ours(event)) event.stopPropagation(); };
  // Notebook 7 hears keys before the panel does; this is what its shortcuts look for.
  const suppress = (event) => {
    if (root.contains(event.target)) event.target.toggleAttribute("data-lm-suppress-shortcuts", ours(event));
  };

  const show = () => {
    shown = !shown;
    // The notebook keeps the panel's place, so that nothing has moved afterwards.
    root.parentElement.style.minHeight = shown ? `${root.offsetHeight}px` : "";
    root.classList.toggle("tapertrig-presenting", shown);
    button.textContent = shown ? "Leave" : "Fill the screen";
    document[shown ? "addEventListener" : "removeEventListener"]("keydown", work, true);
    agree();
  };
  const enter = async () => {
    show();
    button.blur(); // it would stay in sight, over the picture
    root.querySelector(".tapertrig-main input[type='range']")?.focus();
    try {
      await root.requestFullscreen();
    } catch { // a host that refuses: then the window, above all else in it
      if (!shown || !root.showPopover) return;
      root.popover = "manual";
      root.showPopover();
    }
  };
  const leave = () => {
    if (!shown) return;
    show();
    root.removeAttribute("popover");
    root.classList.remove("tapertrig-turned");
    if (document.fullscreenElement) document.exitFullscreen();
    button.focus();
  };
  const left = () => { if (!document.fullscreenElement) leave(); };

  const begin = () => {
    root = el.closest(".tapertrig-panel");
    if (!root) { waiting = requestAnimationFrame(begin); return; }
    root.addEventListener("keydown", keep);
    window.addEventListener("keydown", suppress, true);
    root.addEventListener("fullscreenchange", left);
    button.addEventListener("click", () => (shown ? leave() : enter()));
  };
  button.textContent = "Fill the screen";
  const agree = () => { // a page that was closed while it filled the screen told nobody
    if (model.get("presenting") === shown) return;
    model.set("presenting", shown);
    model.save_changes();
  };
  model.on("change:presenting", () => { if (shown) agree(); });
  agree();
  begin();
  return () => {
    cancelAnimationFrame(waiting);
    leave();
    root?.removeEventListener("keydown", keep);
    window.removeEventListener("keydown", suppress, true);
    root?.removeEventListener("fullscreenchange", left);
  };
}

export default { render };
