/** What the user may tell about the craft; every entry is optional. Read from a JSON file, see schema/craft.schema.json. */
export interface Craft {
  readonly name?: string;
  /** Propeller diameter and pitch, inch (the trade's unit for propellers). */
  readonly propellerInch?: number;
  readonly pitchInch?: number;
  /** Blades per propeller. */
  readonly blades?: number;
  /** Magnet poles per motor (14 poles are 7 pole pairs). */
  readonly motorPoles?: number;
  readonly rotors?: number;
  /** Battery cells in series. */
  readonly cells?: number;
  /** Motor speed constant, rpm per volt. */
  readonly kv?: number;
  /** Take-off mass of the craft as flown, kg, without the payload to come. */
  readonly massKg?: number;
  /** Payload that is to come on top, kg. */
  readonly payloadKg?: number;
  /** What a camera fixed hard to the frame would be. */
  readonly camera?: {
    readonly focalMm?: number;
    readonly sensorWidthMm?: number;
    readonly widthPx?: number;
  };
  /** Rate of the controller's filter loop, Hz. */
  readonly loopRateHz?: number;
  /** Crossover frequency of the rate loop, Hz. */
  readonly crossoverHz?: number;
  /** D-term value that equals full motor command, in the log's own units. */
  readonly dtermFullScale?: number;
  /** Overrides of the limits in src/verdict/limits.ts, by name. */
  readonly limits?: Readonly<Record<string, number>>;
}
