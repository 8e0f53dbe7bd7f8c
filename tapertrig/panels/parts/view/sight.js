// Picture and sentence stay on the screen while any control of their panel is used: where there is
// room for both, the controls scroll beside them; else they scroll beneath, and the picture holds.
const BESIDE = 860; // a panel so wide has its controls beside the picture
const BESIDE_LARGE = 1250;
const LOW = 560; // and in a window so low, from half of that on
const AFTER_A_PRESS = 300; // ms; what moved under a finger would not be pressed

function sightOf(el, seen, above) {
  const root = el.closest(".tapertrig-panel");
  const scroller = root.closest(".jp-WindowedPanel-outer");
  let pressedAt = 0;
  let button = null;
  let waiting = null;

  const fit = () => {
    const room = scroller ? scroller.clientHeight : window.innerHeight;
    const wide = root.clientWidth;
    if (!room || !wide) return;
    const least = root.classList.contains("tapertrig-projector") ? BESIDE_LARGE : BESIDE;
    root.style.setProperty("--tapertrig-room", `${room - 10}px`);
    // A style sheet's :has() in this place leaves pictures of some browsers unpainted.
    const projected = document.querySelector(".tapertrig-panel.tapertrig-projector");
    document.documentElement.classList.toggle("tapertrig-projected", Boolean(projected));
    const low = wide < least && room < LOW && wide >= BESIDE / 2;
    root.classList.toggle("tapertrig-low", low);
    root.classList.toggle("tapertrig-beside", wide >= least || low);
    // An answer makes the panel higher, and would stand below the window's edge.
    const asked = root.querySelector(".tapertrig-asking:focus-within");
    if (asked && root.classList.contains("tapertrig-beside")) look(asked);
  };
  const look = (target) => {
    if (root.classList.contains("tapertrig-presenting")) return;
    if (root.classList.contains("tapertrig-beside")) {
      root.scrollIntoView({ block: "nearest" });
      return;
    }
    const edge = scroller ? scroller.getBoundingClientRect() : { top: 0, bottom: window.innerHeight };
    const [held, used] = [seen.getBoundingClientRect(), target.getBoundingClientRect()];
    const covered = !seen.contains(target) && used.top < held.bottom;
    if (held.top < edge.top - 1 || held.bottom > edge.bottom + 1 || covered) target.scrollIntoView({ block: "end" });
  };
  const soon = ({ target, type }) => {
    clearTimeout(waiting);
    const pressed = performance.now() - pressedAt < 1000;
    // A scroll would shut a list that has just been opened; it is looked at when it has changed.
    if (pressed && type === "focusin" && target.tagName === "SELECT") return;
    waiting = setTimeout(() => look(target), pressed ? AFTER_A_PRESS : 0);
  };
  const press = () => { pressedAt = performance.now(); };
  const click = ({ target }) => { button = target.closest(".jupyter-button"); };
  const use = (event) => { button = null; if (event.type === "change") soon(event); };
  const watch = new ResizeObserver(fit);
  watch.observe(root);
  if (scroller) watch.observe(scroller);
  root.addEventListener("focusin", soon);
  root.addEventListener("pointerdown", press, true);
  root.addEventListener("click", click, true);
  root.addEventListener("input", use, true);
  root.addEventListener("change", use, true);
  fit();
  return {
    fit,
    // What a button has to say stands below it.
    tell() {
      const row = button && (button.closest(".tapertrig-buttons") || button);
      if (row) row.after(above);
      else el.prepend(above);
      // What another panel has to say moves nothing under the hands that are at this one.
      const hands = document.activeElement;
      if (root.contains(hands) || hands === document.body) above.scrollIntoView({ block: "nearest" });
    },
    end() {
      clearTimeout(waiting);
      watch.disconnect();
      above.remove();
      root.removeEventListener("focusin", soon);
      root.removeEventListener("pointerdown", press, true);
      root.removeEventListener("click", click, true);
      root.removeEventListener("input", use, true);
      root.removeEventListener("change", use, true);
    },
  };
}

