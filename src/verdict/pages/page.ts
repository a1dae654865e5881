/** A thing to try, with its place in the order of cost. */
export interface Step {
  /** 0 free: settings and logging; 1 propeller; 2 screws and standoffs; 3 motor; 4 arm or plate; 5 camera mount; 6 controller mounting. */
  readonly cost: number;
  readonly text: string;
  /** Quality check that, when it is in order, shows the step to be done already. */
  readonly doneWhen?: string;
}

/** What `quietspar explain` prints for one reason or one check. */
export interface Page {
  readonly title: string;
  readonly what: string;
  readonly why: string;
  readonly causes: readonly string[];
  /** Single things to try, cheapest first. */
  readonly next: readonly Step[];
  /** What to do when the reason could not be evaluated; default: `next`. */
  readonly whenUnknown?: readonly Step[];
  readonly cautions: readonly string[];
}

/** Steps that several pages share: the same trouble has the same cure. */
export const STEPS = {
  logRaw: { cost: 0, text: "Log the unfiltered gyro on all three axes.", doneWhen: "raw-gyro" },
  logFast: {
    cost: 0,
    text: "Raise the log rate to at least 2.2 times the highest blade-pass frequency.",
    doneWhen: "sample-rate",
  },
  logLonger: {
    cost: 0,
    text: "Fly and log one to two minutes in the air, mostly calm cruise.",
    doneWhen: "calm-flight",
  },
  logSpeed: { cost: 0, text: "Log motor speed if the controllers report it.", doneWhen: "rotor-speed" },
  logD: {
    cost: 0,
    text: "Log the D-term of roll and pitch with the motor commands, or give dtermFullScale in the craft file.",
  },
  blades: { cost: 0, text: "Give the number of blades in the craft file." },
  sweep: {
    cost: 0,
    text: "Add a slow throttle sweep: hover to three quarters and back in 20 seconds.",
    doneWhen: "throttle-range",
  },
  calm: { cost: 0, text: "Fly in little wind, climbing or forward; keep out of your own wash." },
  propeller: {
    cost: 1,
    text: "Balance the propellers, or fit a fresh set; look for nicks and for loose or bent blades.",
  },
  swap: {
    cost: 1,
    text: "Move the worst motor's propeller to another arm and fly again: does the shaking move with it?",
  },
  screws: {
    cost: 2,
    text: "Check every screw and standoff of arms, plates and motors, cold and after a flight.",
  },
  motor: {
    cost: 3,
    text: "Spin each motor without propeller: feel the bearing, look for a bent shaft or a rubbing bell.",
  },
  arm: {
    cost: 4,
    text: "Stiffen or shorten the part that rings: arm, arm clamp or plate; or add mass at its tip to go lower.",
  },
  camera: {
    cost: 5,
    text: "Check the camera mount: isolators of the right hardness, no hard contact, no loose cable.",
  },
  controller: {
    cost: 6,
    text: "Check how the controller is mounted: even, soft enough, no cable pulling at it.",
  },
  ballast: {
    cost: 1,
    text: "Fly with ballast of the payload's mass where the payload will sit, before the camera goes on.",
  },
} as const satisfies Record<string, Step>;

/** Cautions of the trade that several pages share. */
export const CAUTION = {
  off: "Propellers off and battery out for any work on the craft.",
  nicked: "Never fly a cracked or nicked propeller.",
  one: "Change one thing, in small steps, and compare with the same flight.",
  hot: "After loosening filters: a short hover, land, and feel for hot motors.",
  gain: "After a change of gains: hover low and recheck control before going on.",
  fit: "A quiet craft is not thereby an airworthy one.",
} as const;
