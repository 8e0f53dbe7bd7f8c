// What a pass tells, line for line as tapertrig/next_tap.py says it: `target` and `words` are its
// Target.facts() and WORDS.
const ARC_SECONDS_PER_RADIAN = (180 * 3600) / Math.PI;

function figures(value, places) {
  const count = String(Math.floor(Math.abs(value) * 10 ** places + 0.5)).padStart(places + 1, "0");
  return places ? `${count.slice(0, -places)}.${count.slice(-places)}` : count;
}

const placesWritten = (unit) => (unit === "in" ? 4 : 3);

function lengthSaid(length, unit) {
  const said = figures(length, placesWritten(unit));
  return unit === "in" && said.startsWith("0.") ? said.slice(1) : said;
}

function angleSaid(seconds, whole = false) {
  const two = (number) => String(number).padStart(2, "0");
  const count = Math.floor(Math.abs(seconds) + 0.5);
  const degrees = Math.floor(count / 3600);
  const minutes = Math.floor(count / 60) % 60;
  const rest = count % 60;
  let said = minutes ? `${minutes}′` : "";
  if (whole || degrees) said = `${degrees}°${two(minutes)}′`;
  return rest || !said ? `${said}${said ? two(rest) : rest}″` : said;
}

function halfAngleRead(target, travel, side) {
  const share = travel > 0 ? side / travel : Infinity;
  if (!(share > 0 && share < 1)) return NaN;
  return (target.route === "cross travel" ? Math.asin : Math.acos)(share) * ARC_SECONDS_PER_RADIAN;
}

function nextTap(words, limits, target, compoundReading, other, tight) {
  const { unit, tolerance: within } = target;
  const cross = target.route === "cross travel";
  const travel = compoundReading / target.compound_factor;
  const side = cross ? other / target.cross_factor : other;
  const longest = target.reach === null ? Infinity : target.reach * (1 + limits.reach_slack);
  if (travel > longest) {
    const ends = { travel: lengthSaid(travel, unit), reach: lengthSaid(target.reach, unit), unit };
    const run = compoundReading * target.compound_turn;
    const fits = compoundReading % 1 === 0 && run > 0 && run <= longest;
    const turns = figures(compoundReading, 0);
    const meant = fits && compoundReading > 1 ? fill(words["meant turns"], { turns }) : "";
    throw new Error(fill(words["too far"], ends) + meant);
  }
  const look = words[cross ? "look cross" : "look axial"];
  const now = halfAngleRead(target, travel, side);
  if (Number.isNaN(now)) {
    const lengths = { length: lengthSaid(side, unit), travel: lengthSaid(travel, unit) };
    const told = { side: words[cross ? "cross" : "axial"], unit, look, ...lengths };
    throw new Error(fill(words["no triangle"], told));
  }
  const missing = target.half_angle - now;
  const spread = Math.sqrt(target.per_travel / travel / travel + target.fixed);
  const u = spread * ARC_SECONDS_PER_RADIAN;
  const doubt = target.coverage * u;
  const room = within !== null && within >= doubt ? within - target.guard * u : null;
  const arc = (seconds) =>
    target.base_radius === null ? null : (target.base_radius * seconds) / ARC_SECONDS_PER_RADIAN;
  const atRim = (length) => {
    if (length === null) return words["no rim"];
    if (Math.abs(length) < limits.least_rim[unit]) return "";
    return fill(words.rim, { length: lengthSaid(length, unit), unit });
  };
  const rim = arc(missing);
  const doubtRim = arc(doubt);
  const near = room !== null && Math.abs(missing) <= room;
  let standing = words[Math.abs(missing) <= within ? "in" : "out"];
  if (within === null) standing = words["no tolerance"];
  else if (near && tight) standing = words.proves;

  const further = missing > 0;
  const angle = angleSaid(missing);
  let tap = fill(words.tap, {
    way: words[further ? "further from" : "back towards"],
    angle,
    rim: atRim(rim),
    side: words[further === target.internal ? "away" : "nearer"],
  });
  if (tight) tap = fill(words.ease, { tap });
  if (Math.abs(missing) > limits.base_from) {
    tap = fill(words["begin again"], { what: words[cross ? "clear cross" : "clear axial"] });
  } else if (cross && Math.abs(missing) > limits.turn_more_from) {
    tap = fill(words["a turn more"], { tap });
  }
  const asks = Math.min(Math.abs(missing), Math.abs(target.base - now)) > limits.asked_from;
  const turns = asks ? lostTurns(limits, target, travel, side) : [];
  let next = tap;
  if (asks) {
    const named = turns.map((turn) => words[turn]).join(words.or);
    const why = fill(words[turns.length ? "lost" : "no turn"], { turns: named, look });
    const shown = { aimed: baseSaid(words, target, target.base), stands: baseSaid(words, target, now) };
    next = fill(words.asks, { why, aim: target.aim, tap, ...shown });
  } else if (near) {
    next = words[tight ? "proven" : "prove"];
  } else if (Math.abs(missing) < doubt) {
    const how = within !== null ? "then longer" : tight ? "then leave" : "then tighten";
    next = fill(words.chase, { then: words[how] });
  }

  const minded = [];
  if (within !== null && room === null) {
    minded.push(fill(words.cannot, { tolerance: target.within }));
  }
  if (target.slope) {
    const leans = words[target.slope > 0 ? "steeper" : "shallower"];
    minded.push(fill(words.slope, { angle: angleSaid(target.slope), way: leans }));
  }
  const slope = Math.tan(target.half_angle / ARC_SECONDS_PER_RADIAN);
  const share = target.compound_turn / travel;
  const hidden = share * (cross ? slope : 1 / slope) * ARC_SECONDS_PER_RADIAN;
  const hides = hidden > 0 && hidden < limits.asked_from;
  if (hides) minded.push(fill(words.hides, { angle: angleSaid(hidden) }));
  const any = Math.floor(Math.abs(missing) + 0.5) > 0;
  const way = any ? words[further ? "further" : "back"] : "";
  return {
    half_angle: now,
    missing,
    rim,
    doubt,
    doubt_rim: doubtRim,
    room,
    standing,
    asks,
    turns,
    now: angleSaid(now, true),
    way,
    swing: any ? fill(words.swing, { way, angle, rim: atRim(rim) }) : words.nothing,
    doubted: fill(words.doubt, {
      angle: angleSaid(doubt),
      rim: doubtRim === null ? "" : atRim(doubtRim),
    }),
    next,
    minded,
  };
}

function baseSaid(words, target, seconds) {
  const degrees = (target.base_zero === "square to bed" ? 324000 - seconds : seconds) / 3600;
  return fill(words[target.base_zero ? "base" : "no base"], { degrees: figures(degrees, 0) });
}

function lostTurns(limits, target, travel, side) {
  const tried = [
    ["compound more", travel + target.compound_turn, side],
    ["compound less", travel - target.compound_turn, side],
  ];
  if (target.route === "cross travel") {
    tried.push(
      ["cross more", travel, side + target.cross_turn],
      ["cross less", travel, side - target.cross_turn],
    );
  }
  const off = (run, moved) => Math.abs(halfAngleRead(target, run, moved) - target.base);
  return tried.filter(([, run, moved]) => off(run, moved) <= limits.fits_within).map(([name]) => name);
}
