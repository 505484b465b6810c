// What is measured against what the plan lets it be: the same sentences as on the server (stubout.web.verdicts).
const ABOVE = " above ";
const DATUMS = { subfloor: "subfloor", finished: "finished floor" };
const TOUCH_MM = 0.05;
const verdict = (state, words) => ({ state, words });

function heightVerdict(mark, value) {
  const at = value.indexOf(ABOVE);
  const said = at < 0 ? value : value.slice(0, at);
  const datum = at < 0 ? "" : value.slice(at + ABOVE.length);
  const planned = datum === DATUMS.finished ? mark.finished : mark.subfloor;
  if (planned === null) return verdict("open", t("no height above {datum} is planned here", { datum: datum ? t(datum) : t("a floor") }));
  const away = lengthMm(said) - planned;
  if (Math.abs(away) <= TOUCH_MM) return verdict("within", t("as planned"));
  const high = away > 0;
  const way = high ? mark.up : mark.down;
  const off = named(Math.abs(away));
  if (!way) {
    return verdict("open", high ? t("{off} high; how far it may be off is not known", { off })
      : t("{off} low; how far it may be off is not known", { off }));
  }
  const fill = { off, may: named(way.amount) };
  let told;
  if (way.bound) told = high ? t("{off} high, may be {may} high", fill) : t("{off} low, may be {may} low", fill);
  else told = high ? t("{off} high, no rule breaks within {may}", fill) : t("{off} low, no rule breaks within {may}", fill);
  if (Math.abs(away) <= way.amount + TOUCH_MM) return verdict("within", told);
  if (!way.bound) return verdict("open", `${told}; ${t("farther was not looked: write the height into the job and plan again")}`);
  return verdict("out", `${told}. ${way.words}`);
}

function slopeVerdict(drain, value) {
  const measured = slopeOf(value);
  const slope = slopeShown(measured);
  if (drain.least === null) return verdict("open", `${slope}; ${drain.leastWords}`);
  const fill = { slope, least: drain.leastWords };
  if (drain.least - measured > drain.offBy) return verdict("out", t("{slope}, too flat: {least}", fill));
  return verdict("within", t("{slope}, not too flat: {least}", fill));
}

const TEST_LINES = { start: "level at start", end: "level at end", minutes: "minutes", leaks: "leaks", witness: "witness" };

function testValue(test) {
  return Object.entries(TEST_LINES).map(([key, name]) => `${name}: ${test[key].trim()}`).join("\n");
}

function testOf(value) {
  const said = {};
  for (const line of value.split("\n")) {
    const at = line.indexOf(": ");
    if (at >= 0) said[line.slice(0, at)] = line.slice(at + 2);
  }
  return Object.fromEntries(Object.entries(TEST_LINES).map(([key, name]) => [key, said[name] ?? ""]));
}

function testVerdict(filling, value) {
  const one = testOf(value);
  let minutes;
  let drop;
  try {
    if (!/^\s*[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?\s*$/i.test(one.minutes)) throw new Unread();
    minutes = Number(one.minutes);
    drop = lengthMm(one.start) - lengthMm(one.end);
  } catch (error) {
    if (!(error instanceof Unread)) throw error;
    return verdict("open", t("levels or minutes cannot be read"));
  }
  if (!DATA.noLeaks.includes(one.leaks.trim().toLowerCase())) return verdict("out", t("leaks: {leaks}", one));
  if (drop > TOUCH_MM) return verdict("out", t("the water fell by {drop}", { drop: named(drop) }));
  const fill = { minutes: String(Number(minutes.toPrecision(6))), hold: filling.hold, witness: one.witness };
  if (filling.holdMin === null) return verdict("open", t("held {minutes} min; {hold}", fill));
  if (minutes < filling.holdMin) return verdict("out", t("held {minutes} min, wanted {hold}", fill));
  return verdict("within", t("held {minutes} min of {hold}, no drop, no leak, seen by {witness}", fill));
}
