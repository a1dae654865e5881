import type { AnswerInput } from "./answers.js";
import type { Answer, Finding, LevelChange } from "./comparison.js";
import { hertz, list, louder, signedRange } from "./words.js";

/** Which way the significant ones of some changes point. */
export function findingOf(changes: readonly LevelChange[]): Finding {
  const sure = changes.filter((c) => c.significant);
  const up = sure.some((c) => c.ratioDb > 0);
  const down = sure.some((c) => c.ratioDb < 0);
  if (up && down) return "mixed";
  return up ? "worse" : down ? "better" : "no difference";
}

/** Is it louder between the lines, at equal rotor speed? */
export function levelAnswer({ measured, hindered, before }: AnswerInput): Answer {
  const question = "level";
  const { axes, bands } = measured;
  if (axes.length === 0) {
    const why = hindered.bands[0] ?? "no band was free of rotor lines in both";
    return { question, finding: "cannot tell", sentence: `The level cannot be compared: ${why}.` };
  }
  const at = equalDrive(before.fingerprint?.matchedBy);
  const finding = findingOf([...axes, ...bands]);
  const where = hindered.orders.length > 0 ? "Rotor lines and all" : "Between the rotor lines";
  if (finding === "no difference") {
    const bounds = axes.map((a) => `${a.axis} ${signedRange(a.ci95Db)}`);
    const sentence = `No difference in level these logs can show: ${list(bounds)} dB ${at}.`;
    return { question, finding, sentence };
  }
  const whole = axes.filter((a) => a.significant).map((a) => `${a.axis} is ${louder(a)}`);
  const most = [...bands]
    .filter((b) => b.significant)
    .sort((a, b) => Math.abs(b.ratioDb) - Math.abs(a.ratioDb));
  const single = most.map((b) => `${b.axis} at ${hertz(b.fromHz)} to ${hertz(b.toHz)} is ${louder(b)}`);
  const told = whole.length > 0 && finding !== "mixed" ? whole : single.length > 0 ? single : whole;
  return { question, finding, sentence: `${where}, ${at}: ${list(told)}.` };
}

function equalDrive(matchedBy: string | undefined): string {
  if (matchedBy === "rotor speed") return "at equal rotor speed";
  return matchedBy === "throttle" ? "at equal throttle" : "over the whole flights";
}

/** Are the lines that climb with rotor speed louder? */
export function orderAnswer({ measured, hindered, before, after }: AnswerInput): Answer {
  const question = "once per turn";
  const { orders } = measured;
  if (orders.length === 0) {
    const why = hindered.orders[0] ?? "no rotor line stands out in both at speeds that both flew";
    return { question, finding: "cannot tell", sentence: `The rotors' lines cannot be compared: ${why}.` };
  }
  const finding = findingOf(orders.filter((o) => o.axis === "all"));
  const blades = before.rotor.blades ?? after.rotor.blades;
  const name = (order: number): string =>
    order === 1 ? "once per turn" : order === blades ? "blade pass" : `${order} × turn`;
  if (finding === "no difference") {
    const seen = [...new Set(orders.map((o) => name(o.order)))];
    return {
      question,
      finding,
      sentence: `No difference in the rotors' lines that these logs can show at equal rotor speed (${list(seen)}).`,
    };
  }
  const told = orders
    .filter((o) => o.significant && o.axis === "all")
    .map((o) => `${name(o.order)} is ${louder(o)}`);
  return { question, finding, sentence: `Rotor lines at equal rotor speed: ${list(told)}.` };
}

/** Which motor shakes more than before? */
export function motorsAnswer({ measured }: AnswerInput): Answer {
  const question = "motors";
  const { motors } = measured;
  if (motors.length === 0) {
    const sentence =
      "Nothing can be said of single motors: both logs must hold every motor's speed, in step.";
    return { question, finding: "cannot tell", sentence };
  }
  const finding = findingOf(motors);
  const told = motors.filter((m) => m.significant).map((m) => `motor ${m.motor} is ${louder(m)}`);
  const sentence =
    told.length === 0
      ? "No motor's once-per-turn amplitude differs by more than these logs can show."
      : `Once-per-turn amplitude, propeller or motor: ${list(told)}.`;
  return { question, finding, sentence };
}
