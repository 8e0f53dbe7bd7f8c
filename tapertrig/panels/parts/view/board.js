// Picture and words, changed together. The image element is made once; a new frame is decoded
// before it is shown, so nothing flickers, and a frame that comes late is dropped.
const ANNOUNCE_AFTER = 900; // a result is read out once the hand has come to rest

function render({ model, el }) {
  el.classList.add("tapertrig-board");
  const image = document.createElement("img");
  image.decoding = "sync";
  const rows = document.createElement("dl");
  const sentence = document.createElement("p");
  sentence.className = "tapertrig-sentence";
  const notice = document.createElement("div");
  notice.className = "tapertrig-notice";
  notice.setAttribute("role", "alert");
  const news = document.createElement("div");
  news.className = "tapertrig-news";
  news.setAttribute("role", "status");
  const spoken = document.createElement("div");
  spoken.className = "tapertrig-spoken";
  spoken.setAttribute("role", "status");
  spoken.setAttribute("aria-live", "polite");
  const wordSide = document.createElement("div");
  wordSide.className = "tapertrig-words";
  wordSide.append(sentence, rows, spoken);
  const above = document.createElement("div");
  above.className = "tapertrig-above";
  above.append(notice, news);
  el.append(above, image, wordSide);

  let shownUrl = null;
  let newest = 0;
  let waiting = null;
  let first = true;

  const showWords = (words) => {
    image.alt = words.alt;
    sentence.textContent = words.sentence;
    words.rows.forEach(([name, value, mark], index) => {
      let pair = rows.children[index];
      if (!pair) {
        pair = document.createElement("div");
        pair.append(document.createElement("dt"), document.createElement("dd"));
        rows.append(pair);
      }
      if (pair.firstChild.textContent !== name) pair.firstChild.textContent = name;
      if (pair.lastChild.textContent !== value) pair.lastChild.textContent = value;
      pair.className = mark ? `tapertrig-${mark}` : "";
    });
    while (rows.children.length > words.rows.length) rows.lastChild.remove();
    clearTimeout(waiting);
    if (first) { first = false; return; }
    waiting = setTimeout(() => { spoken.textContent = words.sentence; }, ANNOUNCE_AFTER);
  };
  const showFrame = async () => {
    const turn = ++newest;
    const frame = model.get("frame");
    const words = model.get("words");
    if (!frame || !frame.byteLength) return;
    const url = URL.createObjectURL(new Blob([frame], { type: "image/png" }));
    const ahead = new Image();
    ahead.src = url;
    try { await ahead.decode(); } catch { URL.revokeObjectURL(url); return; }
    if (turn !== newest) { URL.revokeObjectURL(url); return; }
    const [width, height] = model.get("size");
    image.width = width;
    image.height = height;
    image.src = url;
    if (shownUrl) { const old = shownUrl; setTimeout(() => URL.revokeObjectURL(old), 2000); }
    shownUrl = url;
    el.dataset.turn = String(model.get("turn"));
    showWords(words);
  };
  const showNotice = () => {
    const said = notice.textContent + news.textContent;
    notice.textContent = model.get("notice");
    news.textContent = model.get("news");
    // A button stands well below the picture; what it says must not stay out of sight above.
    const now = notice.textContent + news.textContent;
    const pressed = document.activeElement && document.activeElement.tagName === "BUTTON";
    if (now && now !== said && pressed) above.scrollIntoView({ block: "nearest" });
    image.classList.toggle("tapertrig-stale", model.get("stale"));
  };
  model.on("change:turn", showFrame);
  model.on("change:notice change:news change:stale", showNotice);
  showNotice();
  showFrame();
  return () => { clearTimeout(waiting); if (shownUrl) URL.revokeObjectURL(shownUrl); };
}

export default { render };
