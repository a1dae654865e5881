import { airborneSeconds } from "../timeline/timeline.js";
import { axisSummaries } from "./axis-summary.js";
import { balanceReasons } from "./balance.js";
import { callFrom } from "./call.js";
import { CAUTIONS } from "./cautions.js";
import { commandedMotion } from "./commanded-motion.js";
import { cruiseOf, flownBand } from "./cruise.js";
import { dtermFrames, dtermReasons } from "./dterm.js";
import { flightFrames } from "./flight-frames.js";
import { footageOf, footageReasons } from "./footage.js";
import type { JudgeInput, Judgement } from "./judge-input.js";
import { limitsFor, limitsInForce } from "./limits.js";
import { loopPhaseReasons, loopReasons } from "./loop.js";
import type { Measured } from "./measured.js";
import { missingSignals } from "./missing.js";
import { nextSteps } from "./next.js";
import { payloadReasons } from "./payload.js";
import { qualityChecks } from "./quality.js";
import { quietBandOf } from "./quiet-band.js";
import { quietBandReasons } from "./quiet-band-reason.js";
import { callSentence } from "./sentence.js";
import { separationReasons } from "./separation.js";
import { settle } from "./settle.js";
import { standingModeReasons } from "./standing-mode.js";
import { swayReasons } from "./sway.js";
import { toneReasons } from "./tones.js";

/**
 * Is this build quiet, and how do we know? Measures what the verdict needs, checks whether the log can carry one,
 * and gives the call with its reasons.
 *
 * Nothing is thrown for a signal that is missing: it becomes an entry of `missing` and a reason that is unknown.
 */
export function judge(input: JudgeInput): Judgement {
  const measured = measure(input);
  const axes = axisSummaries(measured);
  const footage = footageOf(measured);
  const quality = qualityChecks(measured, input.log.warnings);
  const reasons = settle(
    [
      ...quietBandReasons(measured, axes),
      ...standingModeReasons(measured),
      ...separationReasons(measured),
      ...balanceReasons(measured),
      ...dtermReasons(measured),
      ...loopReasons(measured),
      ...loopPhaseReasons(measured),
      ...swayReasons(measured),
      ...toneReasons(measured),
      ...footageReasons(footage, measured),
      ...payloadReasons(measured),
    ],
    quality,
  );
  const call = callFrom(reasons, quality);
  return {
    missing: missingSignals(measured),
    quality,
    axes,
    verdict: {
      call,
      sentence: callSentence(call, reasons, quality),
      reasons,
      next: nextSteps(reasons, quality),
      cautions: CAUTIONS,
    },
    limits: limitsInForce(input.craft),
    footage,
  };
}

function measure({ timeline, rotor, modes, craft }: JudgeInput): Measured {
  const limits = limitsFor(craft);
  const frames = flightFrames(timeline, rotor);
  const commanded = commandedMotion(timeline, craft, limits);
  const known = rotor.source !== "none" && airborneSeconds(timeline) > 0;
  const cruise = known ? cruiseOf(frames, rotor) : null;
  const flown = known ? flownBand(frames, rotor) : null;
  const quietBand = cruise && quietBandOf(commanded.topHz, cruise.bandHz, { frames, rotor });
  const dterm = dtermFrames(timeline, craft, frames);
  return { timeline, rotor, modes, craft, limits, frames, commanded, cruise, flown, quietBand, dterm };
}
