import type { Hertz } from "../units.js";
import type { Section } from "./section.js";

/** Complex numbers, one per frequency. */
export interface ComplexSeries {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** What a path does at some frequencies of a log, and on average at the frequencies that fold onto them. */
export interface TableResponse {
  readonly own: ComplexSeries;
  /** Mean over the images f + k · log rate inside the loop's band; as `own` where nothing folds. */
  readonly folded: ComplexSeries;
}

/**
 * Responses at the same frequencies for many filters: sines and cosines of every frequency and image are computed once.
 */
export class ResponseTable {
  /** Images per frequency, itself the first. */
  readonly images: number;
  private readonly count: number;
  private readonly angle: Float64Array;
  private readonly c1: Float64Array;
  private readonly s1: Float64Array;
  private readonly c2: Float64Array;
  private readonly s2: Float64Array;
  private readonly loopRate: Hertz;

  /**
   * @param hz frequencies, 0..logRate / 2
   * @param rates of log and loop, Hz
   */
  constructor(hz: readonly Hertz[], rates: { readonly logRate: Hertz; readonly loopRate: Hertz }) {
    this.loopRate = rates.loopRate;
    this.images = Math.max(1, Math.round(rates.loopRate / rates.logRate));
    this.count = hz.length;
    this.angle = new Float64Array(this.images * hz.length);
    hz.forEach((f, i) => {
      for (let k = 0; k < this.images; k++) {
        this.angle[k * hz.length + i] = (2 * Math.PI * (f + k * rates.logRate)) / rates.loopRate;
      }
    });
    this.c1 = this.angle.map(Math.cos);
    this.s1 = this.angle.map(Math.sin);
    this.c2 = this.angle.map((w) => Math.cos(2 * w));
    this.s2 = this.angle.map((w) => Math.sin(2 * w));
  }

  /**
   * @param sections filters at loop rate
   * @param derivative whether the difference of two samples times the loop rate comes with them
   */
  respond(sections: readonly Section[], derivative: boolean): TableResponse {
    const all = this.start(derivative);
    for (const section of sections) this.multiply(all, section);
    const { count, images } = this;
    const own = { re: all.re.slice(0, count), im: all.im.slice(0, count) };
    if (images === 1) return { own, folded: own };
    const folded = { re: new Float64Array(count), im: new Float64Array(count) };
    for (let j = count; j < all.re.length; j++) {
      folded.re[j % count] = folded.re[j % count]! + all.re[j]! / (images - 1);
      folded.im[j % count] = folded.im[j % count]! + all.im[j]! / (images - 1);
    }
    return { own, folded };
  }

  private start(derivative: boolean): ComplexSeries {
    const size = this.angle.length;
    if (!derivative) return { re: new Float64Array(size).fill(1), im: new Float64Array(size) };
    return { re: this.c1.map((c) => this.loopRate * (1 - c)), im: this.s1.map((s) => this.loopRate * s) };
  }

  private multiply({ re, im }: ComplexSeries, { a, b }: Section): void {
    for (let j = 0; j < re.length; j++) {
      const c1 = this.c1[j]!;
      const s1 = this.s1[j]!;
      const c2 = this.c2[j]!;
      const s2 = this.s2[j]!;
      const nr = b[0] + b[1] * c1 + b[2] * c2;
      const ni = -b[1] * s1 - b[2] * s2;
      const dr = 1 + a[1] * c1 + a[2] * c2;
      const di = -a[1] * s1 - a[2] * s2;
      const size = dr * dr + di * di;
      const qr = (nr * dr + ni * di) / size;
      const qi = (ni * dr - nr * di) / size;
      const x = re[j]!;
      re[j] = x * qr - im[j]! * qi;
      im[j] = x * qi + im[j]! * qr;
    }
  }
}
