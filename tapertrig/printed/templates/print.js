// A button that prints the page; where scripts are blocked there is none.
const printing = document.createElement("button");
Object.assign(printing, { type: "button", className: "printing", textContent: "Print" });
printing.addEventListener("click", () => window.print());
document.querySelector("main").prepend(printing);
