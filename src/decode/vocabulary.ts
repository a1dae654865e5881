/**
 * The trade's words, by idea. The table in docs/decoding.md is checked against this file by a test.
 * A header is read as a bag of words: case, brackets, underscores, camel case and order do not matter.
 */
export const VOCABULARY = {
  time: "time timestamp timestamps stamp timer clock datetime date utc ts t elapsed",
  counter:
    "iteration iterations iter sample samples index counter frame row seq sequence tick ticks idx loop no nr",
  gyro: "gyro gyros gyroscope gyroscopes gyr omega angvel ω wx wy wz gx gy gz",
  rate: "rate rates",
  angular: "angular ang rotational rotation",
  raw: "raw unfiltered unfilt prefilter prefiltered nofilter unfilter",
  filtered: "filtered filt filter flt lpf lowpass smoothed smooth postfilter postfiltered",
  dterm: "dterm dterms",
  derivative: "d derivative deriv derivatives",
  pid: "pid term terms controller",
  setpoint: "setpoint setpoints sp target targets desired des demand demanded reference ref wanted",
  command: "command commands cmd cmds commanded out output outputs",
  stick: "stick sticks rc rccommand joystick pilot input inputs",
  throttle: "throttle throttles thr thrott thrust collective coll",
  rotor: "rotor rotors motor motors mot esc prop propeller engine shaft m",
  output: "pwm actuator actuators",
  speed: "speed speeds freq frequency velocity vel revs revolutions rotation",
  rpm: "rpm rpms erpm tach tacho tachometer",
  electrical: "electrical elec erpm",
  mechanical: "mechanical mech shaft prop propeller rotor",
  accel: "accel accels acc acceleration accelerometer accelerations accelerometers ax ay az",
  voltage: "voltage volt volts vbat vbatt vbattery vpack",
  battery: "battery batt bat pack vbat vbatt vbattery supply main",
  roll: "roll rolls",
  pitch: "pitch pitches",
  yaw: "yaw yaws",
  filler:
    "imu sensor body value values data signal measured actual axis of the in and log fc meas reading speed vel rotation about around at to frame flight channel since boot start unit units ch un non not no pre post before after percent number num",
  /** A column with one of these is something else, whatever the rest says. */
  elsewhere:
    "level looptime temp temperature temperatures current amp amps amperage ampere mah power watt watts status flag flags state mode armed error errors err mag magnetometer compass baro barometer altitude height alt gps gnss lat latitude lon longitude position pos attitude angle angles orientation quat quaternion heading course climb vario vertical rssi link cpu load debug offset bias variance std sigma health cycle dt delta duration gain pterm iterm fterm sterm integral proportional feedforward ff sum limit battery_current airspeed wind groundspeed distance satellites count_errors packet crc erpm_error interval",
} as const;

export type Idea = keyof typeof VOCABULARY;

const IDEAS = Object.keys(VOCABULARY) as Idea[];
const WORDS: Readonly<Record<Idea, ReadonlySet<string>>> = Object.fromEntries(
  IDEAS.map((idea) => [idea, new Set(VOCABULARY[idea].split(" "))]),
) as Record<Idea, Set<string>>;
const KNOWN: ReadonlySet<string> = new Set(IDEAS.flatMap((idea) => [...WORDS[idea]]));
/** Words that may be written together with others: "rollrate", "rawgyro", "gyrox". */
const GLUED = [...KNOWN].filter((word) => word.length >= 3 || word === "rc" || word === "sp");

/** True when any of the words stands for the idea. */
export function says(words: readonly string[], ...ideas: Idea[]): boolean {
  return words.some((word) => ideas.some((idea) => WORDS[idea].has(word)));
}

/** True when the word belongs to the vocabulary at all. */
export function isKnown(word: string): boolean {
  return KNOWN.has(word);
}

/**
 * Takes a word apart that was written together from known ones; a letter x, y, z at either end may be an axis.
 *
 * @returns the parts, or the word alone when it cannot be taken apart wholly
 * @example unglue("rollrate") // ["roll", "rate"]
 */
export function unglue(word: string): string[] {
  if (KNOWN.has(word) || word.length < 4 || word.length > 40) return [word];
  return takeApart(word, 0) ?? axisFirst(word) ?? [word];
}

/** "xgyro": the axis letter before one known word. */
function axisFirst(word: string): string[] | null {
  const rest = word.slice(1);
  return /^[xyz]/.test(word) && KNOWN.has(rest) ? [word[0]!, rest] : null;
}

function takeApart(word: string, depth: number): string[] | null {
  if (word === "") return [];
  if (depth > 0 && /^[xyz]$/.test(word)) return [word];
  if (depth > 4) return null;
  for (const piece of GLUED) {
    if (!word.startsWith(piece)) continue;
    const rest = takeApart(word.slice(piece.length), depth + 1);
    if (rest) return [piece, ...rest];
  }
  return null;
}
