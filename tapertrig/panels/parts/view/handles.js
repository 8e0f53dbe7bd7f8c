// Marks a hand may take hold of. Each moves its control so that the mark stays under the hand, on
// the control's own steps and between its ends. Slider and entry stay the way for the keyboard:
// inside a picture there is no place to tab to, so a handle hands the focus to its slider.
function handlesIn(svg, model) {
  let handles = [];
  const place = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const path = (name) => {
    const made = document.createElementNS(svg.namespaceURI, "path");
    made.setAttribute("class", `tapertrig-${name}`);
    return made;
  };
  const sliderOf = (handle) => {
    const label = handle.control && CSS.escape(handle.control.get("label"));
    return label && svg.closest(".tapertrig-panel")?.querySelector(`input[type="range"][aria-label="${label}"]`);
  };

  const hold = (handle, event) => {
    const { control, motion, grip, group } = handle;
    if (event.button || handle.held) return;
    event.preventDefault(); // neither selected words nor a selected cell
    grip.setPointerCapture(event.pointerId);
    group.classList.add("tapertrig-held");
    const [x, y, angle] = motion;
    const seen = (point) => (angle ? Math.atan2(point.y - y, point.x - x) : (point.x * x + point.y * y) / (x * x + y * y));
    let before = seen(place(event));
    let value = control.get("value") ?? control.get("minimum");
    let frame = 0;
    const put = () => { frame = 0; setSteps(control, stepsTo(control, value)); };
    handle.held = {
      move: (moved) => {
        if (moved.pointerId !== event.pointerId) return;
        const now = seen(place(moved));
        // Round the back of a centre an angle begins anew; the hand has not.
        const turned = now - before - (angle ? 2 * Math.PI * Math.round((now - before) / (2 * Math.PI)) : 0);
        value += angle ? turned / angle : turned;
        before = now;
        frame ||= requestAnimationFrame(put); // one message a frame
      },
      end: (ended) => {
        if (ended.pointerId !== event.pointerId) return;
        if (frame) { cancelAnimationFrame(frame); put(); }
        handle.held = null;
        group.classList.remove("tapertrig-held");
        sliderOf(handle)?.focus({ preventScroll: true });
      },
    };
  };
  const make = ([id, marks, motion]) => {
    const group = document.createElementNS(svg.namespaceURI, "g");
    group.setAttribute("class", "tapertrig-handle");
    const [ring, grip] = [path("ring"), path("grip")];
    const title = document.createElementNS(svg.namespaceURI, "title");
    grip.append(title);
    group.append(ring, grip);
    const shown = marks.map((mark) => svg.querySelector(`[data-mark="${mark}"]`));
    const bodies = shown.filter((mark) => mark.style.fill !== "none");
    group.classList.toggle("tapertrig-thin", !bodies.length);
    const ringed = bodies.length ? bodies : shown;
    const handle = { group, ring, grip, shown, ringed, motion, control: null, held: null };
    model.widget_manager.get_model(id).then((control) => {
      handle.control = control;
      title.textContent = `drag: ${control.get("label")}`;
      follow();
    });
    grip.addEventListener("pointerdown", (event) => hold(handle, event));
    grip.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
    grip.addEventListener("pointermove", (event) => handle.held?.move(event));
    for (const ended of ["pointerup", "pointercancel"]) grip.addEventListener(ended, (event) => handle.held?.end(event));
    return handle;
  };
  const follow = () => {
    for (const { ring, grip, shown, ringed, motion, control } of handles) {
      const free = control && motion.length && !control.get("disabled");
      for (const [one, marks] of [[ring, ringed], [grip, shown]]) {
        one.setAttribute("d", free ? marks.map((mark) => mark.getAttribute("d")).join("") : "");
      }
    }
  };
  const mean = (event) => { // a slider worked by keys shows what it moves
    for (const handle of handles) {
      const meant = event.type === "focusin" && event.target === sliderOf(handle) && event.target.matches(":focus-visible");
      handle.group.classList.toggle("tapertrig-meant", Boolean(meant));
    }
  };
  const watched = ["focusin", "focusout"];
  for (const change of watched) document.addEventListener(change, mean);
  return {
    begin(whole) {
      handles = whole.handles.map(make);
      svg.append(...handles.map((handle) => handle.group));
      follow();
    },
    change(motions) {
      motions?.forEach((motion, index) => { handles[index].motion = motion; });
      follow();
    },
    end() { for (const change of watched) document.removeEventListener(change, mean); },
  };
}
