// The setup sheet at the lathe: the boxes of its pass table take readings, and it answers.
const facts = JSON.parse(document.getElementById("facts").textContent);
const { target, words, limits, dials, read, said } = facts;
const cross = target.route === "cross travel";
const KEY = `tapertrig ${facts.key}`;
const FIRST_MINUTE = Date.UTC(2020, 0, 1) / 60000;
const at = (id) => document.getElementById(id);
const table = at("passes").tBodies[0];
const names = [...at("passes").tHead.rows[0].cells].map((cell) => cell.textContent);
const entry = at("entry").content.firstElementChild;
const boxes = Object.fromEntries([...entry.querySelectorAll("input")].map((box) => [box.id, box]));
const order = [boxes.compound, boxes.cross, boxes.stack, boxes.needle].filter(Boolean);

// -- what is kept in this browser ---------------------------------------------------------

let passes = [];
let kept = true;

// What was not written is here alone, and what is read would take its place.
function load() {
  if (!kept) return;
  try {
    passes = JSON.parse(localStorage.getItem(KEY) || "[]");
  } catch {
    kept = false;
  }
}

function save() {
  try {
    localStorage.setItem(KEY, JSON.stringify(passes));
    kept = true;
  } catch {
    kept = false;
  }
}

// The lines of other sheets of this job, such as one before the print was mended.
function earlier() {
  const lines = [];
  try {
    for (const key of Object.keys(localStorage)) {
      const taken = key !== KEY && key.startsWith(KEY.replace(/\S+$/, "")) && JSON.parse(localStorage[key]);
      if (taken.length) lines.push(line(key.split(" ")[2].split("-").map(Number), taken));
    }
  } catch {
    // Nothing is kept here, or none of this page's making.
  }
  return lines;
}

const standing = () => passes.filter((one) => !one.struck);
const newest = () => standing()[standing().length - 1];
// As it was written, for as long as no pass of this browser stands.
const [written, first] = [at("proven").textContent, at("next").textContent];

// -- what is typed ------------------------------------------------------------------------

function typed() {
  const scaled = (box, reader = readDial) => {
    const count = Math.round(reader(box.value, dials[box.id], target.unit, read) * facts.scale);
    if (Math.abs(count) <= facts.largest) return count;
    throw new Error(said.large);
  };
  const reading = cross
    ? scaled(boxes.cross)
    : scaled(boxes.stack) + scaled(boxes.needle, readNeedle);
  const one = { compound: scaled(boxes.compound), reading, tight: boxes.tight.checked };
  return cross ? one : { ...one, stack: scaled(boxes.stack) };
}

const tapOf = ({ compound, reading, tight }, by = target) =>
  nextTap(words, limits, by, compound / facts.scale, reading / facts.scale, tight);
// A pass that is kept stays, whatever the lathe is said to reach.
const keptTap = (one) => tapOf(one, { ...target, reach: null });
// The last row is for a pass that proves, or is tight where there is nothing to prove.
const ends = (one) => one.tight && (!target.within || keptTap(one).standing === words.proves);

// -- the table ----------------------------------------------------------------------------

function cellsOf(one) {
  const tap = keptTap(one);
  const { unit } = target;
  const length = (count) => `${figures(count / facts.scale, placesWritten(unit))} ${unit}`;
  const seen = tap.way && Math.abs(tap.rim) >= limits.least_rim[unit];
  const rim = seen ? `${tap.way} ${lengthSaid(tap.rim, unit)} ${unit}` : words.nothing;
  return [
    length(one.compound),
    length(one.reading),
    tap.now,
    tap.way ? `${tap.way} ${angleSaid(tap.missing)}` : words.nothing,
    tap.rim === null ? said.no_radius : rim,
    one.tight ? "tight" : "eased",
  ];
}

function row(name, cells, kind) {
  const made = document.createElement("tr");
  const head = made.appendChild(document.createElement("th"));
  head.scope = "row";
  head.textContent = name;
  for (const [place, title] of names.slice(1).entries()) {
    const cell = made.appendChild(document.createElement("td"));
    cell.textContent = cells[place] || "";
    cell.dataset.name = title;
  }
  made.className = kind;
  return made;
}

// As on paper: the last passes that there is room for, blank rows, the proving pass. The row that
// is typed into stands in the first blank one.
function showTable() {
  const taken = [...facts.taken, ...passes.map((one) => [cellsOf(one), ends(one), one.struck])];
  const lasting = taken.filter(([, , struck]) => !struck);
  const proof = lasting.length && lasting[lasting.length - 1][1] ? lasting[lasting.length - 1] : null;
  const numbered = lasting.length - (proof ? 1 : 0);
  const rows = taken.map((one) => {
    const number = lasting.indexOf(one) + 1;
    if (!number) return row(said.struck, one[0], "struck screen");
    if (one === proof) return row(said.proof, one[0], "");
    return row(String(number), one[0], number > numbered - facts.rows ? "" : "screen");
  });
  const blank = [];
  for (let number = numbered + (proof ? 1 : 2); number <= facts.rows; number += 1) {
    blank.push(row(String(number), [], "paper"));
  }
  entry.cells[0].textContent = String(lasting.length + 1);
  entry.classList.toggle("screen", Boolean(proof) || numbered >= facts.rows);
  const before = proof ? taken.indexOf(proof) : rows.length;
  if (proof) rows.splice(before, 0, ...blank);
  else blank.push(row(said.proof, [], "paper"));
  table.replaceChildren(...rows, entry, ...(proof ? [] : blank));
}

// -- the answer ---------------------------------------------------------------------------

// What is typed and makes a pass, or null; the answer to it, else to the last pass.
function answer() {
  const empty = order.filter((box) => !box.value.trim());
  const last = newest();
  const lasting = facts.taken.length + standing().length;
  let one = null;
  let wrong = "";
  let tap = last ? keptTap(last) : facts.last;
  if (empty.length && empty.length < order.length) {
    wrong = fill(said.other, { box: empty[0].labels[0].textContent.split(",")[0] });
  } else if (!empty.length) {
    try {
      one = typed();
      tap = tapOf(one);
    } catch (error) {
      one = null;
      wrong = error.message;
    }
  }
  at("keep").disabled = !one;
  at("keep").textContent = fill(said.keep, { number: lasting + 1 });
  at("wrong").textContent = wrong;
  at("told").hidden = Boolean(wrong) || !tap;
  at("proven").hidden = Boolean(wrong || one); // of the pass before; what is typed may tell otherwise
  at("which").hidden = at("next").hidden = Boolean(wrong);
  at("set").hidden = !tap;
  at("which").textContent = said.set;
  at("next").textContent = first;
  if (wrong || !tap) return null;
  at("which").textContent = fill(said[one ? "typed" : "last"], { number: one ? lasting + 1 : lasting });
  for (const name of ["now", "swing", "doubted", "standing", "next"]) at(name).textContent = tap[name];
  at("minded").textContent = tap.minded.join(" ");
  at("before").hidden = tap.next === words.proven;
  return one;
}

function setTo(last) {
  const { now, standing: found } = keptTap(last);
  if (found !== words.proves) return last.tight ? said.not_proven : "";
  return fill(words["set to"], { now, within: target.within, aim: target.aim });
}

function show() {
  showTable();
  const last = newest();
  at("strike").hidden = !last;
  for (const press of entry.querySelectorAll("[data-again]")) {
    press.hidden = !last;
    if (last) press.textContent = fill(said.again, { value: last[press.dataset.again] / facts.scale });
  }
  if (passes.length) at("proven").textContent = last ? setTo(last) : written;
  at("kept").textContent = kept ? said.kept : said.not_kept;
  at("kept").classList.toggle("notice", !kept);
  at("carry").hidden = !passes.length;
  at("line").value = line();
  at("earlier").textContent = earlier().map((one) => said.earlier + one).join(" ");
  answer();
}

// -- the line that carries the readings ---------------------------------------------------

function line(heading = facts.heading, taken = passes) {
  const numbers = [...heading];
  taken.forEach((one, place) => {
    const before = taken[place - 1];
    if (!before) numbers.push(one.minute);
    const other = !before || before.compound !== one.compound;
    const since = before ? one.minute - before.minute : 0;
    numbers.push(8 * since + (one.tight ? 1 : 0) + (one.struck ? 2 : 0) + (other ? 4 : 0));
    if (other) numbers.push(one.compound);
    numbers.push(one.reading);
  });
  return spelled(numbers);
}

function smallFile() {
  const rows = [...table.rows].filter((one) => one.matches(":not(.entry, .paper)"));
  const shown = rows.map((one) => [...one.cells].map((cell) => cell.textContent).join("  ").trim());
  return [document.title, "", ...shown, "", `${said.line}:`, line(), ""].join("\r\n");
}

// -- what the hand does -------------------------------------------------------------------

function keep() {
  load();
  const one = answer();
  if (!one) return;
  const minute = Math.floor(Date.now() / 60000) - FIRST_MINUTE;
  const last = passes[passes.length - 1];
  passes.push({ ...one, minute: Math.max(minute, last ? last.minute : facts.since), struck: false });
  for (const box of order) box.value = "";
  boxes.eased.checked = true;
  save();
  show();
  document.activeElement.blur(); // the keys of a phone would hide the answer
  at("told").scrollIntoView({ block: "nearest" });
}

function strike() {
  load();
  const last = newest();
  if (last) last.struck = true;
  save();
  show();
}

function press(event) {
  const chip = event.target.closest("button");
  if (!chip) return;
  const box = chip.closest(".box").querySelector("input");
  if (chip.dataset.again) {
    box.value = newest()[chip.dataset.again] / facts.scale;
  } else if (chip.dataset.sign) {
    box.value = /^\s*[-−–]/.test(box.value) ? box.value.replace(/^\s*[-−–]/, "") : `−${box.value}`;
  } else {
    box.value = `${box.value.trim()} ${chip.dataset.add} `;
  }
  box.focus();
  answer();
}

load();
save();
at("still").hidden = true;
document.querySelector("main").classList.add("alive");
for (const part of document.querySelectorAll(".live")) part.hidden = false;
entry.addEventListener("input", ({ target: typing }) => {
  answer();
  typing.scrollIntoView({ block: "nearest" }); // the answer above it may have grown
});
entry.addEventListener("click", press);
entry.addEventListener("keydown", (event) => {
  if (event.key === "Enter" && event.target.matches("input")) keep();
});
at("keep").addEventListener("click", keep);
at("strike").addEventListener("click", strike);
at("copy").addEventListener("click", () => {
  at("line").select();
  at("copied").textContent = document.execCommand("copy") ? said.copied : said.not_copied;
});
at("file").addEventListener("click", () => {
  URL.revokeObjectURL(at("file").href);
  at("file").href = URL.createObjectURL(new Blob([smallFile()], { type: "text/plain" }));
});
addEventListener("storage", () => {
  load();
  show();
});
addEventListener("beforeunload", (event) => {
  if (!kept && passes.length) event.preventDefault();
});
show();
