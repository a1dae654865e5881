import { CAUTION, type Page, STEPS } from "./page.js";

const CAUTIONS = [CAUTION.fit];

/** Pages of the quality checks: can this log carry a verdict? */
export const LOG_PAGES: Readonly<Record<string, Page>> = {
  "gyro-present": {
    title: "Is there a gyro, and is it alive?",
    what: "How many of roll, pitch and yaw are logged and change at all.",
    why: "Everything is measured with the gyro. An axis that is missing is not judged.",
    causes: ["columns not exported", "headers that were not understood", "a dead or disabled sensor"],
    next: [
      STEPS.logRaw,
      {
        cost: 0,
        text: "See what each column was taken for with 'quietspar columns', and name them with a map.",
      },
    ],
    cautions: CAUTIONS,
  },
  "raw-gyro": {
    title: "Is the unfiltered gyro logged?",
    what: "Whether the gyro in the log is the one before the controller's filters.",
    why:
      "A filtered gyro is a lower bound. If that is loud already, the craft is loud; if it is not, nothing is known, so such a " +
      "log never gives quiet.",
    causes: ["the recorder's default is the filtered gyro"],
    next: [STEPS.logRaw],
    cautions: CAUTIONS,
  },
  airborne: {
    title: "Was it in the air long enough?",
    what: "Seconds in the air of the flight that is judged.",
    why:
      "Light damping needs hundreds of periods before frequency and level settle; in a few seconds take-off and landing are " +
      "most of the log.",
    causes: ["a hop", "a log that was cut, or started in the air", "the wrong flight of several"],
    next: [STEPS.logLonger],
    cautions: CAUTIONS,
  },
  "calm-flight": {
    title: "Is enough of the flight calm?",
    what:
      "Seconds that are neither a throttle chop, nor a descent through the craft's own wash, nor a gust. The decision looks at " +
      "the throttle and at the gyro below 15 Hz only.",
    why: "Rough air shakes any craft; what is measured there is the air.",
    causes: ["wind", "descents straight down", "hard flying"],
    next: [STEPS.calm, STEPS.logLonger],
    cautions: CAUTIONS,
  },
  "throttle-range": {
    title: "Did the throttle move enough?",
    what: "5th to 95th percentile of throttle in the air.",
    why: "Lines that climb with throttle and lines that stay put part only when it moves.",
    causes: ["a pure hover"],
    next: [STEPS.sweep],
    cautions: CAUTIONS,
  },
  "throttle-levels": {
    title: "How many throttle levels were held?",
    what: "Tenths of throttle held for two seconds or more in all.",
    why: "Each level shows one operating point of the rotors; one alone may lie beside every resonance by luck.",
    causes: ["a pure hover", "a very short flight"],
    next: [STEPS.sweep],
    cautions: CAUTIONS,
  },
  "sample-rate": {
    title: "Is the log fast enough for the rotors?",
    what: "Log rate against 2.2 times the blade-pass frequency at the top of cruise.",
    why:
      "A line above half the log rate comes back down and passes for something else. When the motors' speed is reported such a " +
      "line can be followed; when it is not, or when even the once-per-turn line is folded, nothing can be told from a fold.",
    causes: ["a log rate divided down to save space", "small, fast propellers"],
    next: [STEPS.logFast, STEPS.logSpeed],
    cautions: CAUTIONS,
  },
  "rotor-speed": {
    title: "Is it known how fast the rotors turn?",
    what: "From telemetry, inferred from throttle and spectrum, or not at all; with a confidence.",
    why: "Quiet band, balance and separation are all measured from the rotors' bands.",
    causes: ["no motor speed in the log and a throttle that hardly moves", "a log too slow for the rotors"],
    next: [STEPS.logSpeed, STEPS.sweep, STEPS.logFast],
    cautions: CAUTIONS,
  },
  "rotor-doubts": {
    title: "What is doubtful about the rotors' speed?",
    what: "What the estimate of the rotors' speed could not say, in its own words.",
    why: "A doubt does not change the call by itself; it tells where to look when the call surprises.",
    causes: ["telemetry with holes or delay", "pole pairs or blades not told"],
    next: [STEPS.logSpeed, { cost: 0, text: "Give motorPoles and blades in the craft file." }],
    cautions: CAUTIONS,
  },
  "mode-doubts": {
    title: "What is doubtful about the modes?",
    what: "What the search for modes could not say, in its own words.",
    why: "A doubt does not change the call by itself; it tells where to look when the call surprises.",
    causes: ["a short or steady flight", "rotors that cover a band all flight long"],
    next: [STEPS.sweep, STEPS.logLonger],
    cautions: CAUTIONS,
  },
  gaps: {
    title: "Are samples missing?",
    what:
      "Share of samples lost in the air, and the calm flight that is left without a hole. No transform ever spans a gap, so a " +
      "few lost rows spread over the whole flight can take all of it.",
    why: "Recorders stall when much happens, so what is lost is not random.",
    causes: ["a slow card or flash", "too many columns at too high a rate"],
    next: [{ cost: 0, text: "Log fewer columns, or to a faster store, so that no samples are lost." }],
    cautions: CAUTIONS,
  },
  jitter: {
    title: "Is the clock even?",
    what: "Share of time steps that differ by over a fifth from the usual one.",
    why: "Uneven steps smear lines into a raised floor.",
    causes: ["logging at a rate that does not divide the loop rate", "time stamps written late"],
    next: [{ cost: 0, text: "Log at an even whole fraction of the loop rate." }],
    cautions: CAUTIONS,
  },
  clipping: {
    title: "Does the gyro reach its end stop?",
    what: "Share of samples that sit at the largest magnitude, three or more in a row.",
    why: "A cut peak throws power over all frequencies and hides how high it went: every level is a lower bound.",
    causes: [
      "flips or crashes in the log",
      "a sensor range set too small",
      "vibration beyond the sensor's range",
    ],
    next: [
      { cost: 0, text: "Leave crashes and flips out with --from and --to; set the gyro's full range." },
      STEPS.controller,
    ],
    cautions: CAUTIONS,
  },
  quantisation: {
    title: "Is the gyro logged finely enough?",
    what: "Rounding noise, step / sqrt(12) spread evenly to Nyquist, in the quiet band against that band's limit.",
    why: "Coarse rounding fills the quiet band with noise that the craft does not make.",
    causes: ["an export rounded to whole deg/s"],
    next: [{ cost: 0, text: "Export the gyro with more digits." }],
    cautions: CAUTIONS,
  },
  "log-warnings": {
    title: "Did reading the log raise doubts?",
    what: "What looked odd in the file: headers, units, rows.",
    why: "A column taken for the wrong thing gives a wrong answer with a straight face.",
    causes: ["unusual headers", "rows cut off or mixed up"],
    next: [
      {
        cost: 0,
        text: "See what each column was taken for with 'quietspar columns', and name them with a map.",
      },
    ],
    cautions: CAUTIONS,
  },
  limits: {
    title: "Were all overrides of limits used?",
    what: "Names under 'limits' in the craft file that no limit has, or numbers that are not above 0.",
    why: "A limit that was meant to hold and does not should be heard of.",
    causes: ["a spelling mistake"],
    next: [{ cost: 0, text: "Take the names from settings.limits of a result." }],
    cautions: CAUTIONS,
  },
};
