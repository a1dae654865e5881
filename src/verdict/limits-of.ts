import type { LimitName } from "./limits.js";

/** Which reasons and checks each limit decides, by their ids. */
export const LIMITS_OF: Readonly<Record<string, readonly LimitName[]>> = {
  airborne: ["airborneWarnS", "airborneFailS"],
  "calm-flight": ["calmWarnS", "calmFailS"],
  "throttle-range": ["throttleRangeWarn"],
  "throttle-levels": ["throttleLevelsWarn"],
  gaps: ["gapWarnShare", "gapFailShare"],
  jitter: ["jitterWarnShare", "jitterFailShare"],
  clipping: ["clipWarnShare", "clipFailShare"],
  quantisation: ["stepWarnShare", "stepFailShare"],
  "rotor-speed": ["rotorConfidenceWarn", "rotorConfidenceFail"],
  "quiet-band": ["quietBandMarginalPx", "quietBandLoudPx", "commandedTopHz", "referenceFocalPx"],
  "standing-mode": ["standingModePx", "modeResponsePx", "referenceFocalPx"],
  "mode-separation": [
    "separationMargin",
    "modeResponsePx",
    "dtermModeShare",
    "unobservableShare",
    "referenceFocalPx",
  ],
  balance: ["balanceMarginalPx", "balanceLoudPx", "referenceFocalPx"],
  "dterm-vibration": ["dtermMarginalShare", "dtermLoudShare", "commandedTopHz"],
  "loop-oscillation": ["loopMarginalDps", "loopLoudDps"],
  "loop-phase": ["loopPhaseDeg", "loopMarginalDps", "loopReach"],
  "payload-sway": ["swayMarginalDps", "swayLoudDps"],
  tones: ["toneMarginalPx", "referenceFocalPx"],
  footage: ["footageMarginalPx", "referenceFocalPx"],
  "payload-forecast": ["separationMargin"],
};
