import type { Craft } from "../craft.js";
import { expectedRotorBand } from "../rotor/expected-band.js";
import type { Interval } from "../units.js";
import { say } from "./reason.js";
import { bullet, paragraph } from "./wrap.js";

/** Log rate over the highest line that matters. */
const RATE_OVER_LINE = 2.2;
/** Rates that recorders offer, Hz; none below 1000, so that structures up to 400 Hz show. */
const USUAL_RATES = [1000, 2000, 4000, 8000];

/**
 * A test-flight card: what to fly and what to log so that the next log can carry a verdict. With a craft file the
 * expected rotor bands and the log rate they need are worked out.
 *
 * @returns plain text of at most 80 columns
 */
export function sortieCard(craft: Craft): string {
  const name = craft.name === undefined ? "" : ` for ${craft.name}`;
  return [
    ...wrapTitle(`Test-flight card${name}`),
    "",
    ...section("Before", BEFORE),
    ...section("Log", logLines(craft)),
    ...numbered("Fly", flyLines(craft)),
    ...section("After", AFTER),
    ...section("Where the safety lines come from", SOURCES),
  ].join("\n");
}

const wrapTitle = (text: string): string[] => paragraph(text).split("\n");
const section = (title: string, lines: readonly string[]): string[] => [
  title,
  ...lines.map((l) => bullet(l)),
  "",
];
const numbered = (title: string, lines: readonly string[]): string[] => [
  title,
  ...lines.map((l, i) => bullet(l, i + 1)),
  "",
];

const BEFORE = [
  "Weather, airspace, people and property near, ground hazards: looked at and briefed. Rules, licence, registration and insurance apply to test flights too. [1, 2, 3]",
  "Structure, screws, motors, propellers, packs, links and everything carried: checked before each flight. [1, 4]",
  "Propellers off and battery out for any work; main pack in only at the flight line. [5]",
  "No cracked or nicked propeller; no swollen, split or rocking pack. [5, 6]",
  "New or changed settings: outputs checked with propellers off first. [5]",
  "Little wind. In sight, nobody uninvolved in the range flown; in the open category below 120 m, and in its subcategory A3 150 m from housing and under 25 kg all up. [2]",
];

const AFTER = [
  "Main pack out at once, then feel motors and screws. [5]",
  "Export the whole log to CSV, one flight a file where that is easy.",
  "After a change of filters or gains: a short hover first, land, and feel for hot motors; then the card.",
  "Change one thing only before the next flight, and fly the same card.",
];

const SOURCES = [
  "[1] 14 CFR 107.15 and 107.49 (United States)",
  "[2] EASA open category, UAS.OPEN.010, .040 and .060 (Europe)",
  "[3] UK CAA Drone and Model Aircraft Code, December 2023",
  "[4] FAA AC 107-2, sample preflight checklist",
  "[5] flying-club and laboratory safety pages (common practice)",
  "[6] CHIRP report DUAS xx22 on swollen packs",
  "Rules differ by country; this card does not replace them.",
];

function logLines(craft: Craft): string[] {
  return [
    `Rate: ${rateLine(craft)}`,
    "Unfiltered gyro on roll, pitch and yaw; filtered gyro beside it if there is room.",
    "D-term of roll and pitch, motor commands, throttle, setpoint.",
    "Motor speed, if the motor controllers report it.",
    "Battery voltage, if there is room.",
    "Start ten seconds before take-off with motors off: that is the sensor's own noise.",
  ];
}

function rateLine(craft: Craft): string {
  const band = expectedRotorBand(craft);
  if (band === null) {
    return "at least 2.2 times the highest blade-pass frequency: 1000 Hz for 15 inch and up, 2000 Hz for 7 to 13 inch, 4000 Hz below (common practice, no source). Give kv, cells, propellerInch and blades in a craft file to have it worked out.";
  }
  const blades = craft.blades ?? 2;
  const pass: Interval = [blades * band.bandHz[0], blades * band.bandHz[1]];
  const needed = RATE_OVER_LINE * pass[1];
  const rate = USUAL_RATES.find((r) => r >= needed) ?? Math.ceil(needed / 1000) * 1000;
  const from =
    band.from === "motor"
      ? "Kv, cells and 0.7 to 0.85 of no-load speed"
      : "propeller size and usual tip speeds";
  const assumed = craft.blades === undefined ? " (two blades assumed)" : "";
  return (
    `${rate} Hz or more. Rotors are expected to turn at ${range(band.bandHz)} Hz from hover to full throttle (from ` +
    `${from}; common practice, no source), blade pass at ${range(pass)} Hz${assumed}; 2.2 times the highest is ${say(needed)} Hz, and 1000 Hz at least so that structures up to 400 Hz show.`
  );
}

function flyLines(craft: Craft): string[] {
  const payload = craft.payloadKg;
  return [
    "Motors at idle on the ground for 5 s: look and listen for irregular running. Hover low for 10 s, recheck control, then go on. [4]",
    "Hover at working height, hands off, 20 s (usually 35 to 50 % throttle).",
    "Slow throttle sweep, climbing: from hover to three quarters of throttle in 10 s and back in 10 s. Twice.",
    "Steady forward flight at working speed, 30 s each way along the wind.",
    "Hold three throttle levels for 5 s each: hover, hover plus a tenth, hover plus two tenths.",
    "Gentle roll, pitch and yaw doublets, three of each.",
    "One straight descent of 5 s through your own wash, last: it is recognised and kept apart.",
    "Land with a third of the pack left. In all two to three minutes in the air.",
    ...(payload === undefined || payload === 0
      ? []
      : [`Then the same again with ${say(payload)} kg of ballast where the payload will sit, secured.`]),
  ];
}

const range = ([low, high]: Interval): string => `${say(low)} to ${say(high)}`;
