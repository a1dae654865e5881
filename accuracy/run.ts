import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type CountedShare, sharesFigure } from "./shares-figure.js";

/**
 * Measures the program on simulated flights with known truth and writes what came out, good or bad:
 *
 *   npm run accuracy                          all topics, one after the other
 *   npm run accuracy -- rotor --flights 30    one topic, on fewer flights
 *   npm run accuracy -- page                  none: puts the topics' pages together again
 *
 * Each topic writes docs/accuracy/<topic>.md; docs/accuracy.md holds them together.
 */
interface Topic {
  readonly name: string;
  readonly flights: number;
  readonly seed: number;
  readonly run: (flights: number, seed: number) => Promise<TopicPage>;
}

interface TopicPage {
  readonly markdown: string;
  /** Shares to be drawn beside the tables. */
  readonly shares?: readonly CountedShare[];
}

const TOPICS: readonly Topic[] = [
  {
    name: "rotor",
    flights: 120,
    seed: 9811,
    run: async (flights, seed) => (await import("./rotor.js")).rotorAccuracy({ flights, seed }),
  },
  {
    name: "modes",
    flights: 380,
    seed: 9543,
    run: async (flights, seed) => (await import("./modes.js")).modesAccuracy({ flights, seed }),
  },
  {
    name: "verdict",
    flights: 24,
    seed: 7500,
    run: async (flights, seed) => (await import("./verdict.js")).verdictAccuracy({ flights, seed }),
  },
  {
    name: "filters",
    flights: 40,
    seed: 8800,
    run: async (flights, seed) => ({
      markdown: (await import("./filters.js")).filtersReport({ flights, seed }),
    }),
  },
  {
    name: "compare",
    flights: 275,
    seed: 7700,
    run: async (flights, seed) => (await import("./compare.js")).compareAccuracy({ flights, seed }),
  },
];

const DOCS = join(import.meta.dirname, "../docs");
const FOLDER = join(DOCS, "accuracy");

const INTRO = `# How often it is right

Every number here comes from \`npm run accuracy\`: flights of the project's own simulator (\`simulator/README.md\`), whose truth
is known. Rotor speed and modes are measured on seeds on which no rule was mended; the seeds of the other parts had been run
on earlier states of the code, whose rules were then mended. The simulator bends the textbook's assumptions where real flights do
(motors that drive modes differently, stiffness that drifts with thrust, wandering lines, wash, lost rows, late speed reports), but
it is not a real craft: joints with friction, flexible propellers and electrical faults are not in it. Targets that are missed are
named as missed. Each part says on how many flights it was measured; few flights mean wide margins.
`;

function option(name: string): number | undefined {
  const at = process.argv.indexOf(name);
  return at < 0 ? undefined : Number(process.argv[at + 1]);
}

function assemble(): void {
  const parts = TOPICS.map(({ name }) => join(FOLDER, `${name}.md`)).filter((path) => existsSync(path));
  // The topics' own first headings become parts of the one page.
  const texts = parts.map((path) =>
    readFileSync(path, "utf8")
      .trim()
      .replace(/^(#+) /gm, "#$1 ")
      .replace(/\]\(([\w-]+\.svg)\)/g, "](accuracy/$1)"),
  );
  writeFileSync(join(DOCS, "accuracy.md"), `${[INTRO, ...texts].join("\n\n")}\n`);
}

/** The page with its shares drawn after the first paragraph. */
async function withFigure(name: string, { markdown, shares }: TopicPage): Promise<string> {
  if (shares === undefined) return markdown;
  writeFileSync(join(FOLDER, `${name}.svg`), `${await sharesFigure(name, shares)}\n`);
  const [heading = "", opening = "", ...rest] = markdown.split("\n\n");
  return [heading, opening, `![What was right, with 95 % intervals](${name}.svg)`, ...rest].join("\n\n");
}

const asked = process.argv
  .slice(2)
  .filter((word, i, all) => !word.startsWith("--") && !all[i - 1]?.startsWith("--"));
const unknown = asked.find((name) => name !== "page" && !TOPICS.some((t) => t.name === name));
if (unknown !== undefined) throw new Error(`no topic ${unknown}: ${TOPICS.map((t) => t.name).join(", ")}`);
mkdirSync(FOLDER, { recursive: true });
for (const topic of TOPICS.filter((t) => asked.length === 0 || asked.includes(t.name))) {
  const started = performance.now();
  const page = await topic.run(option("--flights") ?? topic.flights, option("--seed") ?? topic.seed);
  writeFileSync(join(FOLDER, `${topic.name}.md`), `${(await withFigure(topic.name, page)).trim()}\n`);
  console.log(`${topic.name}: ${((performance.now() - started) / 1000).toFixed(0)} s`);
}
assemble();
