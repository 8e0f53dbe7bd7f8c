// Sliders of each drawing: a stop is what differs from the still one, and the words that belong to it.
const ANNOUNCE_AFTER = 900; // words are read out once the hand has come to rest

document.getElementById("blocked").remove();

async function enliven(figure, data) {
  const { marks, grid, second, here } = await unpack(data.textContent);
  const svg = figure.querySelector("svg");
  const drawing = drawingIn(svg);
  const sliders = [...figure.querySelectorAll("input")];
  const sentence = figure.querySelector(".sentence");
  const rows = figure.querySelector("dl");
  const spoken = figure.querySelector('[role="status"]');
  let changed = {};
  let waiting = null;

  const say = (slider, at) => {
    slider.setAttribute("aria-valuetext", at);
    slider.parentElement.querySelector(".at").textContent = at;
  };
  const show = () => {
    const place = Number(sliders[0].value);
    const row = sliders[1] ? Number(sliders[1].value) : here[0];
    if (sliders[1]) say(sliders[1], second[row]);
    say(sliders[0], grid[here[0]][place][0]);
    const stop = grid[row][place];
    svg.classList.toggle("tapertrig-stale", !stop);
    if (!stop) return;
    const [at, marksThere, words, results] = stop;
    say(sliders[0], at);
    const back = Object.keys(changed).filter((id) => !(id in marksThere));
    drawing.change({ ...Object.fromEntries(back.map((id) => [id, marks[id]])), ...marksThere });
    changed = marksThere;
    svg.setAttribute("aria-label", `${figure.dataset.title}. ${words}`);
    sentence.textContent = words;
    showRows(rows, results);
    clearTimeout(waiting);
    waiting = setTimeout(() => { spoken.textContent = words; }, ANNOUNCE_AFTER);
  };
  for (const slider of sliders) {
    slider.addEventListener("input", show);
    slider.parentElement.hidden = false;
  }
}

for (const figure of document.querySelectorAll("figure.panel")) {
  const data = figure.querySelector('script[type="application/octet-stream"]');
  if (data) enliven(figure, data);
}
