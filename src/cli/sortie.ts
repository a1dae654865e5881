import type { Command } from "commander";
import { EXIT, type ExitStatus } from "./exit-status.js";
import { print } from "./output.js";

/** `quietspar sortie`: what to fly so that the next log can carry a verdict. */
export function addSortie(program: Command, finish: (status: ExitStatus) => void): void {
  program
    .command("sortie")
    .summary("a test-flight card: what to fly and what to log")
    .description("Prints a test-flight card; with a craft file it is worked out for that craft.")
    .option("--craft <file>", "file that describes the craft (JSON); every entry optional")
    .addHelpText("after", "\nExample:\n  $ quietspar sortie --craft lifter.json")
    .action(async (options: { readonly craft?: string }) => {
      const { sortieCard } = await import("../verdict/sortie.js");
      const { readCraftFile } = await import("../io/craft-file.js");
      const craft = options.craft === undefined ? {} : (await readCraftFile(options.craft)).craft;
      const card = sortieCard(craft);
      await print(card.endsWith("\n") ? card : `${card}\n`);
      finish(EXIT.ok);
    });
}
