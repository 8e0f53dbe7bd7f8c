// A drawing as SVG: elements are made once, and a list of marks then sets their attributes.
// What a mark is made of, and in which order, says draw/parts/drawing.py.
const ROLE = (role) => (role ? `var(--tapertrig-${role.replace(" ", "-")})` : "none");

function drawingIn(svg) {
  const elements = new Map([...svg.children].map((one) => [one.dataset.mark, one]));
  const set = (id, mark) => {
    const words = id[0] === "t";
    let element = elements.get(id);
    if (!element) {
      element = document.createElementNS(svg.namespaceURI, words ? "text" : "path");
      if (words) element.setAttribute("lengthAdjust", "spacingAndGlyphs");
      element.dataset.mark = id;
      elements.set(id, element);
      svg.append(element);
    }
    if (words) {
      const [text, x, y, length, role, size, weight] = mark;
      element.textContent = text;
      element.setAttribute("x", x);
      element.setAttribute("y", y);
      element.setAttribute("textLength", length);
      if (mark.length < 5) return;
      element.style.fill = ROLE(role);
      element.setAttribute("font-size", size);
      element.setAttribute("font-weight", weight || "normal");
      return;
    }
    const [way, stroke, fill, width, dash, opacity] = mark;
    element.setAttribute("d", way);
    if (mark.length < 2) return;
    element.style.stroke = ROLE(stroke);
    element.style.fill = ROLE(fill);
    element.setAttribute("stroke-width", width);
    element.setAttribute("stroke-dasharray", dash || "none");
    element.setAttribute("stroke-linecap", dash ? "butt" : "round");
    element.setAttribute("opacity", opacity);
  };
  return {
    begin({ size, marks }) {
      elements.clear();
      svg.replaceChildren();
      svg.setAttribute("viewBox", `0 0 ${10 * size[0]} ${10 * size[1]}`);
      for (const [id, mark] of marks) set(id, mark);
    },
    change(marks) { for (const id in marks) set(id, marks[id]); },
  };
}

// Rows of results, changed in place, so that a selection holds; 0 stands for a row as it is.
function showRows(list, rows) {
  rows.forEach((row, index) => {
    if (!row) return;
    const [name, value, mark] = row;
    let pair = list.children[index];
    if (!pair) {
      pair = document.createElement("div");
      pair.append(document.createElement("dt"), document.createElement("dd"));
      list.append(pair);
    }
    if (pair.firstChild.textContent !== name) pair.firstChild.textContent = name;
    if (pair.lastChild.textContent !== value) pair.lastChild.textContent = value;
    pair.className = mark ? `tapertrig-${mark}` : "";
  });
  while (list.children.length > rows.length) list.lastChild.remove();
}
