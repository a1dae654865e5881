import { CAUTION, type Page, STEPS } from "./page.js";

/** Pages of the reasons that speak of the control loop and of what is carried. */
export const CARRIED_PAGES: Readonly<Record<string, Page>> = {
  "loop-oscillation": {
    title: "Does the control loop oscillate?",
    what:
      "A swing that the controller itself keeps going. It is told from structure by where it goes: its frequency and level " +
      "follow throttle and stick, where a structure stays put.",
    why: "It has no margin left: a little more mass, gain or speed and it grows.",
    causes: [
      "P or D gain too high for the craft's present mass and propellers",
      "filters that delay the gyro too much",
      "a payload that moves against the frame",
    ],
    next: [
      { cost: 0, text: "Lower the gain of the axis by a tenth and fly the same flight again." },
      { cost: 0, text: "Take filter delay out where the spectrum allows it (see the filter study)." },
      STEPS.screws,
      STEPS.camera,
    ],
    cautions: [CAUTION.gain, CAUTION.hot, CAUTION.one],
  },
  "loop-phase": {
    title: "Does a low structural mode meet the control loop?",
    what:
      "A mode near the top of commanded motion is seen by the rate loop. Whether the loop damps or feeds it depends on how " +
      "late the loop acts there and how much of the mode it sees: the delay of the gyro filters at the mode and the level " +
      "that they let through. Frequency alone decides nothing.",
    why: "Motors and propellers lag by up to 90 degrees; a further delay turns damping into pushing.",
    causes: ["a soft frame or a heavy payload", "more filter delay than the craft needs"],
    next: [
      { cost: 0, text: "Take filter delay out, or put a notch on the mode, and fly the same flight again." },
      STEPS.screws,
      STEPS.arm,
    ],
    whenUnknown: [{ cost: 0, text: "Log raw and filtered gyro side by side." }],
    cautions: [CAUTION.gain, CAUTION.hot, CAUTION.one],
  },
  "payload-sway": {
    title: "Does what is carried sway?",
    what: "A resonance far below the rotors, of something heavy on a soft holding: battery, gimbal, landing gear, payload.",
    why:
      "It shakes at frequencies that neither filters nor isolators reach, and it takes phase from the control loop. A sway " +
      "slower than some 16 Hz needs more than 30 s of flight to be told from gusts.",
    causes: [
      "isolators too soft for the mass on them",
      "a battery strap that gives",
      "landing gear or arms that fold",
    ],
    next: [
      STEPS.screws,
      { cost: 2, text: "Strap the battery tighter and stop the payload's holding from giving." },
      STEPS.camera,
    ],
    whenUnknown: [STEPS.logLonger],
    cautions: [CAUTION.off, "What is carried must be secure and must not upset handling."],
  },
  "payload-forecast": {
    title: "Will it stay clear of resonance with the payload on?",
    what:
      "A forecast from massKg and payloadKg in the craft file. Rotors in cruise speed up by the root of the mass ratio, " +
      "since thrust goes as speed squared. A mode falls by anything between nothing (the mass sits on a node) and " +
      "Dunkerley's bound with the whole payload moving. The separations are tested again over all of that.",
    why: "The loaded craft is another craft: bands rise while modes sink, and what was clear can meet.",
    causes: ["too little room between a mode and a rotor band to begin with"],
    next: [STEPS.ballast],
    whenUnknown: [STEPS.ballast],
    cautions: [
      "A forecast is no measurement: it knows nothing of where the payload is fixed.",
      "Anything carried must be secure and must not upset handling.",
    ],
  },
};
