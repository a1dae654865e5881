/** What a verdict on vibration is not. Printed with every call. */
export const CAUTIONS: readonly string[] = [
  "This is a measure of vibration in one log, not a statement of airworthiness: inspect the craft before every flight.",
  "Change one thing at a time, in small steps, and compare with the same flight.",
  "Propellers off and battery out for any work on the craft; never fly a cracked or nicked propeller.",
  "After loosening filters: a short hover, land, and feel for hot motors.",
];
