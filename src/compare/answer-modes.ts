import type { Mode } from "../modes/mode.js";
import type { Interval } from "../units.js";
import type { AnswerInput } from "./answers.js";
import type { ComparedFlight } from "./compared-flight.js";
import type { Answer, Finding, LoneMode, ModeChange } from "./comparison.js";
import { hertz, list, signedRange } from "./words.js";

/** Farther apart than this nobody would take two modes for one. */
const FAR_PERCENT = 30;

/** Did the first structural resonance move, and away from the motors or towards them? */
export function firstModeAnswer({ before, after, measured }: AnswerInput): Answer {
  const question = "first mode";
  const [one, two] = [firstOf(before), firstOf(after)];
  if (one === null && two === null) {
    return { question, finding: "cannot tell", sentence: "Neither log shows a structural mode." };
  }
  const change = measured.modes.find(({ pair }) => pair[0] === one && pair[1] === two);
  if (change === undefined) return unpaired({ one, two, measured });
  const { pair, significant } = change;
  const says = `${hertz(pair[0].frequencyHz)} before, ${hertz(pair[1].frequencyHz)} after: ${shift(change)}`;
  if (!significant) {
    const sentence = `The first mode shows no shift that these logs can show: ${says}.`;
    return { question, finding: "no difference", sentence };
  }
  const [then, now] = [roomAt(pair[0], before), roomAt(pair[1], after)];
  const finding: Finding =
    then === null || now === null || then === now ? "changed" : now > then ? "better" : "worse";
  const room =
    finding === "changed" ? "" : `, ${finding === "better" ? "farther from" : "nearer to"} the rotors' lines`;
  const way = change.shiftHz > 0 ? "up" : "down";
  return { question, finding, sentence: `The first mode moved ${way}${room}: ${says}.` };
}

function firstOf({ modes }: ComparedFlight): Mode | null {
  return modes.find((mode) => mode.kind === "structure") ?? null;
}

function shift({ shiftHz, ci95Hz, shiftPercent }: ModeChange): string {
  const sign = shiftHz < 0 ? "−" : "+";
  return `${sign}${Math.abs(shiftHz).toFixed(1)} Hz (${signedRange(ci95Hz)}), ${sign}${Math.abs(shiftPercent).toFixed(1)} %`;
}

/** The lowest modes of the two logs are not the same mode. */
function unpaired({
  one,
  two,
  measured,
}: {
  one: Mode | null;
  two: Mode | null;
  measured: AnswerInput["measured"];
}): Answer {
  const question = "first mode";
  const fate = measured.loneModes.find(
    ({ mode, inOther }) => (mode === one || mode === two) && inOther === "absent",
  );
  const was = one === null ? "none found before" : `${hertz(one.frequencyHz)} before`;
  const is = two === null ? "none found after" : `${hertz(two.frequencyHz)} after`;
  if (fate === undefined) {
    return {
      question,
      finding: "cannot tell",
      sentence: `The first modes found are not the same mode (${was}, ${is}), and neither log shows that one is gone.`,
    };
  }
  const { mode, side } = fate;
  const what = side === "before" ? "is gone" : "is new";
  return {
    question,
    finding: "changed",
    sentence: `The first mode is another one: ${was}, ${is}; the mode at ${hertz(mode.frequencyHz)} ${what}${perhaps(one, two)}.`,
  };
}

/** Two modes too far apart to pair may still be one that moved far. */
function perhaps(one: Mode | null, two: Mode | null): string {
  if (one === null || two === null) return "";
  const percent = 100 * (two.frequencyHz / one.frequencyHz - 1);
  if (Math.abs(percent) > FAR_PERCENT) return "";
  return `. If they are one, it moved by ${percent < 0 ? "−" : "+"}${Math.abs(percent).toFixed(0)} %`;
}

/** Distance of a mode from the nearest of once per turn and blade pass, as a ratio; 0 inside; null when unknown. */
function roomAt(mode: Mode, { rotor }: ComparedFlight): number | null {
  if (rotor.bandHz === null) return null;
  const orders = rotor.blades === null ? [1] : [1, rotor.blades];
  return Math.min(...orders.map((order) => outside(mode.frequencyHz, rotor.bandHz!, order)));
}

function outside(hz: number, [low, high]: Interval, order: number): number {
  if (hz < low * order) return Math.log((low * order) / hz);
  return hz > high * order ? Math.log(hz / (high * order)) : 0;
}

/** Which other resonances moved, came or went? */
export function modesAnswer({ before, after, measured }: AnswerInput): Answer {
  const question = "modes";
  if (before.modes.length === 0 && after.modes.length === 0) {
    return { question, finding: "cannot tell", sentence: "Neither log shows a mode." };
  }
  const moved = measured.modes
    .filter((m) => m.significant)
    .map((m) => `${hertz(m.pair[0].frequencyHz)} moved by ${shift(m)}`);
  const fates = measured.loneModes.filter((l) => l.inOther === "absent").map(fateWords);
  const open = measured.loneModes.filter((l) => l.inOther !== "absent").length;
  const rest =
    open === 0
      ? ""
      : ` ${open} more ${open === 1 ? "is" : "are"} seen in one log only, which proves nothing.`;
  const told = [...moved, ...fates];
  if (told.length > 0) return { question, finding: "changed", sentence: `Resonances: ${list(told)}.${rest}` };
  const paired = measured.modes.length;
  if (paired === 0) {
    return { question, finding: "cannot tell", sentence: `No resonance is seen in both logs.${rest}` };
  }
  const same =
    paired === 1 ? "The resonance that both show agrees" : `All ${paired} resonances that both show agree`;
  return { question, finding: "no difference", sentence: `${same} within the intervals.${rest}` };
}

function fateWords({ mode, side }: LoneMode): string {
  return `${hertz(mode.frequencyHz)} is ${side === "before" ? "gone" : "new"}`;
}
