import type { Measured } from "./measured.js";

export interface Missing {
  readonly what: string;
  readonly cost: string;
}

/** Signals that were absent, and what could not be said for it. */
export function missingSignals(measured: Measured): Missing[] {
  return RULES.flatMap(({ absent, what, cost }) => (absent(measured) ? [{ what, cost }] : []));
}

type Rule = Missing & { readonly absent: (measured: Measured) => boolean };

const none = (series: object): boolean => Object.values(series).every((s) => s === null);
const some = (series: object): boolean => Object.values(series).some((s) => s === null);

const RULES: readonly Rule[] = [
  {
    what: "gyro",
    cost: "nothing can be said about vibration",
    absent: ({ frames }) => frames.gyroSource === "none",
  },
  {
    what: "unfiltered gyro",
    cost: "what the filters took off is not known: the craft can be found loud, never quiet",
    absent: ({ frames }) => frames.gyroSource === "filtered",
  },
  {
    what: "gyro of some axes",
    cost: "the axes that are not logged are not judged",
    absent: ({ frames }) => frames.gyroSource !== "none" && some(frames.gyro),
  },
  {
    what: "filtered gyro",
    cost: "what the filters cost, and the loop's phase at a low mode, are not known",
    absent: ({ timeline }) => none(timeline.gyroFiltered),
  },
  {
    what: "D-term",
    cost: "whether vibration reaches the motors is not known",
    absent: ({ dterm }) => none(dterm.spectra),
  },
  {
    what: "D-term of some axes",
    cost: "an axis without D is not judged by it (yaw often has none)",
    absent: ({ dterm }) => !none(dterm.spectra) && some(dterm.spectra),
  },
  {
    what: "scale of the D-term",
    cost: "the D-term only serves to compare flights; give dtermFullScale in the craft file",
    absent: ({ dterm }) => !none(dterm.spectra) && dterm.fullScale === null,
  },
  {
    what: "motor speed",
    cost: "the rotors' speed had to be inferred; no figure per motor",
    absent: ({ timeline, rotor }) => timeline.rotorSpeed.length === 0 && rotor.source !== "none",
  },
  {
    what: "motor speed",
    cost: "the rotors' speed is not known, nor anything that rests on it",
    absent: ({ timeline, rotor }) => timeline.rotorSpeed.length === 0 && rotor.source === "none",
  },
  {
    what: "throttle",
    cost: "chops and descents cannot be told from gusts; no throttle map",
    absent: ({ timeline }) => timeline.throttle === null,
  },
  {
    what: "throttle",
    cost: "taken as the mean of the motor commands",
    absent: ({ timeline }) => timeline.throttleFrom === "motors",
  },
  {
    what: "setpoint",
    cost: "where commanded motion ends is a stated number, not measured",
    absent: ({ timeline }) => none(timeline.setpoint),
  },
  {
    what: "seconds with motors off",
    cost: "the sensor's own noise is not known",
    absent: ({ timeline }) => timeline.resting.length === 0,
  },
  {
    what: "number of blades",
    cost: "which line is the blade pass is not known, so 2 and 3 were tried; give blades in the craft file",
    absent: ({ rotor }) => rotor.source !== "none" && rotor.blades === null,
  },
];
