import type { QualityCheck } from "../result.js";
import { expectedRotorBand } from "../rotor/expected-band.js";
import type { Measured } from "./measured.js";
import { bladesToReckonWith } from "./push-bands.js";
import { say, sayRange } from "./reason.js";

/** No measurement is certain: a confidence reads as this at most. */
const MOST_CERTAIN = 0.99;
/** Room above the highest line that matters: a log rate of 2.2 times it. */
const RATE_OVER_LINE = 2.2;

/** Is it known what turns, and is the log fast enough for it? */
export function rotorChecks(measured: Measured): QualityCheck[] {
  return [rotorSpeed(measured), sampleRate(measured), ...doubts(measured)];
}

function rotorSpeed({ rotor, limits }: Measured): QualityCheck {
  const { source, confidence } = rotor;
  const level =
    source === "none" || confidence < limits.rotorConfidenceFail
      ? "fail"
      : confidence < limits.rotorConfidenceWarn
        ? "warn"
        : "ok";
  const told = {
    telemetry: "The rotors' speed is read from the log",
    inferred: "The rotors' speed is inferred from throttle and spectrum",
    none: "The rotors' speed is not known",
  }[source];
  const advice =
    level === "ok" ? "" : " Log motor speed if the controllers report it, and fly a slow throttle sweep.";
  return {
    id: "rotor-speed",
    level,
    message: `${told}${source === "none" ? "" : `, confidence ${say(Math.min(MOST_CERTAIN, confidence))}`}.${advice}`,
    value: source === "none" ? 0 : confidence,
    limit: level === "fail" ? limits.rotorConfidenceFail : limits.rotorConfidenceWarn,
    unit: "probability",
  };
}

/**
 * The highest line that matters is the blade pass at the top of cruise. A log too slow for it shows it folded. When
 * the speed is reported the folded line can be followed and is a warning; when it was inferred from that same
 * spectrum, or when even the once-per-turn line is folded, nothing in the log can be told from a fold.
 */
function sampleRate(measured: Measured): QualityCheck {
  const { timeline, rotor } = measured;
  const cruise = measured.cruise?.bandHz ?? null;
  const base = { id: "sample-rate", value: timeline.sampleRate, unit: "Hz" };
  if (cruise === null) {
    const expected = expectedRotorBand(measured.craft)?.bandHz;
    const pass = (measured.craft.blades ?? 2) * (expected?.[0] ?? 0);
    if (pass > timeline.sampleRate / 2) {
      const message =
        `${say(timeline.sampleRate)} Hz is too slow: from the craft file the blade pass is expected at ` +
        `${say(pass)} Hz or more, over half of it.`;
      return { ...base, level: "fail", message, limit: RATE_OVER_LINE * pass };
    }
    const message = `${say(timeline.sampleRate)} Hz; whether that is enough depends on the rotors' speed, which is not known.`;
    return { ...base, level: "warn", message, limit: null };
  }
  const blades = bladesToReckonWith(rotor.blades);
  const highest = blades * cruise[1];
  const limit = RATE_OVER_LINE * highest;
  const nyquist = timeline.sampleRate / 2;
  const assumed =
    rotor.blades === null ? ` if there are ${blades} blades (give blades in the craft file)` : "";
  if (highest < nyquist) {
    const tight = timeline.sampleRate < limit;
    const advice = tight ? ` Room above it is short: log at ${roundUp(limit)} Hz or more.` : "";
    const message = `${say(timeline.sampleRate)} Hz; blade pass reaches ${say(highest)} Hz${assumed}.${advice}`;
    return { ...base, level: tight ? "warn" : "ok", message, limit };
  }
  const hidden = cruise[1] >= nyquist;
  const level = hidden || rotor.source !== "telemetry" ? "fail" : "warn";
  const what = hidden
    ? `the rotors themselves (${sayRange(cruise)} Hz)`
    : `the blade pass (up to ${say(highest)} Hz${assumed})`;
  return {
    ...base,
    level,
    message:
      `${say(timeline.sampleRate)} Hz is too slow for ${what}: its lines fold down and can pass for anything. ` +
      `Log at ${roundUp(limit)} Hz or more.`,
    limit,
  };
}

/** A rate to ask for, in whole hundreds of Hz. */
const roundUp = (hz: number): string => say(Math.ceil(hz / 100) * 100);

function doubts({ rotor, modes }: Measured): QualityCheck[] {
  const check = (id: string, said: readonly string[]): QualityCheck[] =>
    said.length === 0
      ? []
      : [
          {
            id,
            level: "warn",
            message: said.map(sentence).join(" "),
            value: said.length,
            limit: 0,
            unit: "doubts",
          },
        ];
  return [...check("rotor-doubts", rotor.doubts), ...check("mode-doubts", modes.doubts)];
}

function sentence(text: string): string {
  const trimmed = text.trim();
  const capital = trimmed.charAt(0).toUpperCase() + trimmed.slice(1);
  return /[.!?]$/.test(capital) ? capital : `${capital}.`;
}
