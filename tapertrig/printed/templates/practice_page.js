// A practice page: answers are read, looked up, told and kept, as tapertrig/practice/session.py does.
const facts = JSON.parse(document.getElementById("facts").textContent);
const { said, places, heading } = facts;
const KEY = `tapertrig practice ${heading.join("-")}`;
const at = (id) => document.getElementById(id);
const sections = [...document.querySelectorAll(".problem")];
const boxes = sections.map((one) => one.querySelector("input"));
const reader = answerReader(facts.reader);
const oneLine = (text) => text.trim().split(/\s+/).join(" ");
let problems = [];

// -- what is kept in this browser: whose record, and [place, text, right, mistakes, seconds] ------

// `read`: the problems whose solution was in sight before; what is typed there now is copied.
const begin = (read) => {
  const who = crypto.getRandomValues(new Uint32Array(1))[0] % 1e9;
  return { who, name: "", answers: [], read };
};
let record = begin([]);
let kept = true;

function load() {
  if (!kept) return;
  try {
    const held = JSON.parse(localStorage.getItem(KEY));
    if (held && Array.isArray(held.answers)) record = { read: [], ...held };
  } catch {
    kept = false;
  }
}

function save() {
  try {
    localStorage.setItem(KEY, JSON.stringify(record));
    kept = true;
  } catch {
    kept = false;
  }
}

const answersTo = (place) => record.answers.filter((one) => one[0] === place);

// The time a problem was looked at: what passes while the page is hidden counts for nothing.
let [spent, since] = [0, Date.now()];
const seconds = () => Math.round((spent + Date.now() - since) / 100) / 10;

// -- what is said --------------------------------------------------------------------------

function put(section, message, hint, right) {
  section.classList.toggle("right", Boolean(right));
  section.querySelector(".message").textContent = message;
  section.querySelector(".hint").textContent = hint;
}

function show(place) {
  const [section, problem, answers] = [sections[place], problems[place], answersTo(place)];
  const last = answers[answers.length - 1];
  const solution = section.querySelector("details");
  const tries = answers.length;
  if (!last) {
    solution.hidden = true;
    return put(section, "", "");
  }
  const [right, , message, , hint, plainer] = verdictOn(problem, last[1], reader);
  const late = tries > facts.tries;
  if (right) put(section, late ? `${message} ${said.copied}` : message, "", right);
  else put(section, message, tries > 1 ? plainer : hint);
  solution.hidden = !(right || tries >= facts.tries);
  solution.querySelector("p").textContent = solution.hidden ? "" : problem.solution;
  return right;
}

function showRecord() {
  const met = places.map((_, place) => answersTo(place)).filter((answers) => answers.length);
  const solved = met.filter((answers) => answers.slice(0, facts.tries).some((one) => one[2]));
  const count = record.answers.length;
  const answers = `${count} answer${count === 1 ? "" : "s"}`;
  at("score").textContent = fill(said.score, { solved: solved.length, met: met.length, answers });
  const digits = code();
  at("code").value = digits.replace(/ /g, "").length > facts.longest ? said.too_long : digits;
  at("kept").textContent = kept ? said.kept : said.not_kept;
}

function showAll() {
  places.forEach((_, place) => show(place));
  if (document.activeElement !== at("name")) at("name").value = record.name;
  showRecord();
}

// -- what is given out ---------------------------------------------------------------------

function code() {
  const numbers = [facts.kind, record.who, ...heading];
  for (const [place, , right, [first = 0, second = 0], took] of record.answers) {
    const tens = Math.min(facts.tens - 1, Math.round(took / 10));
    const what = (second * facts.room + first) * facts.tens + tens;
    numbers.push((what * places.length + place) * 2 + (right ? 1 : 0));
  }
  return spelled(numbers);
}

// As tapertrig/practice/record.py writes it.
function csv() {
  const who = String(record.who).padStart(9, "0");
  const about = [`phone ${who}`, ...(record.name ? [record.name] : [])];
  const asText = (text) => (/^([=@]|[+-](?![\d.])|')/.test(text) ? `'${text}` : text);
  const letters = (text) => text.replace(/\d/g, (digit) => "ghijklmnop"[digit]);
  const tries = {};
  const rows = record.answers.map(([place, text, right, mistakes, took], order) => {
    tries[place] = (tries[place] || 0) + 1;
    const named = mistakes.map((one) => facts.mistakes[one - 1]).join(facts.and);
    const shown = took < 1e5 ? took : Math.round(took);
    const own = letters(`${who}x${order}`);
    const yes = right ? "yes" : "no";
    return [...places[place], asText(text), yes, named, tries[place], shown, own, ...about.map(asText)];
  });
  const quoted = (cell) => (/[",]/.test(cell) ? `"${String(cell).replace(/"/g, '""')}"` : cell);
  const columns = facts.columns.slice(0, facts.columns.length - 2 + about.length);
  return [columns, ...rows].map((row) => `${row.map(quoted).join(",")}\n`).join("");
}

// -- what the hand does --------------------------------------------------------------------

function check(place) {
  load();
  const text = oneLine(boxes[place].value);
  const section = sections[place];
  const before = answersTo(place);
  const last = before[before.length - 1];
  if (last && (last[2] || last[1] === text)) {
    const shown = show(place);
    put(section, section.querySelector(".message").textContent, last[2] ? said.right : said.same, shown);
    return;
  }
  const [right, understood, message, mistakes] = verdictOn(problems[place], boxes[place].value, reader);
  if (!understood) {
    put(section, fill(said.uncounted, { message }), "");
    return;
  }
  if (record.read.includes(place)) {
    put(section, `${message} ${right ? said.copied : ""}`, "", right);
    return;
  }
  record.answers.push([place, text, Boolean(right), mistakes, seconds()]);
  [spent, since] = [0, Date.now()];
  save();
  show(place);
  section.querySelector("details").open = !right;
  showRecord();
}

function start(held) {
  problems = held;
  load();
  save();
  at("still").hidden = true;
  for (const part of document.querySelectorAll(".live")) part.hidden = false;
  sections.forEach((section, place) => {
    section.querySelector("form").addEventListener("submit", (event) => {
      event.preventDefault();
      check(place);
      section.querySelector(".verdict").scrollIntoView({ block: "nearest" });
    });
    const answers = answersTo(place);
    if (answers.length) boxes[place].value = answers[answers.length - 1][1];
  });
  at("name").addEventListener("input", () => {
    load();
    record.name = oneLine(at("name").value);
    save();
  });
  at("csv").addEventListener("click", () => {
    URL.revokeObjectURL(at("csv").href);
    at("csv").download = `${record.name.replace(/[\\/:*?"<>|]/g, "-") || "practice"}.csv`;
    at("csv").href = URL.createObjectURL(new Blob([csv()], { type: "text/csv" }));
  });
  at("copy").addEventListener("click", () => {
    at("code").select();
    at("copied").textContent = document.execCommand("copy") ? said.copied_code : said.not_copied;
  });
  at("anew").addEventListener("click", () => {
    if (!confirm(said.anew)) return;
    const seen = (answers) => answers.length >= facts.tries || answers.some((one) => one[2]);
    const read = places.map((_, place) => place).filter((place) => seen(answersTo(place)));
    record = begin([...new Set([...record.read, ...read])]);
    save();
    for (const box of boxes) box.value = "";
    showAll();
  });
  addEventListener("storage", () => {
    load();
    showAll();
  });
  addEventListener("beforeunload", (event) => {
    if (!kept && record.answers.length) event.preventDefault();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) spent += Date.now() - since;
    since = Date.now();
  });
  showAll();
}

// The drawings have their dark colours as in a lesson.
const dark = matchMedia("(prefers-color-scheme: dark)");
const colour = () => { document.body.dataset.jpThemeLight = String(!dark.matches); };
dark.addEventListener("change", colour);
colour();
unpack(at("held").textContent).then(start);
