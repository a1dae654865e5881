import type { LineMap } from "./line-map.js";
import { COMB, type Hypothesis, hypothesisOf, meanLevel } from "./search.js";
import { type FrameDriver, modelAtFrames, type SpeedModel } from "./speed-model.js";

/** Orders fainter than this take no part in the refinement, natural log units. */
const FAINT = 0.08;

interface Knob {
  readonly name: "f0" | "exponent" | "sag" | "curvature";
  readonly step: number;
  readonly limits: readonly [number, number];
}

const KNOBS: readonly Knob[] = [
  { name: "f0", step: 0.02, limits: [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY] },
  { name: "exponent", step: 0.06, limits: [0.3, 1.2] },
  { name: "sag", step: 0.08, limits: [-0.1, 0.5] },
  { name: "curvature", step: 0.05, limits: [-0.25, 0.25] },
];
const FINEST = 1 / 32;

/**
 * Climbs from a rough hypothesis to the best speed curve near it by coordinate search.
 *
 * @param map levels
 * @param at driver at the map's frames
 * @param start rough hypothesis
 * @param knobs how many of f0, exponent, sag, curvature may move, in this order (1 for a steady hover)
 */
export function refine(map: LineMap, at: FrameDriver, start: Hypothesis, knobs = KNOBS.length): Hypothesis {
  const orders = Array.from({ length: COMB }, (_, o) => o + 1).filter(
    (o) => o === 1 || start.levels[o - 1]! > FAINT,
  );
  const gain = (model: SpeedModel): number => {
    const speeds = modelAtFrames(model, at);
    return orders.reduce((sum, o) => sum + (o === 1 ? 1 : 0.4) * meanLevel(map, speeds, o), 0);
  };
  let model = start.model;
  let best = gain(model);
  for (let scale = 1; scale >= FINEST; scale /= 2) {
    for (let moved = true, rounds = 0; moved && rounds < 6; rounds++) {
      moved = false;
      for (const knob of KNOBS.slice(0, knobs)) {
        for (const sign of [1, -1]) {
          const trial = turned(model, knob, sign * scale);
          const value = gain(trial);
          if (value <= best + 1e-6) continue;
          model = trial;
          best = value;
          moved = true;
          break;
        }
      }
    }
  }
  return hypothesisOf(map, model, modelAtFrames(model, at));
}

function turned(model: SpeedModel, knob: Knob, scale: number): SpeedModel {
  const moved =
    knob.name === "f0" ? model.f0 * Math.exp(scale * knob.step) : model[knob.name] + scale * knob.step;
  return { ...model, [knob.name]: Math.min(knob.limits[1], Math.max(knob.limits[0], moved)) };
}
