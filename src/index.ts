export { type AnalyseOptions, type Analysis, analyseLog, type LogSource } from "./analyse.js";
export { analyse } from "./analyse-path.js";
export type { Craft } from "./craft.js";
export { InputError, type InputErrorKind, type Place } from "./errors.js";
export type { Evidence } from "./evidence.js";
export type { Mode, ModeKind, Tone } from "./modes/mode.js";
export type { Call, QualityCheck, Reason, Result, Verdict } from "./result.js";
export { AXES, type Axis, type Interval } from "./units.js";
