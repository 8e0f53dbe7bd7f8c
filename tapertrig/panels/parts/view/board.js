// Drawing and words, changed together by one message.
const ANNOUNCE_AFTER = 900; // a result is read out once the hand has come to rest
const LONG = 300; // letters of a sentence that takes five lines of a full screen
const NARROW = 600; // below this width the words of the wide placements are too small to read
const WIDE = 630; // and above this one they are not; between the two nothing changes

function initialize({ model }) {
  // What is sent is only what changes; here it is put together, for views that come later.
  model.on("msg:custom", (news) => {
    const whole = model.get("whole");
    for (const entry of whole.marks) {
      const changed = news.marks[entry[0]];
      if (changed) entry[1] = [...changed, ...entry[1].slice(changed.length)];
    }
    news.motions?.forEach((motion, index) => { whole.handles[index][2] = motion; });
    const rows = news.rows.map((row, index) => {
      const [name, value, mark] = whole.rows[index] || [];
      return Array.isArray(row) ? row : [name, row === 0 ? value : row, mark];
    });
    Object.assign(whole, { sentence: news.sentence, rows, turn: news.turn });
  });
}

function render({ model, el }) {
  el.classList.add("tapertrig-board");
  el.innerHTML = `<div class="tapertrig-above"><div class="tapertrig-notice" role="alert"></div>
    <div class="tapertrig-news" role="status"></div></div>
    <div class="tapertrig-seen"><svg class="tapertrig-drawing" role="img"></svg>
    <p class="tapertrig-sentence"></p></div>
    <div class="tapertrig-words" role="group" aria-label="Results" tabindex="0"><dl></dl>
    <div class="tapertrig-spoken" role="status" aria-live="polite"></div></div>`;
  const [above, notice, news, seen, svg, sentence, words, rows, spoken] = ["above", "notice", "news",
    "seen", "drawing", "sentence", "words", "words dl", "spoken"].map((name) => el.querySelector(`.tapertrig-${name}`));
  const drawing = drawingIn(svg);
  const handles = handlesIn(svg, model);

  let waiting = null;
  let sight = null;
  let placing = 0;
  let first = true;

  const showWords = ({ sentence: told, rows: results, turn }) => {
    svg.setAttribute("aria-label", `${model.get("whole").title}. ${told}`);
    sentence.textContent = told;
    el.classList.toggle("tapertrig-long", told.length > LONG);
    showRows(rows, results);
    el.dataset.turn = String(turn);
    clearTimeout(waiting);
    if (first) { first = false; return; }
    waiting = setTimeout(() => { spoken.textContent = told; }, ANNOUNCE_AFTER);
  };
  const showWhole = () => {
    const whole = model.get("whole");
    if (!whole.marks) return;
    drawing.begin(whole);
    handles.begin(whole);
    el.dataset.placement = whole.placement;
    sight?.fit();
    showWords(whole);
  };
  const showChange = (changed) => {
    drawing.change(changed.marks);
    handles.change(changed.motions);
    showWords(model.get("whole"));
  };
  const showNotice = () => {
    const said = notice.textContent + news.textContent;
    notice.textContent = model.get("notice");
    news.textContent = model.get("news");
    const now = notice.textContent + news.textContent;
    if (now && now !== said) sight?.tell();
    svg.classList.toggle("tapertrig-stale", model.get("stale"));
  };
  const place = () => { // the panel is put together only after its parts
    if (el.closest(".tapertrig-panel")) sight = sightOf(el, seen, above);
    else placing = requestAnimationFrame(place);
  };
  const scrolls = new ResizeObserver(() => { // what scrolls can be reached by Tab
    if (words.scrollHeight > words.clientHeight + 1) words.tabIndex = 0;
    else words.removeAttribute("tabindex");
  });
  const look = new ResizeObserver(([{ contentRect }]) => {
    const width = contentRect.width;
    const room = width < NARROW ? "narrow" : width > WIDE ? "wide" : model.get("room");
    if (!width || room === model.get("room")) return;
    model.set("room", room);
    model.save_changes();
  });
  // A Python ended elsewhere, as a school's server ends an idle one: Jupyter marks no panel then.
  const python = model.widget_manager?.kernel;
  const lost = () => (el.closest(".jp-Notebook") ?? document).querySelectorAll(".tapertrig-panel")
    .forEach((panel) => panel.classList.add("jupyter-widgets-disconnected"));
  python?.disposed?.connect?.(lost);
  model.on("change:whole", showWhole);
  model.on("msg:custom", showChange);
  model.on("change:notice change:news change:stale", showNotice);
  showNotice();
  showWhole();
  look.observe(svg);
  scrolls.observe(words);
  scrolls.observe(rows);
  place();
  return () => {
    clearTimeout(waiting);
    cancelAnimationFrame(placing);
    look.disconnect();
    scrolls.disconnect();
    sight?.end();
    handles.end();
    python?.disposed?.disconnect?.(lost);
    model.off("change:whole", showWhole);
    model.off("msg:custom", showChange);
    model.off("change:notice change:news change:stale", showNotice);
  };
}

export default { initialize, render };
