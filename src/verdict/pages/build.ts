import { CAUTION, type Page, STEPS } from "./page.js";

/** Pages of the reasons that speak of the build. */
export const BUILD_PAGES: Readonly<Record<string, Page>> = {
  "quiet-band": {
    title: "Is the band below the rotors empty?",
    what:
      "The quiet band lies between what the craft is told to do (commanded motion) and the once-per-turn band of its " +
      "slowest rotor in cruise. The figure is the RMS of the unfiltered gyro in that band, per axis, in calm flight only: throttle " +
      "chops, descents through the craft's own wash and gusts are kept out and reported apart as wash. When the two ends " +
      "meet, the craft has no quiet band, and the reason says so.",
    why:
      "Nothing should live there: no pilot asks for it and no rotor makes it. What stands there is structure, loose parts " +
      "or a control loop, it is too slow for filters that do not cost control, and it moves a camera's image most. The " +
      "limits are two and six pixels of image movement with a reference lens, turned into deg/s at the band's middle.",
    causes: [
      "a loose screw, standoff, antenna, battery or cable",
      "a soft arm, clamp or plate ringing below the rotors",
      "a payload or gimbal that is not held firmly",
      "rough air or wash that was not recognised as such",
    ],
    next: [STEPS.screws, STEPS.arm, STEPS.camera, STEPS.controller],
    whenUnknown: [STEPS.logLonger, STEPS.calm, STEPS.logSpeed, STEPS.sweep],
    cautions: [CAUTION.off, CAUTION.one],
  },
  "standing-mode": {
    title: "Does a structure stand in the quiet band?",
    what:
      "A structural mode below the once-per-turn band, by what it adds above its surroundings on its worst axis in calm " +
      "flight. The air's broadband shaking does not count here; it is in the quiet-band figure.",
    why:
      "It rings without being pushed by a rotor, at a frequency that filters cannot take without cost to control. The " +
      "limits are half a pixel and two pixels of image movement at its frequency.",
    causes: [
      "a loose arm, clamp or screw",
      "a soft plate, a heavy part on a soft holding",
      "a gimbal or battery on its straps",
    ],
    next: [STEPS.screws, STEPS.arm, STEPS.camera],
    cautions: [CAUTION.off, CAUTION.one],
  },
  "mode-separation": {
    title: "Are the structural modes clear of the rotor bands?",
    what:
      "Rotors push hardest once per turn and once per blade. Each of these is a band, as wide as cruise makes it (5th to " +
      "95th percentile). A structural mode inside a band, or closer to it than the margin, is marginal; it is loud only " +
      "when the gyro or the D-term about the mode is over its own limit and the rotors' line is not just as strong away from the mode. A mode clear of both bands is fine, however close " +
      "other orders cross it on their way.",
    why:
      "A lightly damped mode answers a push at its own frequency 10 to 50 times as strongly. Every hour there bends the " +
      "same joint, heats motors through the D-term, and shakes the image.",
    causes: [
      "an arm or plate too soft or too heavy for this propeller speed",
      "a propeller or battery change that moved the bands",
      "a joint that has worked loose and let a mode sink",
    ],
    next: [
      {
        cost: 1,
        text: "Try a propeller that cruises at another speed (pitch, diameter, blades), to move the band off the mode.",
      },
      STEPS.screws,
      STEPS.arm,
    ],
    whenUnknown: [STEPS.sweep, STEPS.logSpeed, STEPS.logFast, STEPS.blades, STEPS.logLonger],
    cautions: [CAUTION.off, CAUTION.nicked, CAUTION.one],
  },
  balance: {
    title: "How hard do the rotors shake once per turn?",
    what:
      "Amplitude of the line that turns with the rotors, in calm flight: all rotors together on the worst axis and, where " +
      "each motor's speed is known, the worst single motor. The limits are five and ten pixels of image movement with a " +
      "hard-mounted reference camera: half a pixel and one pixel behind an isolator that takes off nine tenths.",
    why: "Imbalance wears bearings, loosens screws and is the strongest push that a structure gets.",
    causes: [
      "a propeller out of balance, nicked, or seated off centre",
      "a bent shaft, a worn bearing, a bell knocked out of true",
      "a mode near the once-per-turn band that swells the line (see mode-separation)",
    ],
    next: [STEPS.propeller, STEPS.swap, STEPS.screws, STEPS.motor],
    whenUnknown: [STEPS.logSpeed, STEPS.logFast, STEPS.sweep],
    cautions: [CAUTION.off, CAUTION.nicked, CAUTION.one],
  },
  "dterm-vibration": {
    title: "Does vibration reach the motors through the D-term?",
    what:
      "RMS of the D-term above commanded motion in calm flight, per axis, as a share of the motor command range. Where the " +
      "scale is not known the number stands in the log's own units and serves only to compare flights. Yaw often has no D. " +
      "In a log that is slow against the blade pass, what lies above Nyquist is folded into the figure.",
    why:
      "D answers change, so it multiplies vibration by frequency. What gets through makes the motors work against noise: " +
      "they heat, and command is spent that control needs.",
    causes: [
      "a structural mode or a rotor line that the filters let through",
      "filters set too high, or a D gain too large, for this craft",
      "a controller mounted so hard or so loosely that it adds its own shaking",
    ],
    next: [
      {
        cost: 0,
        text: "Compare raw and filtered gyro: lower the D-term filter or the D gain one small step.",
      },
      STEPS.propeller,
      STEPS.screws,
      STEPS.controller,
    ],
    whenUnknown: [STEPS.logD, STEPS.logLonger],
    cautions: [CAUTION.hot, CAUTION.gain, CAUTION.one],
  },
  tones: {
    title: "Does a fixed tone stand in the spectrum?",
    what:
      "A line that never moves and is too narrow for a damped structure. It may be electrical, or a line from far above " +
      "Nyquist that was folded down.",
    why: "It is no part of the structure, but a filter or a camera does not care where a shake comes from.",
    causes: [
      "interference from a power converter, a camera or a video sender",
      "a fan or a gimbal motor",
      "a folded line of something faster than the log",
    ],
    next: [
      {
        cost: 0,
        text: "Switch the suspects off one at a time (camera, sender, gimbal) with propellers off, and log again.",
      },
      STEPS.logFast,
      STEPS.controller,
    ],
    cautions: [CAUTION.off, CAUTION.one],
  },
  footage: {
    title: "What would a camera fixed hard to the frame see?",
    what:
      "Image movement from the gyro: angle is rate / (2 pi f), pixels are focal length in pixels times angle, RMS over the " +
      "frequencies above commanded motion, given as the peak-to-peak of a sine of the same RMS. The lens is the craft " +
      "file's, or a stated reference lens. Roll is taken at the edge of the image.",
    why:
      "It turns deg/s into the unit that a customer sees. A damped mount takes off what is fast, so up to ten pixels here " +
      "are usual; more than that asks too much of the mount. It never makes a craft loud by itself.",
    causes: [
      "imbalance",
      "a mode below or inside the motor band",
      "a long lens: twice the focal length is twice the pixels",
    ],
    next: [STEPS.propeller, STEPS.screws, STEPS.camera],
    whenUnknown: [STEPS.logLonger, STEPS.calm],
    cautions: [CAUTION.one, "A rolling shutter bends the image besides; a gimbal adds its own motion."],
  },
};
