import type { ComparedFlight } from "./compared-flight.js";
import { RATE_TOLERANCE } from "./limits.js";
import { hertz } from "./words.js";

/** What stands in the way of a comparison, in words. */
export interface Obstacles {
  /** Nothing may be compared. */
  readonly refusals: readonly string[];
  /** Levels between the lines may not. */
  readonly bands: readonly string[];
  /** Order amplitudes may not. */
  readonly orders: readonly string[];
  /** What to keep in mind. */
  readonly caveats: readonly string[];
}

export interface ComparableOptions {
  /** The user knows that the propellers differ and wants the comparison all the same. */
  readonly otherPropeller?: boolean;
}

type Found = { [K in keyof Obstacles]: string[] };

/** What stands in the way of comparing every flight with the first. */
export function obstacles(flights: readonly ComparedFlight[], options: ComparableOptions): Obstacles {
  const found: Found = { refusals: [], bands: [], orders: [], caveats: [] };
  const [first, ...others] = flights;
  for (const other of others) pairObstacles(first!, other, { options, found });
  for (const flight of flights) ownObstacles(flight, found);
  return {
    refusals: [...new Set(found.refusals)],
    bands: [...new Set(found.bands)],
    orders: [...new Set(found.orders)],
    caveats: [...new Set(found.caveats)],
  };
}

function ownObstacles(flight: ComparedFlight, { bands, orders, caveats }: Found): void {
  if (flight.fingerprint === null) {
    const why = flight.saved
      ? `the saved result of ${flight.name} does not hold levels by rotor speed: analyse its log again`
      : `${flight.name} holds too little calm flight for levels by rotor speed`;
    bands.push(why);
    orders.push(why);
    return;
  }
  if (flight.fingerprint.orders.length === 0) orders.push(`${flight.name} does not tell the rotors' speed`);
  if (flight.gyro === "filtered") {
    caveats.push("The logs hold only the filtered gyro: another filter setting looks like another build.");
  }
  if (flight.fingerprint.matchedBy === "throttle") {
    caveats.push(
      "Rotor speed is not known; flights are matched by throttle, so battery and load are part of the difference.",
    );
  }
  if (flight.fingerprint.matchedBy === "nothing") {
    caveats.push(
      "Neither rotor speed nor throttle is known: a harder flight looks like a louder build here.",
    );
  }
}

function pairObstacles(
  a: ComparedFlight,
  b: ComparedFlight,
  { options, found }: { options: ComparableOptions; found: Found },
): void {
  if (a.gyro !== null && b.gyro !== null && a.gyro !== b.gyro) {
    const [raw, filtered] = a.gyro === "raw" ? [a, b] : [b, a];
    found.refusals.push(
      `${raw.name} holds the raw gyro and ${filtered.name} only the filtered one: the filters would pass for a quieter build`,
    );
  }
  if (a.sha256 === b.sha256)
    found.caveats.push("Two of the logs are the same bytes: their agreement shows nothing.");
  const other = otherPropeller(a, b);
  if (other !== null && options.otherPropeller !== true) {
    found.refusals.push(`${other}; --other-propeller compares them all the same`);
  } else if (other !== null) found.caveats.push(`${sentence(other)}.`);
  rateObstacles(a, b, found);
  const [one, two] = [a.fingerprint, b.fingerprint];
  if (one !== null && two !== null && one.matchedBy !== two.matchedBy) {
    const why = `${a.name} is matched by ${one.matchedBy} and ${b.name} by ${two.matchedBy}`;
    found.bands.push(why);
    found.orders.push(why);
  }
}

function rateObstacles(a: ComparedFlight, b: ComparedFlight, found: Found): void {
  const rates = [a.sampleRateHz, b.sampleRateHz];
  if (Math.max(...rates) <= Math.min(...rates) * (1 + RATE_TOLERANCE)) return;
  const were = `${a.name} was logged at ${hertz(a.sampleRateHz)} and ${b.name} at ${hertz(b.sampleRateHz)}`;
  const nyquist = Math.min(...rates) / 2;
  if ([a, b].some((flight) => mayFold(flight, nyquist))) {
    found.refusals.push(`${were}, and rotor lines fold about the slower log's ${hertz(nyquist)}`);
  } else found.bands.push(`${were}: noise from above half the rate folds differently`);
}

/** Whether a rotor line lies above a Nyquist frequency, or may, for all that is known. */
function mayFold({ rotor }: ComparedFlight, nyquistHz: number): boolean {
  if (rotor.bandHz === null) return true;
  const top = Math.max(1, rotor.blades ?? 1, ...rotor.orders.map((line) => line.order));
  return rotor.bandHz[1] * top > nyquistHz;
}

/** The difference in words; null when the propellers agree as far as they are known. */
function otherPropeller(a: ComparedFlight, b: ComparedFlight): string | null {
  const parts: readonly (readonly [what: string, number | null | undefined, number | null | undefined])[] = [
    ["diameter (inch)", a.craft.propellerInch, b.craft.propellerInch],
    ["pitch (inch)", a.craft.pitchInch, b.craft.pitchInch],
    ["blades", a.craft.blades ?? a.rotor.blades, b.craft.blades ?? b.rotor.blades],
  ];
  const differs = parts.find(([, one, two]) => one != null && two != null && one !== two);
  if (differs === undefined) return null;
  const [what, one, two] = differs;
  return `other propellers: ${what} ${one} in ${a.name}, ${two} in ${b.name}`;
}

function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
