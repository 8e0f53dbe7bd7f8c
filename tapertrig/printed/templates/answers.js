// Reads a typed answer as people write it, as tapertrig/practice/answers.py does: by its patterns,
// in its words. `unit` is what is asked; `dial` has what a turn and a graduation show, or is null.
class Refused extends Error {}

function answerReader(read) {
  const made = (patterns, before, after, flags) =>
    Object.fromEntries(
      Object.entries(patterns).map(([name, one]) => [name, new RegExp(before + one + after, flags)]),
    );
  const whole = made(read.whole, "^(?:", ")$", "i");
  const within = made(read.within, "", "", "i");
  const part = new RegExp(read.within.part, "iy");
  const fields = ["degree", "minute", "second"];
  const refuse = (why, told) => {
    throw new Refused(fill(read.refused[why], told));
  };

  // As messages quote it, in plain signs, and its sign.
  function written(text, example) {
    const shown = [...text.replace(/[\p{C}\p{Z}]/gu, " ")];
    if (shown.length > read.longest) {
      refuse("too long", { shown: `${shown.slice(0, read.longest).join("")}…`, example });
    }
    let body = shown.map((one) => read.signs[one] || one).join("").trim();
    body = body.replace(/^[\p{L}\p{Nl}\p{No}]{0,12}\s*[=≈~]\s*/u, "").trim();
    const commas = body.split(",").length - 1;
    if (commas === 1 && !body.includes(".")) body = body.replace(/(\d),(?=\d)/, "$1.");
    const sign = body.startsWith("-") ? -1 : 1;
    body = body.replace(/^[-+]\s*/, "");
    if (!body) refuse("nothing", { example });
    return { told: { shown: shown.join(""), example }, body, sign };
  }

  function number(body, told) {
    if (whole.decimal.test(body.trim())) return Number(body);
    const found = whole.fraction.exec(body.trim());
    if (!found) refuse("no number", { ...told, comma: body.includes(",") ? read.comma : "" });
    const [units, over, under] = found.slice(1).map((one) => Number(one || 0));
    if (!under) refuse("zero", told);
    return units + over / under;
  }

  function plainLength(body, unit, told) {
    const found = whole.length.exec(body);
    if (!found && /°|′|deg/i.test(body)) refuse("an angle", told);
    if (!found) return number(body, told);
    const own = Object.keys(read.millimetres).find((name) => found.groups[name]) || unit;
    const size = number(found.groups.number, told);
    return own === unit ? size : (size * read.millimetres[own]) / read.millimetres[unit];
  }

  function lengths(body, unit, dial, told) {
    const turns = whole.turns.exec(body);
    const lines = whole.lines.exec(body);
    if (!turns && !lines) return [plainLength(body, unit, told)];
    if (!dial) refuse("counts", told);
    const [turn, graduation] = dial;
    const counted = (found) => number(found.groups.number, told) * graduation;
    if (!turns) return [counted(lines)];
    const around = number(turns.groups.turns, told) * turn;
    const { rest } = turns.groups;
    if (rest === undefined) return [around];
    const more = whole.lines.exec(rest);
    if (more) return [around + counted(more)];
    const length = plainLength(rest, unit, told);
    return /[\d.]$/.test(rest) ? [around + length * graduation, around + length] : [around + length];
  }

  function angle(body, unit, told) {
    const per = read.angles[unit];
    const radians = whole.radians.exec(body);
    if (radians) return (number(radians.groups.number, told) * 180) / Math.PI / per;
    if (whole.decimal.test(body) || whole.fraction.test(body)) return number(body, told);
    const alone = whole.alone.exec(body);
    if (alone) {
      const { degree, second } = alone.groups;
      const mark = degree ? "°" : second ? "″" : "′";
      const size = Number(alone.groups.number);
      return mark === unit ? size : (size * read.angles[mark]) / per;
    }
    const degrees = whole.degrees.exec(body);
    if (degrees) return number(degrees[1], told) / per;
    if (/^[-+]/.test(body)) refuse("two signs", told);
    const marked = body.replace(new RegExp(within.arc, "gi"), "");
    if (within.a_length.test(marked)) refuse("a length", told);
    return inDegrees(marked, { shown: marked, example: read.angle_examples }) / per;
  }

  function inDegrees(text, told) {
    if (text.includes(",")) refuse("comma", told);
    const parts = {};
    let [place, field, found] = [0, -1, null];
    while (place < text.length) {
      part.lastIndex = place;
      found = part.exec(text);
      if (!found) refuse("no angle", told);
      const marked = fields.findIndex((name) => found.groups[name]);
      const following = marked < 0 ? field + 1 : marked;
      if (following <= field || following > 2) refuse("no angle", told);
      field = following;
      parts[fields[field]] = found.groups.number;
      place = part.lastIndex;
    }
    if (!found || found.groups.gap) refuse("no angle", told);
    if (Object.values(parts).slice(0, -1).some((one) => one.includes("."))) refuse("decimals before", told);
    const [degrees, minutes, seconds] = fields.map((name) => Number(parts[name] || 0));
    if (minutes >= 60) refuse("sixty", { ...told, part: parts.minute, name: "minutes" });
    if (seconds >= 60) refuse("sixty", { ...told, part: parts.second, name: "seconds" });
    const angle = degrees + minutes / 60 + seconds / 3600;
    if (angle > 360) refuse("past a turn", told);
    return angle;
  }

  // Every number the text may stand for, the likeliest first.
  function answer(text, unit, dial) {
    const example = (dial ? read.dial_examples : read.examples)[unit];
    const { told, body, sign } = written(text, example);
    let values;
    if (unit in read.angles) values = [angle(body, unit, told)];
    else if (unit in read.millimetres) values = lengths(body, unit, dial, told);
    else values = [number(body.replace(unit === "1:x" ? within.one_to : within.per_foot, ""), told)];
    if (!values.every((one) => Math.abs(one) <= read.largest)) {
      refuse("too large", { shown: told.shown, plainly: read.examples[unit] });
    }
    return values.map((one) => sign * one);
  }

  // Whether an angle is in degrees and minutes, or (false) in decimal degrees; null for neither.
  function inParts(text) {
    const { body } = written(text, "");
    const alone = whole.alone.exec(body);
    if (whole.decimal.test(body) || (alone && alone.groups.degree)) return false;
    return alone || body.includes("/") || whole.radians.test(body) ? null : true;
  }

  return { answer, inParts };
}

// What an answer to a problem is: right, understood, message, mistakes, hint, plainer hint. The
// problem has its verdicts as stretches of the number line; see tapertrig/practice/assignment.py.
function verdictOn(problem, text, reader) {
  const { ends, at, said } = problem;
  let values;
  try {
    values = reader.answer(text, problem.unit, problem.dial);
  } catch (error) {
    if (error instanceof Refused) return [0, 0, error.message, [], "", ""];
    throw error;
  }
  const found = values.map((value) => {
    const place = ends.findIndex((end) => value <= end);
    return said[at[place < 0 ? ends.length : place]];
  });
  const verdict = found.find(([right, understood]) => right || !understood) || found[0];
  const wanted = problem.parts;
  const otherForm = verdict[0] && wanted !== null && reader.inParts(text) === !wanted;
  return otherForm ? said[problem.other] : verdict;
}
