// Steps each picture with its words. A frame is decoded before it is shown, so nothing flickers.
const ANNOUNCE_AFTER = 900; // words are read out once the hand has come to rest

document.getElementById("blocked").remove();

for (const figure of document.querySelectorAll("figure.panel")) {
  const data = figure.querySelector('script[type="application/json"]');
  if (!data) continue;
  const image = figure.querySelector("img");
  const slider = figure.querySelector("input");
  const value = figure.querySelector(".at");
  const sentence = figure.querySelector(".sentence");
  const rows = figure.querySelector("dl");
  const spoken = figure.querySelector('[role="status"]');
  const frames = JSON.parse(data.textContent);
  const sources = frames.map(([picture]) =>
    picture ? `data:image/webp;base64,${picture}` : image.src);
  let newest = 0;
  let waiting = null;

  const show = async () => {
    const turn = ++newest;
    const place = Number(slider.value);
    const [, at, alternative, words, results] = frames[place];
    slider.setAttribute("aria-valuetext", at);
    value.textContent = at;
    const ahead = new Image();
    ahead.src = sources[place];
    try { await ahead.decode(); } catch { return; }
    if (turn !== newest) return;
    image.src = ahead.src;
    image.alt = alternative;
    sentence.textContent = words;
    rows.replaceChildren(...results.map(([name, result, mark]) => {
      const pair = document.createElement("div");
      pair.className = mark;
      const term = document.createElement("dt");
      const detail = document.createElement("dd");
      term.textContent = name;
      detail.textContent = result;
      pair.append(term, detail);
      return pair;
    }));
    clearTimeout(waiting);
    waiting = setTimeout(() => { spoken.textContent = words; }, ANNOUNCE_AFTER);
  };
  slider.addEventListener("input", show);
  slider.parentElement.hidden = false;
}
