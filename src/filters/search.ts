import type { Chain } from "./chain.js";
import type { Menu } from "./menu.js";
import type { Predictor } from "./predictor.js";

/** A chain and the two numbers that are traded. */
export interface Trade {
  readonly chain: Chain;
  readonly delayMs: number;
  /** The part of it that the whole loop feels, not the D-term alone. */
  readonly gyroDelayMs: number;
  /** Worst axis. */
  readonly dtermRms: number;
}

/** Delays closer than this, or this share, count as equal: the chain that delays the gyro itself less then wins. */
const SAME_MS = 0.1;
const SAME_SHARE = 0.07;
/** A part is worth having only if it takes this much off the gyro's delay among equals. */
const PART_MS = 0.05;

/** Every combination of a menu, with delay and residual D-term. */
export function tryAll(predictor: Predictor, menu: Menu): Trade[] {
  const trades: Trade[] = [];
  for (const rotor of menu.rotorNotches) {
    for (const notch of menu.notches) {
      for (const low of menu.gyroLowPass) {
        const gyro = [...rotor, ...notch, ...low];
        for (const dterm of menu.dtermLowPass) {
          const chain = { gyro, dterm };
          trades.push({ chain, ...predictor.quick(chain) });
        }
      }
    }
  }
  return trades;
}

/**
 * The chains that no other beats in both delay and residual D-term.
 *
 * @returns by rising delay, so by falling D-term
 */
export function paretoFront(trades: readonly Trade[]): Trade[] {
  const byDelay = [...trades].sort((a, b) => a.delayMs - b.delayMs || a.dtermRms - b.dtermRms);
  const front: Trade[] = [];
  for (const trade of byDelay) {
    if (trade.dtermRms < (front[front.length - 1]?.dtermRms ?? Infinity)) front.push(trade);
  }
  return front;
}

/**
 * The chain of least delay that leaves at most `limit`. Among those about as quick, the one that puts least of it into
 * the gyro path, where every part of the loop would feel it, and has the fewest parts.
 *
 * Chains whose D-term has no filter of its own are left out: what they let through from above the log's Nyquist is
 * assumed, not measured, and a difference amplifies it most.
 *
 * @returns null when none stays under the limit
 */
export function leastDelay(trades: readonly Trade[], limit: number): Trade | null {
  const fit = trades.filter(({ chain, dtermRms }) => dtermRms <= limit && chain.dterm.length > 0);
  if (fit.length === 0) return null;
  const least = Math.min(...fit.map((trade) => trade.delayMs));
  const cost = ({ chain, gyroDelayMs }: Trade): number =>
    gyroDelayMs + PART_MS * (chain.gyro.length + chain.dterm.length);
  return fit
    .filter((trade) => trade.delayMs <= least + Math.max(SAME_MS, SAME_SHARE * least))
    .reduce((best, trade) => (cost(trade) < cost(best) ? trade : best));
}

/**
 * A curve of at most `most` chains: the ends, and in between those nearest to even steps of delay.
 *
 * @param front by rising delay
 */
export function thinnedFront(front: readonly Trade[], most: number, longestMs: number): Trade[] {
  const shown = front.filter((trade) => trade.delayMs <= longestMs);
  if (shown.length <= most) return shown;
  const [first, last] = [shown[0]!.delayMs, shown[shown.length - 1]!.delayMs];
  const picked = Array.from({ length: most }, (_, i) => {
    const wanted = first + ((last - first) * i) / (most - 1);
    return shown.reduce((best, t) =>
      Math.abs(t.delayMs - wanted) < Math.abs(best.delayMs - wanted) ? t : best,
    );
  });
  return [...new Set(picked)];
}
