import type { Craft } from "../craft.js";
import { frameTimes } from "../spectra/frame-grid.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import type { Timeline } from "../timeline/timeline.js";
import { bladesOf } from "./blades.js";
import { speedSummary } from "./common-speed.js";
import { speedCurve } from "./curve.js";
import { type Candidate, type Inference, inferSpeed } from "./infer.js";
import { judgeInference } from "./judge-inference.js";
import { lineMap } from "./line-map.js";
import { LONG_FRAME_S, LONG_FRAMES } from "./long-frames.js";
import { middleOfMotors } from "./motor-lines.js";
import { noRotor } from "./none.js";
import { orderGround, orderLines } from "./order-lines.js";
import { recentre } from "./recentre.js";
import { residualRatio } from "./residual.js";
import type { RotorEstimate, SpeedTrack } from "./rotor.js";
import { centredAs, frameDriver, modelAlongDriver, modelAtFrames } from "./speed-model.js";

/** Orders fainter than this do not guide the residual, natural log units. */
const FAINT = 0.08;
/** Orders from this level on show the motors apart. */
const CLEAR = 0.3;

/** Rotor speed from throttle and spectrum, or "none" with the reasons. */
export function inferredRotor(timeline: Timeline, craft: Craft): RotorEstimate {
  const inference = inferSpeed(timeline, craft.blades ?? null);
  if (!inference) return noRotor(["no throttle or motor command and no speed report: what turns is unknown"]);
  const judged = judgeInference(timeline, craft, inference);
  if (judged.answer === null) return noRotor(judged.doubts, judged.confidence);
  const { hover } = inference;
  const track: SpeedTrack = { motor: null, hz: fullTrack(timeline, inference, judged.answer) };
  const summary = speedSummary([track], timeline)!;
  const lines = orderLines([track], orderGround(timeline, [track]));
  return {
    ...noRotor(judged.doubts, judged.confidence),
    source: "inferred",
    medianHz: summary.medianHz,
    bandHz: summary.bandHz,
    curve: speedCurve(timeline, [track], {
      lagS: judged.answer.model.lagS,
      relativeSd: 0.01,
    }),
    ...bladesOf(craft, lines.orders),
    referenceHz: summary.medianHz,
    orders: lines.orders,
    tracks: [track],
    hover: hover || lines.standing,
  };
}

/** The model's speed times its slow residual, brought to the middle of the motors' lines, one value per sample. */
export function fullTrack(timeline: Timeline, inference: Inference, answer: Candidate): Float32Array {
  const { map, at, model, speeds, levels } = answer;
  const orders = levels
    .map((level, i) => ({ order: i + 1, level, weight: i === 0 ? 1 : 0.4 }))
    .filter((o) => o.order === 1 || o.level > FAINT);
  const ratio = residualRatio(map, speeds, orders);
  const coarse = modelAlongDriver(model, inference.driver, at);
  const hz = stretched(timeline, { coarse, step: inference.driver.step, ratio, grid: map.grid });
  const middle = middleOfLines(timeline, inference, { answer, ratio });
  for (let i = 0; i < hz.length; i++) hz[i] = hz[i]! * middle;
  return hz;
}

/** The motors' mean speed over the tracked one. */
function middleOfLines(
  timeline: Timeline,
  { driver, hover }: Inference,
  { answer, ratio }: { answer: Candidate; ratio: Float64Array },
): number {
  const whiten = hover ? "standing" : "moving";
  const map = lineMap(timeline, {
    frameS: LONG_FRAME_S,
    frames: 250,
    whiten,
    clip: [-1, 9],
    of: LONG_FRAMES,
  });
  if (!map) return 1;
  const at = centredAs(frameDriver(driver, map.grid, answer.model.lagS), answer.at);
  const residual = interpolated(frameTimes(answer.map.grid), ratio, frameTimes(map.grid));
  const speeds = modelAtFrames(answer.model, at).map((hz) => hz.map((f, k) => f * residual[k]!));
  const { ratio: start } = recentre(map, speeds);
  if (speeds.length === 1) return start;
  const orders = answer.levels.flatMap((level, i) => (i === 0 || level > CLEAR ? [i + 1] : []));
  return middleOfMotors(map, speeds, { orders, start });
}

/** y over x at other points, straight between, held beyond the ends. */
function interpolated(x: Float64Array, y: Float64Array, at: Float64Array): Float64Array {
  let k = 0;
  return at.map((t) => {
    while (k < x.length - 2 && x[k + 1]! <= t) k++;
    const part = Math.min(1, Math.max(0, (t - x[k]!) / (x[k + 1]! - x[k]!)));
    return y[k]! + part * (y[k + 1]! - y[k]!);
  });
}

interface Coarse {
  /** Model speed every `step` samples. */
  readonly coarse: Float64Array;
  readonly step: number;
  /** Residual ratio per frame of the grid. */
  readonly ratio: Float64Array;
  readonly grid: FrameGrid;
}

/** Both interpolated straight between their points. */
function stretched(timeline: Timeline, { coarse, step, ratio, grid }: Coarse): Float32Array {
  const centres = grid.starts.map((s) => s + grid.segmentLength / 2);
  const out = new Float32Array(timeline.length);
  let frame = 0;
  for (let i = 0; i < out.length; i++) {
    while (frame < centres.length - 2 && centres[frame + 1]! <= i) frame++;
    const x = i / step - 0.5;
    const k = Math.min(coarse.length - 2, Math.max(0, Math.floor(x)));
    const part = Math.min(1, Math.max(0, x - k));
    const share = (i - centres[frame]!) / (centres[frame + 1]! - centres[frame]!);
    const w = Math.min(1, Math.max(0, share));
    const r = ratio[frame]! + w * (ratio[frame + 1]! - ratio[frame]!);
    out[i] = r * (coarse[k]! + part * (coarse[k + 1]! - coarse[k]!));
  }
  return out;
}
