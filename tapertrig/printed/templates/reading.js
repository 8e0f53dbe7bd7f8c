// Reads a dial as a hand says it: "9 turns .047", 1.847, 0,047, 1 27/32. As tapertrig/lathe.py does.
// `dial` has `turn`, what one turn shows (0: nothing that turns), and `said`, the same in words;
// `read` has the pattern, what is refused in which words, and examples.
function readDial(text, dial, unit, read) {
  const plain = /^[\x00-\x7f]*$/.test(text);
  const said = plain && new RegExp(`^(?:${read.pattern})$`).exec(text.toLowerCase());
  const [, turns, number, whole, over, under, own] = said || [];
  let rest = Number((number || "0").replace(",", "."));
  if (over) rest = Number(whole || 0) + Number(over) / Number(under || 1);
  let wrong = "";
  if (!(turns || number || over) || (turns && !dial.turn)) wrong = "no reading";
  else if (own && own !== unit) wrong = "other unit";
  else if (turns && rest > dial.turn * (1 - read.slack)) wrong = "past a turn";
  if (wrong) {
    const shown = [...text.trim()].slice(0, 40).join("");
    const told = { text: shown, unit, example: read.example, turn: dial.said, named: read.units[unit] };
    throw new Error(fill(read.refused[wrong], told));
  }
  return Number(turns || 0) * dial.turn + rest;
}

// A needle's reading has a sign: plus, or none, where the gap is larger than the stack.
function readNeedle(text, dial, unit, read) {
  const [, sign, size] = /^\s*([-+−–]?)\s*(.*)$/s.exec(text);
  const found = readDial(size, dial, unit, read);
  return sign && sign !== "+" ? -found : found;
}

// {names} of a sentence filled in.
function fill(sentence, told) {
  return sentence.replace(/\{(\w+)\}/g, (_, name) => told[name]);
}
