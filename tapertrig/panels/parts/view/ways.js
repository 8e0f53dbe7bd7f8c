// Links to the lessons of the server that this page comes from, wherever it stands.

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

export default { render };
