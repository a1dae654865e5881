const DATE = /^(\d{4})[-/](\d{1,2})[-/](\d{1,2})(?:[T ]+|$)/i;
const CLOCK = /^(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d+))?)?\s*(Z|[+-]\d{2}:?\d{2})?$/i;

/**
 * Seconds of a wall-clock stamp: ISO 8601 date and time ("2024-05-01T12:34:56.789Z", a blank or "/" allowed)
 * counted from 1970-01-01, or a time of day ("12:34:56.789") counted from midnight. NaN for anything else.
 *
 * @param origin whole seconds to count from instead: differences between near stamps then keep all their digits
 * @example stampSeconds("00:01:02.5") // 62.5
 */
export function stampSeconds(text: string, origin = 0): number {
  const date = DATE.exec(text);
  const rest = date ? text.slice(date[0].length) : text;
  const clock = CLOCK.exec(rest);
  if (!clock) return Number.NaN;
  const [, h, m, s = "0", fraction = "", zone] = clock;
  if (Number(h) > 24 || Number(m) > 59 || Number(s) > 60) return Number.NaN;
  const day = date ? Date.UTC(Number(date[1]), Number(date[2]) - 1, Number(date[3])) / 1000 : 0;
  const whole = day + Number(h) * 3600 + Number(m) * 60 + Number(s) - zoneSeconds(zone) - origin;
  return whole + Number(`0.${fraction || "0"}`);
}

function zoneSeconds(zone: string | undefined): number {
  if (!zone || /z/i.test(zone)) return 0;
  const sign = zone.startsWith("-") ? -1 : 1;
  const digits = zone.slice(1).replace(":", "");
  return sign * (Number(digits.slice(0, 2)) * 3600 + Number(digits.slice(2)) * 60);
}
