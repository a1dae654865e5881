/** Types for fft.js 4 (the package ships none). Complex data are interleaved: re, im, re, im, … */
declare module "fft.js" {
  type Numbers = Float64Array | number[];
  export default class FFT {
    /** @param size power of two, at least 2 */
    constructor(size: number);
    readonly size: number;
    createComplexArray(): number[];
    toComplexArray(input: ArrayLike<number>, storage?: Numbers): Numbers;
    fromComplexArray(complex: ArrayLike<number>, storage?: Numbers): Numbers;
    transform(out: Numbers, data: Numbers): void;
    realTransform(out: Numbers, data: Numbers): void;
    completeSpectrum(spectrum: Numbers): void;
    inverseTransform(out: Numbers, data: Numbers): void;
  }
}
