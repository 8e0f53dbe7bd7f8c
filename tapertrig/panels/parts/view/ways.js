// Links to the lessons of the server that this page comes from, wherever it stands.
const MISSED = "Error displaying widget: model not found";
const OPENING = 90000; // a page older than this has long been put together; in ms

// JupyterLab looks for a panel two seconds long and ends on the clock, without a last look. On a busy
// machine all panels come while it sleeps, and each is then said to be missing. The page is fetched
// once more, where that befell the whole of it as it opened and nothing runs that still brings one.
function initialize() {
  const seen = (where) => document.querySelector(where) !== null;
  const every = setInterval(() => {
    const missed = [...document.querySelectorAll(".jp-OutputArea-output")].some((one) => one.textContent === MISSED);
    if (!missed && !seen(".tapertrig-panel") && performance.now() < OPENING) return;
    clearInterval(every);
    const runs = [...document.querySelectorAll(".jp-InputPrompt")].some((one) => one.textContent.includes("*"));
    if (!missed || runs || seen(".tapertrig-panel") || performance.now() > OPENING) return;
    const since = Date.now() - Number(sessionStorage.getItem("tapertrig opened again"));
    if (since < OPENING) return;
    sessionStorage.setItem("tapertrig opened again", String(Date.now()));
    location.reload();
  }, 500);
}

function render({ model, el }) {
  const config = document.getElementById("jupyter-config-data");
  const base = config ? JSON.parse(config.textContent).baseUrl : "/";
  const lesson = encodeURIComponent(model.get("lesson"));
  const links = [
    ["Previous lesson", `lesson/before-${lesson}`],
    ["All lessons", ""],
    ["Next lesson", `lesson/after-${lesson}`],
  ].map(([words, path]) => {
    const link = document.createElement("a");
    Object.assign(link, { href: `${base}tapertrig/${path}`, textContent: words });
    link.style.cssText = "margin-right: 1.5em; font-size: 1.1em; line-height: 2";
    return link;
  });
  const nav = document.createElement("nav");
  nav.setAttribute("aria-label", "Lessons");
  nav.append(...links);
  el.append(nav);
}

export default { initialize, render };
