// Lengths and slopes as a plumber writes them: read in exact fractions and printed back, spelling for spelling as the
// server does (stubout.units); a test holds the two against each other.
const DATA = JSON.parse(document.getElementById("data").textContent);

// A label in the language of the file, its {places} filled.
function t(words, fill = {}) {
  const said = DATA.words[words] ?? words;
  return said.replace(/\{(\w+)\}/g, (all, name) => (name in fill ? String(fill[name]) : all));
}

class Unread extends Error {}

const LONGEST = 60;
const SAME = {
  "\u2032": "'", "\u2019": "'", "\u2018": "'", "\u00b4": "'", "\u2033": '"', "\u201d": '"', "\u201c": '"',
  "\u2212": "-", "\u2013": "-", "\u2010": "-", "\u2011": "-", "\u2044": "/", "\u00a0": " ", "\u2009": " ", "\u202f": " ",
  "¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "⅓": " 1/3", "⅔": " 2/3",
};
const NUMBER = String.raw`(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+\.[0-9]*|[0-9]+|\.[0-9]+)`;
const FT = String.raw`(?:'|ft\.?|feet|foot)`;
const IN = String.raw`(?:"|inch(?:es)?|in\.?)`;
const whole = (source) => new RegExp(`^(?:${source})$`, "u");
const FEET_INCHES = whole(`(${NUMBER}) ?${FT}(?: ?-? ?(${NUMBER}) ?${IN}?)?`);
const INCHES = whole(`(${NUMBER}) ?${IN}`);
const METRIC = whole(String.raw`([0-9]+\.?[0-9]*|\.[0-9]+) ?(mm|cm|m)`);
const BARE = whole(NUMBER);
const TWO_READINGS = whole(`([0-9]+) ?- ?(${NUMBER}) ?${IN}?`);
const SLOPE_IN_FT = whole(`(${NUMBER}) ?${IN} ?(?:/|per|a) ?(?:${FT})`);
const SLOPE_PERCENT = whole(`(${NUMBER}) ?(?:%|percent|per cent)`);
const SLOPE_RATIO = whole(`(${NUMBER}) ?(?::| in ) ?(${NUMBER})`);
const SLOPE_METRIC = whole(`(${NUMBER}) ?(mm|cm|m) ?(?:/|per) ?m`);
const SLOPE_DEG = whole(String.raw`(${NUMBER}) ?(?:°|deg\.?|degrees?)`);

function plain(text) {
  const same = [...text].map((c) => SAME[c] ?? c).join("").replaceAll("''", '"');
  return same.trim().split(/\s+/).join(" ").toLowerCase();
}

// Exact fractions of whole numbers: [above, below].
const frac = (n, d = 1n) => [BigInt(n), BigInt(d)];
const times = (a, b) => [a[0] * b[0], a[1] * b[1]];
const plus = (a, b) => [a[0] * b[1] + b[0] * a[1], a[1] * b[1]];
const over = (a, b) => [a[0] * b[1], a[1] * b[0]];
function float([n, d]) {
  const near = 9007199254740992n;
  return n < near && d < near ? Number(n) / Number(d) : Number((n * 10n ** 20n) / d) / 1e20;
}

function decimal(text) {
  const [ahead, behind = ""] = text.split(".");
  return [BigInt(ahead + behind || "0"), 10n ** BigInt(behind.length)];
}

// `14`, `14.75`, `3/4`, `14 3/4` or `14-3/4` exactly; null for a zero or top-heavy fraction.
function number(text) {
  const parts = text.replaceAll("-", " ").split(" ");
  const part = parts.pop();
  if (!part.includes("/")) return decimal(part);
  const [above, below] = part.split("/").map(BigInt);
  if (below === 0n || (parts.length && above >= below)) return null;
  return plus(frac(parts[0] ?? 0), frac(above, below));
}

function signed(text) {
  return text[0] === "-" || text[0] === "+" ? [text[0] === "-" ? -1n : 1n, text.slice(1).trimStart()] : [1n, text];
}

function refuse(found, wanted, act = "") {
  const shown = found.trim();
  const short = [...shown].length <= LONGEST ? shown : `${[...shown].slice(0, LONGEST).join("")}...`;
  throw new Unread(t("found \"{found}\", wanted {wanted}", { found: short, wanted }) + (act ? ` - ${act}` : ""));
}

const wantLength = () => t("a length such as 14 3/4\", 5'-11\" or 375 mm");
const wantSlope = () => t("a slope such as 1/4 in/ft, 2 %, 1:50, 20 mm/m or 1.2 deg");
const INCH = frac(127, 5);

function lengthNumber(part, text) {
  return number(part) ?? refuse(text, t("a fraction below one, such as 3/8"));
}

// A length in millimetres; throws Unread if it is none, or one with two readings.
function lengthMm(text) {
  const [sign, said] = signed([...text].length <= LONGEST ? plain(text) : "");
  const found = (value) => float(value) * Number(sign);
  let m;
  if ((m = METRIC.exec(said))) return found(times(decimal(m[1]), frac({ mm: 1, cm: 10, m: 1000 }[m[2]])));
  if ((m = INCHES.exec(said))) return found(times(INCH, lengthNumber(m[1], text)));
  if ((m = FEET_INCHES.exec(said))) {
    const feet = lengthNumber(m[1], text);
    const inch = m[2] ? lengthNumber(m[2], text) : frac(0);
    if (m[2] && feet[0] % feet[1] !== 0n) refuse(text, wantLength(), t("whole feet go before inches"));
    if (inch[0] >= 12n * inch[1]) refuse(text, t("less than 12 inches after the feet"), t("or write it all in inches"));
    return found(times(INCH, plus(times(frac(12), feet), inch)));
  }
  if (BARE.test(said)) return found(bareLength(said, text));
  if ((m = TWO_READINGS.exec(said))) {
    refuse(text, wantLength(), t("two readings: write {a} or {b}", { a: `${m[1]}'-${m[2]}"`, b: `${m[1]}" to ${m[2]}"` }));
  }
  return refuse(text, wantLength(), text.includes(",") ? t("write the decimal with a point") : "");
}

function bareLength(said, text) {
  const n = lengthNumber(said, text);
  const fraction = said.includes("/");
  if (DATA.units === "inch") return times(INCH, n);
  if (!fraction) return n;
  const shown = text.trim();
  return refuse(text, wantLength(), t("write {a}", { a: `${shown}"` }));
}

// A slope in metres per metre; throws Unread if it is none.
function slopeOf(text) {
  const [sign, said] = signed([...text].length <= LONGEST ? plain(text) : "");
  const of = (part) => number(part) ?? refuse(text, wantSlope());
  let m;
  let value;
  if ((m = SLOPE_IN_FT.exec(said))) value = over(of(m[1]), frac(12));
  else if ((m = SLOPE_PERCENT.exec(said))) value = over(of(m[1]), frac(100));
  else if ((m = SLOPE_METRIC.exec(said))) value = over(of(m[1]), frac({ mm: 1000, cm: 100, m: 1 }[m[2]]));
  else if ((m = SLOPE_RATIO.exec(said))) {
    const run = of(m[2]);
    if (run[0] === 0n) refuse(text, wantSlope());
    value = over(of(m[1]), run);
  } else if ((m = SLOPE_DEG.exec(said))) {
    const angle = float(of(m[1]));
    if (angle >= 90) refuse(text, t("an angle of less than 90 deg from level"));
    return Number(sign) * Math.tan((angle * Math.PI) / 180);
  } else refuse(text, wantSlope(), BARE.test(said) ? t("say in which unit") : "");
  return float(value) * Number(sign);
}

// Printing. A float is taken without its binary dust, so that a half stays a half.
const exact = (value) => {
  const [n, d] = decimal(Math.abs(value).toFixed(9));
  return [value < 0 ? -n : n, d];
};
function roundAway([n, d]) {
  const up = ((n < 0n ? -n : n) * 2n + d) / (2n * d);
  return n < 0n ? -up : up;
}
function gcd(a, b) {
  return b ? gcd(b, a % b) : a;
}
function mixed(parts, of) {
  const [ahead, rest] = [parts / of, parts % of];
  if (!rest) return String(ahead);
  const g = gcd(rest, of);
  return `${ahead ? `${ahead} ` : ""}${rest / g}/${of / g}`;
}

function feetInches(mm) {
  let n = roundAway(times(over(exact(mm), INCH), frac(16)));
  const sign = n < 0n ? "-" : "";
  if (n < 0n) n = -n;
  const [feet, rest] = [n / 192n, n % 192n];
  if (!feet) return `${sign}${mixed(rest, 16n)}"`;
  const inch = mixed(rest, 16n);
  return `${sign}${feet}'-${rest >= 16n || !rest ? inch : `0 ${inch}`}"`;
}

function named(mm) {
  return DATA.units === "mm" ? `${roundAway(exact(mm))} mm` : feetInches(mm);
}

function fixed(value, digits) {
  const n = roundAway(times(exact(value), frac(10n ** BigInt(digits))));
  const [sign, size] = n < 0n ? ["-", -n] : ["", n];
  const of = 10n ** BigInt(digits);
  return `${sign}${size / of}${digits ? `.${String(size % of).padStart(digits, "0")}` : ""}`;
}

function slopeShown(value) {
  const percent = `(${fixed(value * 100, 2)} %)`;
  const sign = value < 0 ? "-" : "";
  const steep = Math.abs(value);
  if (steep < 1e-6) return `level ${percent}`;
  if (DATA.units === "mm") {
    const run = 1 / steep;
    const near = Math.round(run);
    const shown = near && Math.abs(run - near) <= 0.001 * run ? String(near) : fixed(run, run >= 10 ? 1 : 2);
    return `${sign}1:${shown} ${percent}`;
  }
  const inFt = steep * 12;
  const sixteenths = Math.round(inFt * 16);
  if (sixteenths && Math.abs(inFt * 16 - sixteenths) < 0.08) return `${sign}${mixed(BigInt(sixteenths), 16n)} in/ft ${percent}`;
  return `${sign}${fixed(inFt, 2)} in/ft ${percent}`;
}
