import { AXES } from "../units.js";
import { type Chain, describeChain, describeStep, type FilterStep, type LowPassStep } from "./chain.js";
import { level, ms, msRange } from "./messages.js";
import type { Predictor } from "./predictor.js";
import type { Trade } from "./search.js";
import type { DtermLimit, OwnChain } from "./study.js";

export interface AdviceInput {
  readonly own: OwnChain;
  /** The plain chain that behaves like the flight's own; null when none does. */
  readonly ownSteps: Chain | null;
  readonly least: Trade | null;
  readonly limit: DtermLimit | null;
  readonly predictor: Predictor;
  readonly dtermUnit: string;
  readonly fullScale: number | null;
}

/** A low-pass is opened by at most this ratio from one flight to the next. */
const STEP_RATIO = 1.35;
const MOST_STEPS = 4;
/** Gains of delay below this are not worth a flight. */
const WORTH_MS = 0.2;

/** Cautions of the trade for flying with less filtering (common practice; magnets: makers' grade tables). */
const CAUTIONS = [
  "Predictions are open loop: they pass this flight's own raw gyro through other filters. In flight the loop answers, and only a flight shows how.",
  "Change one thing at a time. Check outputs on the bench with propellers off; then a short, low hover of 10 to 20 s, land, disarm and feel every motor. Go back one step if a motor is hot (plain magnets are rated about 80 °C), if it sounds rough, or if the craft oscillates.",
  "Nothing is written to any controller: set each step by hand, and log the next flight to compare.",
] as const;

/** What the build could drop, what must stay, one step at a time, and the cautions. */
export function adviceOf(input: AdviceInput): string[] {
  return [...costNow(input), ...target(input), ...mustStay(input), ...steps(input), ...CAUTIONS];
}

function costNow({ own, fullScale, dtermUnit, limit }: AdviceInput): string[] {
  const parts: string[] = [];
  if (own.gyroDelayMs !== null) parts.push(`the gyro by ${msRange(own.gyroDelayMs, own.gyroCi95Ms!)}`);
  if (own.delayMs !== null) parts.push(`the D-term by ${msRange(own.delayMs, own.ci95Ms!)}`);
  if (parts.length === 0) return [];
  const worst = worstDterm(own);
  const over = limit !== null && worst > limit.value ? ", over its limit" : "";
  const left =
    worst > 0
      ? `, and leaves a D-term of ${level(worst, dtermUnit, fullScale)} above commanded motion${over}`
      : "";
  const like = own.behavesLike === null ? "" : ` It behaves like: ${own.behavesLike}.`;
  return [`This flight's filtering delays ${parts.join(" and ")}${left}.${like}`];
}

function target(input: AdviceInput): string[] {
  const { least, limit, fullScale, dtermUnit } = input;
  if (limit === null) {
    return [
      "Without a D-term of known scale there is no limit to hold a chain against: the curve shows what each millisecond buys.",
    ];
  }
  const bound =
    limit.how === "share of motor range"
      ? `the limit of ${level(limit.value, dtermUnit, fullScale)} less a tenth`
      : `this flight's own level of ${level(limit.value, dtermUnit, fullScale)}`;
  if (least === null) {
    return [
      `No chain on offer brings the D-term under ${bound}, so mend the vibration first: filtering cannot pay for it.`,
    ];
  }
  const found = `The least delay found under ${bound} is ${ms(least.delayMs)}: ${describeChain(least.chain)}.`;
  return [found + leaves(least, input) + compared(least.delayMs, input)];
}

/** What the chain would leave, with its interval on the worst axis. */
function leaves({ chain, dtermRms }: Trade, { predictor, dtermUnit, fullScale }: AdviceInput): string {
  const { dtermRms: perAxis, dtermCi95 } = predictor.predict(chain);
  const worst = AXES.reduce((a, b) => ((perAxis[b] ?? -1) > (perAxis[a] ?? -1) ? b : a));
  const ci95 = dtermCi95[worst];
  if (ci95 === null) return "";
  const [low, high] = ci95.map((value) => level(value, dtermUnit, fullScale).split(" ")[0]!);
  const left = level(dtermRms, dtermUnit, fullScale).replace(" of the motor range", "");
  return ` It leaves ${left} (${low} to ${high}).`;
}

function compared(delayMs: number, { own, limit }: AdviceInput): string {
  if (own.delayMs === null || limit === null) return "";
  const gain = own.delayMs - delayMs;
  if (gain >= WORTH_MS) return ` That is ${ms(gain)} less than this flight had.`;
  if (worstDterm(own) <= limit.value) return " This flight's own filtering is about as quick: leave it.";
  const price =
    gain < -WORTH_MS ? `takes ${ms(-gain)} more delay` : "takes other filters of about the same delay";
  return ` This flight's D-term is over the limit, and holding it ${price}: mend the vibration first, filter more only until then.`;
}

function worstDterm({ dtermRms }: OwnChain): number {
  return Math.max(0, ...Object.values(dtermRms).map((rms) => rms ?? 0));
}

/** Which parts of the least-delay chain carry it: without them the limit is broken. */
function mustStay({ least, limit, predictor, dtermUnit, fullScale }: AdviceInput): string[] {
  if (least === null || limit === null) return [];
  const parts = (["gyro", "dterm"] as const).flatMap((path) =>
    least.chain[path].map((step) => ({ path, step })),
  );
  return parts.flatMap(({ path, step }) => {
    const without = { ...least.chain, [path]: least.chain[path].filter((s) => s !== step) };
    const { dtermRms } = predictor.quick(without);
    if (dtermRms <= limit.value) return [];
    const where = path === "gyro" ? "gyro" : "D-term";
    return [
      `Must stay: ${where} ${describeStep(step)}; without it the D-term would be ${level(dtermRms, dtermUnit, fullScale)}.`,
    ];
  });
}

function steps(input: AdviceInput): string[] {
  const { ownSteps, least, predictor, limit, own } = input;
  if (ownSteps === null || least === null || limit === null || own.delayMs === null) return [];
  if (own.delayMs - least.delayMs < WORTH_MS) return [];
  const path = pathTo(ownSteps, least.chain);
  const said = path.slice(0, MOST_STEPS).map(({ chain, what }, i) => {
    const { delayMs, dtermRms } = predictor.quick(chain);
    const left = level(dtermRms, input.dtermUnit, input.fullScale);
    return `Step ${i + 1}: ${what}. Predicted: ${ms(delayMs)}, D-term ${left}.`;
  });
  const more = path.length - said.length;
  return more > 0
    ? [
        ...said,
        `Then look again with the new log: ${more} more such ${more === 1 ? "step leads" : "steps lead"} there.`,
      ]
    : said;
}

interface Step {
  readonly chain: Chain;
  readonly what: string;
}

/**
 * Single changes that lead from one chain to another: what takes away lines comes first, then the gyro's low-pass is
 * opened, then the D-term's, none by more than a third at a time.
 */
export function pathTo(own: Chain, goal: Chain): Step[] {
  const out: Step[] = [];
  let now = own;
  const take = (path: "gyro" | "dterm", filters: readonly FilterStep[], what: string): void => {
    now = { ...now, [path]: filters };
    out.push({ chain: now, what });
  };
  for (const step of others(goal.gyro).filter((step) => !own.gyro.some((has) => sameNotch(has, step)))) {
    const needs = step.kind === "rotor notches" ? " (the controller must know each motor's speed)" : "";
    take("gyro", [step, ...now.gyro], `add ${describeStep(step)} to the gyro${needs}`);
  }
  for (const path of ["gyro", "dterm"] as const) {
    const name = path === "gyro" ? "gyro" : "D-term";
    const [from, to] = [lowPassOf(own, path), lowPassOf(goal, path)];
    if (from === null || !opens(from, to)) continue;
    for (const corner of openings(from, to)) {
      const before = cornerOf(lowPassOf(now, path)!);
      const what = `open the ${name} low-pass from ${Math.round(before)} to ${Math.round(corner)} Hz`;
      take(path, [...others(now[path]), { ...from, corner }], what);
    }
    const what =
      to === null ? `take the ${name} low-pass out` : `make it a ${describeStep(to)} on the ${name}`;
    take(path, to === null ? others(now[path]) : [...others(now[path]), to], what);
  }
  for (const path of ["gyro", "dterm"] as const) {
    for (const notch of own[path]) {
      if (notch.kind !== "notch" || goal[path].some((step) => sameNotch(step, notch))) continue;
      const name = path === "gyro" ? "gyro" : "D-term";
      take(
        path,
        now[path].filter((step) => step !== notch),
        `take the ${describeStep(notch)} out of the ${name}`,
      );
    }
  }
  return out;
}

/** Whether two notches that stay do the same: centres within a tenth. */
function sameNotch(a: FilterStep, b: FilterStep): boolean {
  return a.kind === "notch" && b.kind === "notch" && Math.abs(Math.log(a.centreHz / b.centreHz)) < 0.1;
}

const others = (steps: readonly FilterStep[]): FilterStep[] => steps.filter((s) => s.kind !== "low-pass");

/** Whether a low-pass delays less than another: a filter that is already open enough is left alone. */
function opens(from: LowPassStep, to: LowPassStep | null): boolean {
  // delay of slow signals is about order-dependent, 1 or √2, over 2π corner
  const delay = (step: LowPassStep): number => (step.order === 1 ? 1 : Math.SQRT2) / cornerOf(step);
  return to === null || delay(to) < 0.95 * delay(from);
}

function lowPassOf(chain: Chain, path: "gyro" | "dterm"): LowPassStep | null {
  return chain[path].find((step): step is LowPassStep => step.kind === "low-pass") ?? null;
}

/** A corner; one that moves with throttle counts at its geometric middle. */
function cornerOf({ corner }: LowPassStep): number {
  return typeof corner === "number" ? corner : Math.sqrt(corner.atZeroHz * corner.atFullHz);
}

/** Corners between a low-pass and a more open one (or none), in even ratios. */
function openings(from: LowPassStep, to: LowPassStep | null): number[] {
  const ratio = to === null ? 2 : cornerOf(to) / cornerOf(from);
  if (ratio <= STEP_RATIO) return [];
  const count = Math.min(4, Math.ceil(Math.log(ratio) / Math.log(STEP_RATIO)));
  return Array.from({ length: count - 1 }, (_, i) => cornerOf(from) * ratio ** ((i + 1) / count));
}
