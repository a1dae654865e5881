import type { Result } from "../../result.js";
import { rotorBands } from "./features.js";
import { boxes, crossLines, type Layer } from "./layers.js";

/**
 * The bands in which the rotors' lines moved, behind a panel. Folded ones are fainter, with a dashed edge: a line
 * there is in the log only, and may spread over most of the axis.
 */
export function rotorLayers(result: Result, height: number, opacity: number): Layer[] {
  const bands = rotorBands(result);
  const box = ({ hz }: { readonly hz: readonly [number, number] }): { x: number; x2: number } => ({
    x: hz[0],
    x2: hz[1],
  });
  const folded = bands.filter((b) => b.folded);
  const edges = folded.flatMap((b) => b.hz).filter((hz) => hz > 0);
  return [
    boxes("rotor-band", bands.filter((b) => !b.folded).map(box), { ink: "rotor", height, opacity }),
    boxes("rotor-band-folded", folded.map(box), { ink: "rotor", height, opacity: opacity * 0.3 }),
    crossLines(
      "rotor-edge-folded",
      edges.map((x) => ({ x })),
      { ink: "rotorLine", width: 1, dash: [2, 4], along: "x", length: height },
    ),
  ];
}
