import type { BandChange, Comparison } from "../compare/comparison.js";
import type { Axis } from "../units.js";
import type { Panel, PanelAxis, Sketch } from "./charts/chart.js";
import { frame } from "./charts/frame.js";
import { boxes, crossLines, signs } from "./charts/layers.js";
import { compareFrequencyAxis } from "./compare-overlay.js";
import { figure, range } from "./format.js";
import { SMALL_WIDTH } from "./theme.js";

const LEFT = 50;
const RIGHT = 14;
const TOP = 30;
const HEIGHT = 170;

/** After over before per third-octave band: a box is the 95 % interval, a lozenge the ratio, filled where claimed. */
export function differenceChart(axis: Axis, comparison: Comparison): Sketch {
  const bands = comparison.bands.filter((band) => band.axis === axis);
  const width = SMALL_WIDTH - LEFT - RIGHT;
  const panel: Panel = {
    name: `difference-${axis}`,
    x: LEFT,
    y: TOP,
    width,
    height: HEIGHT,
    xAxis: compareFrequencyAxis(comparison, width),
    yAxis: levelAxis(comparison.bands),
  };
  const middle = (b: BandChange) => ({ x: Math.sqrt(b.fromHz * b.toHz), y: b.ratioDb });
  const box = (b: BandChange) => ({ x: b.fromHz, x2: b.toHz, y: b.ci95Db[1], y2: b.ci95Db[0] });
  const sure = bands.filter((b) => b.significant);
  const other = bands.filter((b) => !b.significant);
  const spec = frame({
    width: SMALL_WIDTH,
    height: TOP + HEIGHT + 44,
    panels: [
      {
        panel,
        inside: [
          boxes("interval-even", other.map(box), { ink: "rawBand", opacity: 0.5 }),
          boxes("interval-sure", sure.map(box), { ink: "rotor" }),
          crossLines("zero", [{ y: 0 }], { ink: "soft", along: "y", length: width }),
          signs("ratio-even", other.map(middle), { ink: "raw", shape: "diamond", size: 36, hollow: true }),
          signs("ratio-sure", sure.map(middle), { ink: "loud", shape: "diamond", size: 60 }),
        ],
      },
    ],
  });
  return {
    name: `compare-difference-${axis}`,
    title: `${axis}: after over before, per third-octave band`,
    alt: `${sure.length} of ${bands.length} bands of ${axis} differ by more than chance${sure.length === 0 ? "" : `: ${sure.slice(0, 8).map(bandWords).join("; ")}`}.`,
    group: "spectra",
    spec,
    panels: [panel],
    table: {
      head: ["band", "after over before, dB", "95 % interval, dB", "claimed"],
      rows: bands.map((b) => [
        range([b.fromHz, b.toHz], "Hz"),
        figure(b.ratioDb, 2),
        range(b.ci95Db, "", 2),
        b.significant ? "yes" : "no",
      ]),
    },
  };
}

/** One scale for all axes of the comparison, zero in it, at least ±3 dB. */
function levelAxis(bands: readonly BandChange[]): PanelAxis {
  const most = Math.max(3, ...bands.flatMap((b) => b.ci95Db.map(Math.abs)));
  const end = Math.ceil(Math.min(20, most));
  return {
    type: "linear",
    domain: [-end, end],
    range: [HEIGHT, 0],
    title: "louder above 0",
    unit: "dB",
    link: null,
  };
}

function bandWords(b: BandChange): string {
  return `${range([b.fromHz, b.toHz], "Hz")} ${figure(b.ratioDb, 2)} dB (${range(b.ci95Db, "", 2)})`;
}
